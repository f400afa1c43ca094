//! An independent ray caster: the bounding volumes and the triangle test of obvhs, single precision.

use obvhs::BvhBuildParams;
use obvhs::bvh2::{Bvh2, builder::build_bvh2_from_tris};
use obvhs::ray::{Ray, RayHit};
use obvhs::triangle::Triangle;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::{Point3, Vector3};

/// Millimetres. Longer than any way through a jaw.
const REACH_MM: f32 = 400.0;

/// A scan that rays are cast at.
pub(crate) struct Caster {
    bvh: Bvh2,
    triangles: Vec<Triangle>,
    /// Single precision is spent on offsets from here.
    origin: Point3<f64>,
}

impl Caster {
    /// `origin` lies near the places rays will start from.
    pub(crate) fn new(mesh: &Mesh, origin: Point3<f64>) -> Self {
        let triangles: Vec<Triangle> = (0..mesh.triangles.len())
            .map(|facet| {
                let [v0, v1, v2] = mesh.corners(facet).map(|p| single(p - origin).into());
                Triangle { v0, v1, v2 }
            })
            .collect();
        let mut spent = std::time::Duration::default();
        let bvh = build_bvh2_from_tris(&triangles, BvhBuildParams::medium_build(), &mut spent);
        Self {
            bvh,
            triangles,
            origin,
        }
    }

    /// How far a ray runs before it meets a facet from either side, mm; `None` if it meets none.
    /// The facet it starts on is passed over.
    pub(crate) fn hit(
        &self,
        from: &Point3<f64>,
        along: &Vector3<f64>,
        own_facet: usize,
    ) -> Option<f64> {
        let start = single(from - self.origin).into();
        let ray = Ray::new(start, single(*along).into(), 0.0, REACH_MM);
        let mut nearest = RayHit::none();
        let met = self.bvh.ray_traverse(ray, &mut nearest, |ray, id| {
            let facet = self.bvh.primitive_indices[id] as usize;
            if facet == own_facet {
                f32::INFINITY
            } else {
                self.triangles[facet].intersect(ray)
            }
        });
        met.then_some(f64::from(nearest.t))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the caster is single precision"
)]
fn single(v: Vector3<f64>) -> [f32; 3] {
    [v.x as f32, v.y as f32, v.z as f32]
}
