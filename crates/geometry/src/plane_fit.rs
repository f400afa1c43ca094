//! The plane of least squares through points.
//!
//! Source: Pearson, "On lines and planes of closest fit to systems of points in space", Philosophical Magazine
//! 2 (1901), 559-572: it goes through their middle, across the direction in which they scatter least.

use nalgebra::{Matrix3, Point3, UnitVector3, Vector3};

/// How points lie about their plane of least squares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FittedPlane {
    /// The middle of the points.
    pub middle: Point3<f64>,
    /// Across the plane; which way it points says nothing.
    pub normal: UnitVector3<f64>,
    /// Root mean squares of the distances from the middle, in the points' own unit: across the plane, and along
    /// the shorter and the longer way in it.
    pub spreads: [f64; 3],
}

/// The plane of least squares through points; `None` without any.
pub fn fitted_plane(points: &[Point3<f64>]) -> Option<FittedPlane> {
    if points.is_empty() {
        return None;
    }
    let count = points.len() as f64;
    let middle = Point3::from(points.iter().map(|p| p.coords).sum::<Vector3<f64>>() / count);
    let scatter: Matrix3<f64> = points
        .iter()
        .map(|p| (p - middle) * (p - middle).transpose())
        .sum();
    let eigen = scatter.symmetric_eigen();
    let mut order = [0, 1, 2];
    order.sort_by(|a, b| eigen.eigenvalues[*a].total_cmp(&eigen.eigenvalues[*b]));
    Some(FittedPlane {
        middle,
        normal: UnitVector3::new_normalize(eigen.eigenvectors.column(order[0]).into_owned()),
        spreads: order.map(|k| (eigen.eigenvalues[k].max(0.0) / count).sqrt()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four corners of a rectangle of 6 by 2 in a plane through (1, 2, 3): root mean squares 3, 1 and 0.
    #[test]
    fn a_rectangle_lies_in_its_plane() {
        let u = Vector3::new(1.0, 2.0, 2.0) / 3.0;
        let v = Vector3::new(2.0, 1.0, -2.0) / 3.0;
        let middle = Point3::new(1.0, 2.0, 3.0);
        let corner = |a: f64, b: f64| middle + u * (3.0 * a) + v * b;
        let corners = [
            corner(1.0, 1.0),
            corner(-1.0, 1.0),
            corner(1.0, -1.0),
            corner(-1.0, -1.0),
        ];
        let plane = fitted_plane(&corners).unwrap();
        assert!((plane.middle - middle).norm() < 1e-12);
        assert!(plane.normal.cross(&u.cross(&v)).norm() < 1e-12);
        for (spread, expected) in plane.spreads.iter().zip([0.0, 1.0, 3.0]) {
            assert!((spread - expected).abs() < 1e-7, "{:?}", plane.spreads);
        }
        assert_eq!(fitted_plane(&[]), None);
    }
}
