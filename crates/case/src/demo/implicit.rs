//! What the polygoniser asks of a solid.

use nalgebra::{Point3, Vector3};

/// A solid given by a field, negative inside, close to a signed distance near the surface.
pub(super) trait Implicit {
    /// What depends on x and y alone, computed once for a whole column of samples.
    type Column;

    /// The column at x, y.
    fn column(&self, x: f64, y: f64) -> Self::Column;

    /// The field at a height in a column.
    fn value(&self, column: &Self::Column, x: f64, y: f64, z: f64) -> f64;

    /// A box that holds the surface, not touching it.
    fn bounds(&self) -> [Point3<f64>; 2];

    /// How much faster than the distance the field may grow: `|f(p)| <= steepness × distance` from p
    /// to the surface. The field itself may jump away from the surface.
    fn steepness(&self) -> f64;

    /// The field at a point.
    fn at(&self, p: Point3<f64>) -> f64 {
        self.value(&self.column(p.x, p.y), p.x, p.y, p.z)
    }

    /// The gradient, by four samples at the corners of a tetrahedron of the given size.
    ///
    /// Derivation: for the corners k with `sum k = 0` and `sum k kᵀ = 4 I`,
    /// `sum k f(p + size k) = 4 size grad f`; even terms of the field along an axis cancel.
    fn gradient(&self, p: Point3<f64>, size: f64) -> Vector3<f64> {
        const CORNERS: [[f64; 3]; 4] = [
            [1.0, -1.0, -1.0],
            [-1.0, -1.0, 1.0],
            [-1.0, 1.0, -1.0],
            [1.0, 1.0, 1.0],
        ];
        CORNERS
            .iter()
            .map(|&k| {
                let k = Vector3::from(k);
                k * self.at(p + k * size)
            })
            .sum::<Vector3<f64>>()
            / (4.0 * size)
    }
}
