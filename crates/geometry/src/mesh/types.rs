//! The indexed triangle mesh.

use nalgebra::Point3;

/// An indexed triangle mesh, counter-clockwise seen from outside. Lengths in mm once it has been
/// brought into the cast frame; a reader may hold it in the scan's own unit before.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Mesh {
    /// Vertex positions.
    pub vertices: Vec<Point3<f64>>,
    /// Vertex indices of each triangle, in the order of the file.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// The corners of triangle `index`.
    ///
    /// # Panics
    /// When `index`, or an index stored in the triangle, is out of range.
    pub fn corners(&self, index: usize) -> [Point3<f64>; 3] {
        self.triangles[index].map(|v| self.vertices[v as usize])
    }
}
