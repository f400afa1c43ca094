//! What must not change the answer: motions of the whole, the order of facets and vertices, finer
//! facets of the same surface, the number of threads.

use crate::build::{assert_near, leaning, mesh, ridge, zone};
use std::sync::Arc;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{Ridge, SeatZone, ZoneReading};
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
use tiltbench_testkit::solids::{self, Solid};

const OUTLINE: [[f64; 2]; 6] = [
    [-20.0, 5.0],
    [0.0, 12.0],
    [20.0, 5.0],
    [24.0, 24.0],
    [0.0, 31.0],
    [-24.0, 24.0],
];

fn front() -> SeatZone {
    zone(&OUTLINE, Some([0.3, 6.0]))
}

fn cast() -> Solid {
    solids::jaw(12_000)
}

fn draws() -> [UnitVector3<f64>; 3] {
    [leaning(0.0, 0.0), leaning(6.0, 80.0), leaning(11.0, 250.0)]
}

#[track_caller]
fn assert_alike(what: &str, a: &ZoneReading, b: &ZoneReading, within: f64) {
    let figures = |r: &ZoneReading| {
        let [x, y, z] = r.area_beyond_mm2;
        let blockout = (r.blockout_mm3, r.undercut_depth_mm);
        [
            r.area_mm2,
            r.undercut_area_mm2,
            blockout.0,
            blockout.1,
            x,
            y,
            z,
        ]
    };
    for (a, b) in figures(a).into_iter().zip(figures(b)) {
        assert_near(what, a, b, within * (1.0 + a.abs()));
    }
    assert_eq!(a.depth_capped, b.depth_capped, "{what}");
    assert_eq!(a.blockout_open, b.blockout_open, "{what}");
}

#[test]
fn turning_about_z_and_moving() {
    let still = ridge(cast(), front());
    let (sin, cos) = 0.7_f64.sin_cos();
    let turn = |v: Vector3<f64>| Vector3::new(cos * v.x - sin * v.y, sin * v.x + cos * v.y, v.z);
    let shift = Vector3::new(31.0, -17.0, 5.5);
    let moved_outline = OUTLINE.map(|[x, y]| {
        let p = turn(Vector3::new(x, y, 0.0)) + shift;
        [p.x, p.y]
    });
    let moved = ridge(
        cast().mapped(|p| Point3::from(turn(p.coords) + shift)),
        zone(&moved_outline, Some([0.3 + shift.z, 6.0 + shift.z])),
    );
    for d in draws() {
        let turned = UnitVector3::new_normalize(turn(d.into_inner()));
        // Rounding may move a sample over a border of its own; nothing else may change.
        assert_alike("moved", &still.read(&d)[0], &moved.read(&turned)[0], 2e-5);
    }
}

#[test]
fn renumbering_facets_and_vertices() {
    let solid = cast();
    let count = solid.vertices.len();
    let facets = solid.triangles.len();
    // Multiplying by a number prime to the count visits every one once.
    let place = |i: usize| (i * 7919 + 13) % count;
    let mut vertices = vec![Point3::origin(); count];
    for (i, p) in solid.vertices.iter().enumerate() {
        vertices[place(i)] = *p;
    }
    let triangles = (0..facets)
        .map(|i| {
            let t = solid.triangles[(i * 6133 + 5) % facets];
            let t = t.map(|v| u32::try_from(place(v as usize)).unwrap());
            [t[i % 3], t[(i + 1) % 3], t[(i + 2) % 3]]
        })
        .collect();
    let shuffled = Solid {
        vertices,
        triangles,
    };
    let (a, b) = (ridge(solid, front()), ridge(shuffled, front()));
    for d in draws() {
        assert_alike("renumbered", &a.read(&d)[0], &b.read(&d)[0], 2e-5);
    }
}

#[test]
fn soup_of_loose_facets_reads_like_the_welded_mesh() {
    let solid = cast();
    let loose = Solid {
        vertices: solid
            .triangles
            .iter()
            .flat_map(|t| t.map(|v| solid.vertices[v as usize]))
            .collect(),
        triangles: (0..u32::try_from(solid.triangles.len()).unwrap())
            .map(|i| [3 * i, 3 * i + 1, 3 * i + 2])
            .collect(),
    };
    let (a, b) = (ridge(solid, front()), ridge(loose, front()));
    for d in draws() {
        assert_alike("loose", &a.read(&d)[0], &b.read(&d)[0], 1e-9);
    }
}

#[test]
fn cutting_facets_finer_changes_areas_by_less_than_a_fifth_of_a_percent() {
    let solid = cast();
    let fine = ridge(solid.subdivided(), front());
    let coarse = ridge(solid, front());
    for d in draws() {
        let (a, b) = (coarse.read(&d)[0], fine.read(&d)[0]);
        let zone = a.area_mm2;
        assert_near("zone", a.area_mm2, b.area_mm2, 1e-9 * zone);
        assert_near(
            "undercut",
            a.undercut_area_mm2,
            b.undercut_area_mm2,
            0.002 * zone,
        );
        for k in 0..3 {
            let (x, y) = (a.area_beyond_mm2[k], b.area_beyond_mm2[k]);
            assert_near("beyond", x, y, 0.002 * zone);
        }
        assert_near("depth", a.undercut_depth_mm, b.undercut_depth_mm, 0.02);
        assert_near(
            "blockout",
            a.blockout_mm3,
            b.blockout_mm3,
            0.002 * a.blockout_mm3,
        );
    }
}

#[test]
fn number_of_threads_changes_no_bit() {
    let cast: Arc<Mesh> = mesh(cast());
    let read = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| {
            let ridge = Ridge::new(cast.clone(), &[front()], &[]).unwrap();
            let d = leaning(6.0, 80.0);
            let reading = ridge.read(&d)[0];
            let bits = [
                reading.area_mm2,
                reading.undercut_area_mm2,
                reading.undercut_depth_mm,
                reading.blockout_mm3,
            ]
            .map(f64::to_bits);
            (bits, format!("{:?}", ridge.survey_line(&d)))
        })
    };
    assert_eq!(read(1), read(5));
}
