//! Sections in which straight ways across the draw are shut, and a bent one is not. Each point read
//! is compared with a closed form, and so is the definition, at some of them.

use crate::build::{Defined, depth_of, leaning, mesh, ridge, some, zone};
use crate::closed_forms::{bottle, defined_as};
use std::path::Path;
use tiltbench_case::read_case;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{SeatZone, UndercutSample};
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
use tiltbench_testkit::sheets::{Sheet, jittered};
use tiltbench_testkit::solids::{ProfilePoint, extrude, profile};

/// A section drawn out along y; outside is to the right of the walk.
fn drawn(corners: &[ProfilePoint], step: f64) -> tiltbench_testkit::solids::Solid {
    extrude(&profile(corners, step), 30.0, 60)
}

/// Compares every sample's reading with a closed form.
#[track_caller]
fn read_as(
    what: &str,
    (scan, zone): (&Mesh, SeatZone),
    d: &UnitVector3<f64>,
    within_mm: f64,
    expected: impl Fn(&Point3<f64>) -> Option<f64>,
) {
    let samples = &ridge(scan, &[zone]).undercut_samples(d)[0];
    let mut deepest = 0.0_f64;
    for sample in samples {
        let Some(expected) = expected(&sample.position) else {
            continue;
        };
        let depth = depth_of(sample);
        assert!(
            (depth - expected).abs() <= within_mm,
            "{what}: read {depth} for {expected} at {}",
            sample.position
        );
        deepest = deepest.max(depth);
    }
    assert!(deepest > 0.3, "{what}: {deepest} mm at most shows nothing");
}

/// Land that stands up plumb before a leaning flank, and turns away outward at the top: from the
/// trough between them every straight way meets it, and the flank's rim is still the way out.
fn plumb_land() -> Mesh {
    let corners = [
        [10.0, -5.5],
        [-0.8, -4.0],
        [-0.8, -8.0],
        [-2.0, -8.0],
        [0.0, 0.0],
        [-4.0, 0.0],
    ];
    mesh(drawn(&corners, 0.6))
}

fn trough() -> SeatZone {
    zone([-2.1, -4.0], [9.0, 4.0], Some([-8.1, -0.01]))
}

fn beside_land(lean: f64) -> impl Fn(&Point3<f64>) -> Option<f64> {
    // Toward the land's own top nothing overhangs: it stands plumb or leans away.
    move |p| Some(Sheet::depth([p.x, p.z], lean))
}

#[test]
fn a_plumb_land_by_definition() {
    for lean in [0.0, -1.0_f64.to_radians()] {
        let by_land = (&plumb_land(), trough());
        defined_as("land", by_land, &leaning(lean), 0.004, beside_land(lean));
    }
}

#[test]

fn a_plumb_land_as_read() {
    let lean = 0.0;
    read_as(
        "land",
        (&plumb_land(), trough()),
        &leaning(lean),
        0.01,
        beside_land(lean),
    );
}

/// A bottle whose mouth closes, to a fiftieth of a millimetre: the way out is where it was.
#[test]

fn a_closing_mouth_as_read() {
    for mouth in [0.4, 0.1, 0.01] {
        for lean in [0.0, 0.2_f64] {
            let (sin, cos) = lean.sin_cos();
            let across = |x: f64, z: f64| x * cos - z * sin;
            let (lower, upper) = (across(-mouth, -1.0), across(mouth, 0.0));
            // Down a mouth of a fiftieth of a millimetre no sample of the floor is seen: the zone hangs
            // together with what is seen through the neck, and the inside alone is looked at.
            let within = zone([-3.1, -3.0], [0.2, 3.0], Some([-5.1, 0.1]));
            read_as(
                "bottle",
                (&bottle(mouth, 1.0), within),
                &leaning(lean),
                0.01,
                |p| {
                    let at = across(p.x, p.z);
                    (p.z < -1.01).then(|| (lower - at).max(at - upper).max(0.0))
                },
            );
        }
    }
}

/// A shelf with a flat ceiling, scanned with noise: the ways along it scrape every bump.
#[test]

fn a_noisy_flat_ceiling_as_read() {
    let noise = 0.01;
    let corners = [
        [8.0, -6.0],
        [-4.0, -6.0],
        [-4.0, -2.0],
        [0.0, -2.0],
        [0.0, 0.0],
        [-6.0, 0.0],
    ];
    let scan = mesh(jittered(drawn(&corners, 0.4), noise, 5));
    let ceiling = zone([-4.1, -4.0], [2.0, 4.0], Some([-6.5, -0.5]));
    for lean in [0.0, 0.01_f64] {
        let depth = |p: &Point3<f64>| {
            // Seen from the point, the lower edge of the brim is the last to pass, unless the draw
            // leans to it, when the upper one is.
            let lower = Sheet::depth([p.x, p.z + 2.0], lean);
            let upper = Sheet::depth([p.x, p.z], lean);
            (p.x < -0.1 && p.z < -1.9).then(|| lower.max(upper))
        };
        let within = 2.0 * noise + 0.003;
        let zone = ceiling.clone();
        defined_as("ceiling", (&scan, zone), &leaning(lean), within, depth);
        let zone = ceiling.clone();
        read_as("ceiling", (&scan, zone), &leaning(lean), within, depth);
    }
}

/// A floor that falls, lies and rises across the draw as the draw leans, in tenths of a degree.
#[test]
fn a_floor_that_passes_across_the_draw_as_read() {
    let sheet = Sheet {
        flank: 14.0_f64.to_radians(),
        height: 6.0,
        floor: 0.0,
        sulcus: 1.0,
        step: 0.5,
        noise: 0.0,
        seed: 0,
    };
    let scan = mesh(sheet.solid());
    let ridge = ridge(&scan, &[zone([-12.0, -4.0], [2.0, 4.0], None)]);
    for tenth in -10..=10 {
        let lean = (f64::from(tenth) * 0.1).to_radians();
        let read = ridge.read(&leaning(lean))[0].undercut_depth_mm;
        let expected = sheet.zone_depth(8.0, lean);
        let within = sheet.sagitta() + 0.005;
        assert!(
            (read - expected).abs() <= within,
            "leaning {tenth} tenths of a degree: {read} for {expected}"
        );
    }
}

/// A point of the lower canines between the crown and the ridge, whose straight way is shut.
const SHUT: [f64; 3] = [-4.83, 21.54, -10.40];
/// Its depth at flat, mm, and how well that was known.
const SHUT_MM: [f64; 2] = [1.42, 0.02];

#[test]
fn the_point_of_the_lower_canines_that_once_was_shut() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../sample-cases");
    let case = read_case(&folder.join("two-canines.json")).unwrap_or_else(|e| panic!("{e}"));
    let cast = case.load_cast().unwrap_or_else(|e| panic!("{e}"));
    let scan = cast.expect("a cast").mesh;
    let up = UnitVector3::new_normalize(Vector3::z());
    let ridge = ridge(&scan, case.seat_zones());
    let samples: Vec<UndercutSample> = ridge.undercut_samples(&up).concat();
    let away = |p: &Point3<f64>| (p - Point3::from(SHUT)).norm();
    let nearest = samples
        .iter()
        .min_by(|a, b| away(&a.position).total_cmp(&away(&b.position)))
        .expect("the zone has samples");
    assert!(away(&nearest.position) < 0.2, "{}", nearest.position);
    let definition = Defined::new(&scan, &up);
    let defined = definition.depth(nearest);
    // Neighbouring points differ by their distance at most, nearly.
    let within = SHUT_MM[1] + away(&nearest.position);
    assert!((defined - SHUT_MM[0]).abs() <= within, "defined {defined}");
    let around: Vec<&UndercutSample> = samples.iter().filter(|s| away(&s.position) < 0.8).collect();
    for sample in some(&around, 12).copied().chain([nearest]) {
        let (read, defined) = (depth_of(sample), definition.depth(sample));
        assert!((read - defined).abs() <= 0.01, "{read} for {defined}");
    }
}
