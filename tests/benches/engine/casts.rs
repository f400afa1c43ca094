//! The casts that are measured, and what they are measured against.

use parry3d_f64::math::{Pose3, Vec3};
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::TriMesh;
use rayon::prelude::*;
use std::path::Path;
use std::sync::Arc;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_case::{Case, read_case};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{Ridge, SeatZone};
use tiltbench_geometry::{Point3, UnitVector3};
use tiltbench_tests::ridge_of;

/// A case, its cast, and the ridge cut out of it.
pub(crate) struct Measured {
    pub(crate) case: Case,
    pub(crate) cast: Mesh,
    pub(crate) ridge: Ridge,
}

impl Measured {
    fn new(case: Case, cast: Mesh) -> Self {
        let ridge = ridge_of(&case, cast.clone()).unwrap_or_else(|error| panic!("{error}"));
        Self { case, cast, ridge }
    }

    /// A sample as it lies in the repository.
    pub(crate) fn sample(kind: SampleKind) -> Self {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../sample-cases");
        let file = folder.join(format!("{}.json", kind.file_stem()));
        let case = read_case(&file).unwrap_or_else(|error| panic!("{error}"));
        let loaded = case.load_cast().unwrap_or_else(|error| panic!("{error}"));
        Self::new(case, loaded.expect("the sample has a cast").mesh)
    }

    /// A sample made with so many facets.
    pub(crate) fn made(kind: SampleKind, triangles: usize) -> Self {
        let demo = sample(kind, triangles);
        let case = Case::new(&demo.case, Path::new("")).unwrap_or_else(|error| panic!("{error}"));
        Self::new(case, demo.mesh.expect("the sample has a cast"))
    }
}

/// A block of 28 facets: a wall that leans under by 25 degrees over a flat floor, as invented for the
/// engine's first wrong answers.
pub(crate) fn block() -> (Mesh, Ridge) {
    let (height, lean) = (8.0, 25.0_f64.to_radians());
    let brow = -(height * lean.tan());
    // The outline across the wall, from the front of the floor round to its lower side.
    let profile = [
        [12.0, -height],
        [brow + 6.0, -height],
        [6.0, 0.0],
        [-6.0, 0.0],
        [-6.0, -height],
        [-12.0, -height],
        [-12.0, -10.0],
        [12.0, -10.0],
    ];
    let ends = [-15.0, 15.0].map(|x| profile.map(|[y, z]| Point3::new(x, y, z)));
    let sides = (0..8_u32).flat_map(|i| {
        let next = (i + 1) % 8;
        [[i, next, i + 8], [next, next + 8, i + 8]]
    });
    let mut triangles: Vec<[u32; 3]> = sides.collect();
    // The ends in convex pieces: the block on its floor, and the floor.
    for [a, b, c] in [
        [1, 2, 3],
        [1, 3, 4],
        [0, 1, 7],
        [1, 4, 7],
        [4, 6, 7],
        [4, 5, 6],
    ] {
        triangles.push([a, c, b]);
        triangles.push([a + 8, b + 8, c + 8]);
    }
    let cast = Mesh {
        vertices: ends.concat(),
        triangles,
    };
    let zone = SeatZone {
        name: "labial".to_owned(),
        outline: vec![[-14.0, -1.0], [14.0, -1.0], [14.0, 11.5], [-14.0, 11.5]],
        z_range: Some([-8.5, 0.5]),
        undercut_limit_mm: Some(1.0),
        opposes: None,
    };
    let ridge =
        Ridge::new(Arc::new(cast.clone()), &[zone], &[]).unwrap_or_else(|error| panic!("{error}"));
    (cast, ridge)
}

/// The baseline: for every facet, whether a ray from it along the draw meets the cast, by an independent
/// library, and nothing else.
pub(crate) struct Rays<'c> {
    cast: &'c Mesh,
    shape: TriMesh,
}

impl<'c> Rays<'c> {
    pub(crate) fn new(cast: &'c Mesh) -> Self {
        let vertices = cast.vertices.iter().map(|p| Vec3::new(p.x, p.y, p.z));
        let shape = TriMesh::new(vertices.collect(), cast.triangles.clone());
        Self {
            cast,
            shape: shape.expect("a sound mesh"),
        }
    }

    pub(crate) fn hidden(&self, d: &UnitVector3<f64>) -> usize {
        let up = Vec3::new(d.x, d.y, d.z);
        (0..self.cast.triangles.len())
            .into_par_iter()
            .filter(|&facet| {
                let [a, b, c] = self.cast.corners(facet);
                let p = (a.coords + b.coords + c.coords) / 3.0 + d.into_inner() * 1e-6;
                let ray = Ray::new(Vec3::new(p.x, p.y, p.z), up);
                self.shape.intersects_ray(&Pose3::IDENTITY, &ray, 100.0)
            })
            .count()
    }
}
