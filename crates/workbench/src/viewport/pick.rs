//! What a line of sight meets, without a graphics card: a tree of boxes over the cast's facets.
//!
//! The one place that speaks parry3d's vectors.

use super::camera::Sight;
use nalgebra::{Point3, UnitVector3, Vector3};
use parry3d_f64::math::Vector;
use parry3d_f64::query::Ray;
use parry3d_f64::shape::{CompositeShapeRef, TriMesh};
use tiltbench_geometry::mesh::Mesh;

/// How far a line of sight reaches, mm: beyond any cast, whatever its frame's origin.
const REACH_MM: f64 = 1e5;

/// A mesh that can be pointed at.
pub struct Picker {
    /// `None` for a mesh without facets.
    tree: Option<TriMesh>,
}

impl std::fmt::Debug for Picker {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let facets = self.tree.as_ref().map_or(0, |tree| tree.indices().len());
        f.debug_struct("Picker").field("facets", &facets).finish()
    }
}

/// Where a line of sight meets a mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// The point.
    pub position: Point3<f64>,
    /// Normal of the facet, toward the viewer.
    pub normal: UnitVector3<f64>,
    /// Index of the facet.
    pub facet: u32,
    /// How far along the line of sight.
    pub distance_mm: f64,
}

impl Picker {
    /// Builds the tree: about 0.15 s for 300,000 facets, so not between two frames.
    pub fn new(mesh: &Mesh) -> Self {
        let vertices = mesh
            .vertices
            .iter()
            .map(|p| Vector::new(p.x, p.y, p.z))
            .collect();
        Self {
            tree: TriMesh::new(vertices, mesh.triangles.clone()).ok(),
        }
    }

    /// The first facet along a line of sight, from either of its sides.
    pub fn pick(&self, sight: &Sight) -> Option<Hit> {
        let tree = self.tree.as_ref()?;
        let (o, d) = (sight.origin, sight.direction);
        let ray = Ray::new(Vector::new(o.x, o.y, o.z), Vector::new(d.x, d.y, d.z));
        let (facet, hit) =
            CompositeShapeRef(tree).cast_local_ray_and_get_normal(&ray, REACH_MM, false)?;
        let normal = Vector3::new(hit.normal.x, hit.normal.y, hit.normal.z);
        Some(Hit {
            position: o + d.into_inner() * hit.time_of_impact,
            normal: UnitVector3::try_new(normal, 1e-12)?,
            facet,
            distance_mm: hit.time_of_impact,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two stacked squares, at heights 0 and 1.
    fn squares() -> Mesh {
        let mut mesh = Mesh::default();
        for z in [0.0, 1.0] {
            let first = u32::try_from(mesh.vertices.len()).unwrap();
            for [x, y] in [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]] {
                mesh.vertices.push(Point3::new(x, y, z));
            }
            mesh.triangles.push([first, first + 1, first + 2]);
            mesh.triangles.push([first, first + 2, first + 3]);
        }
        mesh
    }

    fn sight(origin: [f64; 3], direction: [f64; 3]) -> Sight {
        Sight {
            origin: origin.into(),
            direction: UnitVector3::new_normalize(direction.into()),
        }
    }

    #[test]
    fn the_first_facet_is_met_from_either_side() {
        let picker = Picker::new(&squares());
        let above = picker
            .pick(&sight([0.5, -0.5, 9.0], [0.0, 0.0, -1.0]))
            .unwrap();
        assert_eq!(above.facet, 2);
        assert!((above.position - Point3::new(0.5, -0.5, 1.0)).norm() < 1e-12);
        assert!((above.distance_mm - 8.0).abs() < 1e-12);
        assert!(above.normal.z > 0.99);
        let below = picker
            .pick(&sight([-0.5, 0.5, -3.0], [0.0, 0.0, 1.0]))
            .unwrap();
        assert_eq!(below.facet, 1);
        assert!(below.normal.z < -0.99);
    }

    #[test]
    fn past_the_mesh_and_without_facets_nothing_is_met() {
        let picker = Picker::new(&squares());
        assert_eq!(picker.pick(&sight([3.0, 0.0, 9.0], [0.0, 0.0, -1.0])), None);
        let nothing = Picker::new(&Mesh::default());
        assert_eq!(
            nothing.pick(&sight([0.0, 0.0, 9.0], [0.0, 0.0, -1.0])),
            None
        );
    }
}
