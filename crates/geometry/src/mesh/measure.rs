//! Area, signed volume and extent. Sums run in facet order, so the bits never change.

use super::Mesh;
use nalgebra::{Point3, Vector3};

/// The box, along the axes, that just holds a set of points. Never empty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// Least coordinate on each axis.
    pub min: Point3<f64>,
    /// Greatest coordinate on each axis.
    pub max: Point3<f64>,
}

impl Extent {
    /// The box that just holds `points`; `None` when there are none.
    pub fn of(points: impl IntoIterator<Item = Point3<f64>>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = points.next()?;
        let start = Self {
            min: first,
            max: first,
        };
        Some(points.fold(start, Self::grown_to))
    }

    fn grown_to(self, point: Point3<f64>) -> Self {
        Self {
            min: self.min.inf(&point),
            max: self.max.sup(&point),
        }
    }

    /// Length of the box along each axis.
    pub fn size(&self) -> Vector3<f64> {
        self.max - self.min
    }

    /// Middle of the box.
    pub fn centre(&self) -> Point3<f64> {
        nalgebra::center(&self.min, &self.max)
    }

    /// Whether `other` lies wholly inside this box or on its sides.
    pub fn holds(&self, other: &Self) -> bool {
        (0..3).all(|axis| self.min[axis] <= other.min[axis] && other.max[axis] <= self.max[axis])
    }
}

/// Twice the area of a facet, as a vector along its outward normal (counter-clockwise seen from
/// outside). Zero for a facet that is a line or a point.
pub fn double_area_vector(corners: &[Point3<f64>; 3]) -> Vector3<f64> {
    (corners[1] - corners[0]).cross(&(corners[2] - corners[0]))
}

/// Six times the signed volume of the tetrahedron from `apex` to a facet.
pub(super) fn six_volumes(apex: &Point3<f64>, corners: &[Point3<f64>; 3]) -> f64 {
    let [a, b, c] = corners.map(|corner| corner - apex);
    a.dot(&b.cross(&c))
}

/// One vertex in so many, at each end of each axis, may be a stray.
/// Tuned: smaller shares let a handful of strays set the size of a scan; larger ones cut the tips off a
/// cast of even fineness, by about as large a share of its length. `a_spike_goes` notices.
const STRAYS: usize = 200;

/// Fewest vertices among which strays can be told at all.
const TELLING: usize = 20;

impl Mesh {
    /// The box of the vertices in use but for the outermost 1 in 200 (at least one) at each end of each
    /// axis: the size of a scan, whatever strays off it. With fewer than 20 vertices in use it is their
    /// whole box; `None` without facets. Indices out of range are passed over.
    ///
    /// Cost: linear.
    pub fn core_extent(&self) -> Option<Extent> {
        let mut used = vec![false; self.vertices.len()];
        for &corner in self.triangles.iter().flatten() {
            if let Some(used) = used.get_mut(corner as usize) {
                *used = true;
            }
        }
        let pairs = used.iter().zip(&self.vertices);
        let points: Vec<Point3<f64>> = pairs.filter(|(used, _)| **used).map(|(_, p)| *p).collect();
        if points.len() < TELLING {
            return Extent::of(points);
        }
        let strays = points.len().div_ceil(STRAYS);
        let last = points.len() - 1 - strays;
        let mut core = Extent {
            min: Point3::origin(),
            max: Point3::origin(),
        };
        let mut values: Vec<f64> = Vec::with_capacity(points.len());
        for axis in 0..3 {
            values.clear();
            values.extend(points.iter().map(|p| p[axis]));
            core.min[axis] = *values.select_nth_unstable_by(strays, f64::total_cmp).1;
            core.max[axis] = *values.select_nth_unstable_by(last, f64::total_cmp).1;
        }
        Some(core)
    }

    /// The corners of every facet, in facet order.
    pub fn facets(&self) -> impl ExactSizeIterator<Item = [Point3<f64>; 3]> + '_ {
        (0..self.triangles.len()).map(|index| self.corners(index))
    }

    /// Sum of the facets' areas, in the square of the mesh's unit. Both sides of a sheet that is
    /// there twice count. Zero for an empty mesh.
    pub fn area(&self) -> f64 {
        self.facets()
            .map(|corners| 0.5 * double_area_vector(&corners).norm())
            .sum()
    }

    /// Volume enclosed by a closed, consistently wound mesh: positive when the facets are
    /// counter-clockwise seen from outside, negative when the mesh is inside out.
    ///
    /// Definition: the sum over facets of `(a - o) . ((b - o) x (c - o)) / 6`, with o the middle
    /// of the mesh's box, which keeps the terms small. For a mesh with open edges the value
    /// depends on o and means nothing: ask [`super::check()`] first.
    ///
    /// Source: divergence theorem; C. Zhang, T. Chen, "Efficient feature extraction for 2D/3D
    /// objects in mesh representation", ICIP 2001, doi 10.1109/ICIP.2001.958278, eq. 7 (from
    /// memory).
    pub fn signed_volume(&self) -> f64 {
        let Some(extent) = self.extent() else {
            return 0.0;
        };
        let apex = extent.centre();
        self.facets()
            .map(|corners| six_volumes(&apex, &corners) / 6.0)
            .sum()
    }

    /// The box of the vertices that facets use; `None` when there is no facet. A stray vertex
    /// that belongs to no facet does not widen it.
    pub fn extent(&self) -> Option<Extent> {
        Extent::of(self.facets().flatten())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The tetrahedron between the origin and the three unit points, wound outward.
    fn unit_tetrahedron() -> Mesh {
        Mesh {
            vertices: vec![
                Point3::origin(),
                Point3::new(1.0, 0.0, 0.0),
                Point3::new(0.0, 1.0, 0.0),
                Point3::new(0.0, 0.0, 1.0),
            ],
            triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
        }
    }

    #[test]
    fn unit_tetrahedron_has_a_sixth_and_its_mirror_minus_a_sixth() {
        let mut mesh = unit_tetrahedron();
        assert!((mesh.signed_volume() - 1.0 / 6.0).abs() < 1e-15);
        let area = 1.5 + 3.0_f64.sqrt() / 2.0;
        assert!((mesh.area() - area).abs() < 1e-15);
        for triangle in &mut mesh.triangles {
            triangle.swap(0, 1);
        }
        assert!((mesh.signed_volume() + 1.0 / 6.0).abs() < 1e-15);
    }

    #[test]
    fn volume_does_not_depend_on_where_the_mesh_stands() {
        let mut mesh = unit_tetrahedron();
        for vertex in &mut mesh.vertices {
            *vertex += Vector3::new(1e4, -2e4, 3e4);
        }
        assert!((mesh.signed_volume() - 1.0 / 6.0).abs() < 1e-11);
    }

    #[test]
    fn extent_is_of_used_vertices_only() {
        let mut mesh = unit_tetrahedron();
        mesh.vertices.push(Point3::new(900.0, 0.0, 0.0));
        let extent = mesh.extent().unwrap();
        assert_eq!(extent.size(), Vector3::new(1.0, 1.0, 1.0));
        assert_eq!(Mesh::default().extent(), None);
    }
}
