//! What a small change may change: of the draw, of the facets, of the surface.

use crate::build::{leaning, mesh, ridge, toward, zone};
use crate::unlovely::cast;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use tiltbench_case::demo::SampleKind;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{Ridge, SeatZone};
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
use tiltbench_solver::sphere::travel;
use tiltbench_testkit::sheets::{Sheet, jittered};
use tiltbench_testkit::solids::Solid;

/// Millimetres. What a reading may be off within its samples, beside what is proved.
const READ_MM: f64 = 1e-4;

/// A sheet before a land that rises steeply, and shuts straight ways from some draws on.
fn sheet(step: f64, noise: f64) -> Solid {
    Sheet {
        flank: 16.0_f64.to_radians(),
        height: 6.0,
        floor: 72.0_f64.to_radians(),
        sulcus: 1.2,
        step,
        noise,
        seed: 9,
    }
    .solid()
}

fn around() -> SeatZone {
    zone([-12.0, -1.0], [2.0, 1.0], None)
}

fn depths(ridge: &Ridge, d: &UnitVector3<f64>) -> Vec<f64> {
    let read = ridge.read(d);
    read.iter().map(|zone| zone.undercut_depth_mm).collect()
}

/// The greatest distance from a point to any place of its best way, if that does not sink: the height
/// of the scan, and the cap across.
fn reach_mm(scan: &Mesh) -> f64 {
    let z = scan.vertices.iter().map(|p| p.z);
    let high = z.clone().fold(f64::NEG_INFINITY, f64::max);
    let low = z.fold(f64::INFINITY, f64::min);
    (high - low).hypot(10.0).min(20.0)
}

/// Over 0.01 degree a depth changes by at most R times the sine of it: along random segments of so
/// many such steps, at random draws within 15 degrees.
#[track_caller]
fn changes_continuously(
    what: &str,
    (scan, zones): (&Mesh, &[SeatZone]),
    segments: usize,
    steps: u32,
    seed: u64,
) {
    let ridge = ridge(scan, zones);
    let step = 0.01_f64.to_radians();
    let most = reach_mm(scan) * step.sin() + READ_MM;
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut seen = 0.0_f64;
    for _ in 0..segments {
        let lean = 15.0 * random.random::<f64>().sqrt();
        let d = toward(lean, 360.0 * random.random::<f64>());
        let bearing = std::f64::consts::TAU * random.random::<f64>();
        let mut before = depths(&ridge, &d);
        for k in 1..=steps {
            let there = travel(&d, bearing, f64::from(k) * step);
            let now = depths(&ridge, &there);
            for (a, b) in before.iter().zip(&now) {
                assert!(
                    (a - b).abs() <= most,
                    "{what}: from {a} to {b} by 0.01 degree, at {there:?}"
                );
                seen = seen.max(*b);
            }
            before = now;
        }
    }
    assert!(
        (0.5..10.0).contains(&seen),
        "{what}: {seen} mm at most shows nothing"
    );
}

#[test]

fn depth_before_a_steep_land_changes_continuously() {
    let scan = mesh(sheet(0.7, 0.0));
    changes_continuously("clean", (&scan, &[around()]), 160, 2, 1);
    let scan = mesh(sheet(0.7, 0.02));
    changes_continuously("noisy", (&scan, &[around()]), 120, 2, 2);
}

#[test]
fn depth_on_thinned_samples_changes_continuously() {
    for (kind, seed) in [
        (SampleKind::TwoCanines, 3),
        (SampleKind::UpperCompromise, 4),
        (SampleKind::RidgeOnly, 5),
    ] {
        let (scan, zones) = cast(kind, 6_000, 3);
        let what = format!("{kind:?}");
        changes_continuously(&what, (&scan, &zones), 40, 1, seed);
    }
}

/// A scan deformed by at most e changes depths by at most 2 e.
#[test]

fn a_deformed_scan_is_as_deep_within_twice_the_deformation() {
    let (scan, zones) = cast(SampleKind::TwoCanines, 6_000, 3);
    let sheet = mesh(sheet(0.7, 0.0));
    for (what, scan, zones) in [("canines", scan, zones), ("sheet", sheet, vec![around()])] {
        let still = ridge(&scan, &zones);
        for (seed, e) in [(1, 0.004), (2, 0.02), (3, 0.05)] {
            let solid = Solid {
                vertices: scan.vertices.clone(),
                triangles: scan.triangles.clone(),
            };
            let moved = ridge(&mesh(jittered(solid, e, seed)), &zones);
            for k in 0..8 {
                let d = toward(2.0 * f64::from(k), 100.0 * f64::from(k));
                let pairs = depths(&still, &d).into_iter().zip(depths(&moved, &d));
                for (a, b) in pairs {
                    // The 0.1 mm² that are deepest shift a little with the border of a zone.
                    assert!(
                        (a - b).abs() <= 2.0 * e + 0.005,
                        "{what}: {a} and, deformed by {e}, {b} at {d:?}"
                    );
                }
            }
        }
    }
}

/// Cutting facets, numbering them anew and moving the whole leave the depth where it is.
#[test]

fn the_same_surface_is_as_deep_however_it_is_written_down() {
    let solid = sheet(0.6, 0.01);
    let scan = mesh(solid.clone());
    let fine = mesh(solid.subdivided());
    let mut turned_round = scan.clone();
    turned_round.triangles.reverse();
    for t in &mut turned_round.triangles {
        t.rotate_left(1);
    }
    let (sin, cos) = 0.6_f64.sin_cos();
    let turn = |v: Vector3<f64>| Vector3::new(cos * v.x - sin * v.y, sin * v.x + cos * v.y, v.z);
    let shift = Vector3::new(13.0, -7.0, 4.0);
    let moved = mesh(
        solid
            .clone()
            .mapped(|p| Point3::from(turn(p.coords) + shift)),
    );
    let mut there = around();
    for corner in &mut there.outline {
        let p = turn(Vector3::new(corner[0], corner[1], 0.0)) + shift;
        *corner = [p.x, p.y];
    }
    let still = ridge(&scan, &[around()]);
    for lean_deg in [-6.0_f64, 0.0, 5.0] {
        let d = leaning(lean_deg.to_radians());
        let depth = depths(&still, &d)[0];
        assert!((0.5..10.0).contains(&depth), "{depth}");
        for (what, scan, zone, d, within) in [
            ("cut finely", &fine, around(), d, 0.005),
            ("numbered anew", &turned_round, around(), d, 1e-9),
            (
                "moved",
                &moved,
                there.clone(),
                UnitVector3::new_normalize(turn(d.into_inner())),
                1e-5,
            ),
        ] {
            let again = depths(&ridge(scan, &[zone]), &d)[0];
            assert!(
                (again - depth).abs() <= within,
                "{what}: {again} for {depth} leaning {lean_deg}"
            );
        }
    }
}
