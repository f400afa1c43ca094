//! An independent ray caster (obvhs, single precision), and the undercut area by it.

use crate::build::{leaning, mesh, ridge, square, zone};
use obvhs::BvhBuildParams;
use obvhs::bvh2::{Bvh2, builder::build_bvh2_from_tris};
use obvhs::ray::{Ray, RayHit};
use obvhs::triangle::Triangle;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::{Point3, Vector3};
use tiltbench_testkit::solids::{self, Solid};

#[expect(
    clippy::cast_possible_truncation,
    reason = "the caster is single precision"
)]
fn single(v: Vector3<f64>) -> [f32; 3] {
    [v.x as f32, v.y as f32, v.z as f32]
}

pub(crate) struct Caster {
    bvh: Bvh2,
    triangles: Vec<Triangle>,
}

impl Caster {
    pub(crate) fn new(mesh: &Mesh) -> Self {
        let triangles: Vec<Triangle> = (0..mesh.triangles.len())
            .map(|f| {
                let [v0, v1, v2] = mesh.corners(f).map(|p| single(p.coords).into());
                Triangle { v0, v1, v2 }
            })
            .collect();
        let mut spent = std::time::Duration::default();
        let bvh = build_bvh2_from_tris(&triangles, BvhBuildParams::medium_build(), &mut spent);
        Self { bvh, triangles }
    }

    /// The first triangle a ray meets, from either side, and how far it is.
    pub(crate) fn first(
        &self,
        from: Point3<f64>,
        along: Vector3<f64>,
        reach: f64,
    ) -> Option<(f64, usize)> {
        #[expect(clippy::cast_possible_truncation, reason = "as above")]
        let reach = reach as f32;
        let (from, along) = (single(from.coords).into(), single(along).into());
        let mut hit = RayHit::none();
        let met = self
            .bvh
            .ray_traverse(Ray::new(from, along, 0.0, reach), &mut hit, |ray, id| {
                self.triangles[self.bvh.primitive_indices[id] as usize].intersect(ray)
            });
        (met && hit.t < reach).then(|| {
            let id = self.bvh.primitive_indices[hit.primitive_id as usize];
            (f64::from(hit.t), id as usize)
        })
    }

    /// Whether a ray meets nothing.
    pub(crate) fn is_free(&self, from: Point3<f64>, along: Vector3<f64>) -> bool {
        self.first(from, along, 200.0).is_none()
    }
}

/// Undercut area of the first zone by the caster, and by the ridge.
fn areas(solid: Solid, around: tiltbench_geometry::undercut::SeatZone) {
    let mesh = mesh(solid.clone());
    let caster = Caster::new(&mesh);
    let ridge = ridge(solid, around);
    for (angle, azimuth) in [(0.0, 0.0), (14.0, 200.0), (25.0, 300.0)] {
        let d = leaning(angle, azimuth);
        let samples = &ridge.undercut_samples(&d)[0];
        let mut total = 0.0;
        let mut ours = 0.0;
        let mut differing = 0.0;
        for s in samples {
            let [a, b, c] = mesh.corners(s.facet as usize);
            let normal = (b - a).cross(&(c - a));
            let normal = normal / normal.norm();
            // Off the surface by more than single precision's rounding at 40 mm.
            let from = s.position + normal * 2e-5;
            let undercut = normal.dot(&d) < -1e-8 || !caster.is_free(from, d.into_inner());
            total += s.area_mm2;
            ours += if s.depth_mm.is_some() {
                s.area_mm2
            } else {
                0.0
            };
            if undercut != s.depth_mm.is_some() {
                differing += s.area_mm2;
            }
        }
        let read = ridge.read(&d)[0].undercut_area_mm2;
        assert!((read - ours).abs() < 1e-9 * total, "{read} {ours}");
        assert!(ours > 0.05 * total, "some of it is undercut");
        assert!(
            differing < 0.001 * total,
            "draw {angle}/{azimuth}: {differing} of {total} mm² judged otherwise"
        );
    }
}

#[test]
fn undercut_area_agrees_with_an_independent_ray_caster() {
    areas(solids::jaw(6_000), square(40.0, None));
    areas(
        solids::roughen(solids::mushroom(4.0, 2.0, 5.0, 8.0, 40, 0.5), 0.01, 3),
        square(7.0, None),
    );
    let half = [[-20.0, -2.0], [20.0, -2.0], [20.0, 9.0], [-20.0, 9.0]];
    areas(solids::torus(5.0, 1.5, 20, 60), zone(&half, None));
}
