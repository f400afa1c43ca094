//! Readings of unlovely scans beside the definition.
//!
//! A hole is not sky in a reading, but it is one in the definition as it stands here. So with holes,
//! points are compared only where the scan with its holes filled is as deep as with them.

use crate::build::{Defined, depth_of, mesh, ridge, some, toward};
use crate::definition::CAP_MM;
use crate::thin::{in_two_sheets, thinned, with_duplicates, with_holes, with_slivers};
use std::path::Path;
use tiltbench_case::Case;
use tiltbench_case::demo::{DemoCase, SampleKind, sample};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{DepthAsk, SeatZone, UndercutSample};
use tiltbench_solver::sphere::travel;
use tiltbench_testkit::sheets::jittered;
use tiltbench_testkit::solids::Solid;

/// Noise of a scanner, mm.
const NOISE_MM: f64 = 0.008;

/// A sample's cast, thinned by edge collapse, and its zones.
pub(crate) fn cast(kind: SampleKind, facets: usize, one_in: usize) -> (Mesh, Vec<SeatZone>) {
    let DemoCase { case, mesh, .. } = sample(kind, facets);
    let case = Case::new(&case, Path::new("")).unwrap_or_else(|e| panic!("{e}"));
    let mesh = mesh.expect("the sample has a cast");
    (thinned(&mesh, one_in), case.seat_zones().to_vec())
}

fn noisy(scan: &Mesh, seed: u64) -> Mesh {
    let solid = Solid {
        vertices: scan.vertices.clone(),
        triangles: scan.triangles.clone(),
    };
    mesh(jittered(solid, NOISE_MM, seed))
}

/// Compares a reading with the definition at some undercut points of all zones, and at a few others.
fn compare(what: &str, scan: &Mesh, whole: Option<&Mesh>, zones: &[SeatZone]) -> Vec<String> {
    let d = toward(5.0, 70.0);
    let defined = Defined::new(scan, &d);
    let filled = whole.map(|whole| Defined::of(scan, whole, &d));
    let samples: Vec<UndercutSample> = ridge(scan, zones).undercut_samples(&d).concat();
    let (under, free): (Vec<_>, Vec<_>) = samples.iter().partition(|s| s.depth_mm.is_some());
    assert!(under.len() > 200, "{what}: {} undercut", under.len());
    let mut wrong = Vec::new();
    for sample in some(&under, 20).chain(some(&free, 8)) {
        let (read, exact) = (depth_of(sample), defined.depth(sample));
        // Between two sheets a point may be shut in for good: no reading is of use there.
        if what == "sheets" && exact >= CAP_MM {
            continue;
        }
        if let Some(filled) = &filled
            && (filled.depth(sample) - exact).abs() > 1e-3
        {
            continue;
        }
        if (read - exact).abs() > 0.01 {
            let at = sample.position;
            wrong.push(format!("{what}: read {read} for {exact} at {at}"));
        }
    }
    wrong
}

#[track_caller]
fn none(wrong: &[String]) {
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn thinned_to_half_a_fifth_and_a_twentieth() {
    let mut wrong = Vec::new();
    for (kind, facets) in [
        (SampleKind::TwoCanines, 24_000),
        (SampleKind::UpperCompromise, 16_000),
    ] {
        for one_in in [2, 5, 20] {
            let (scan, zones) = cast(kind, facets, one_in);
            let share = facets / one_in;
            let left = scan.triangles.len();
            assert!(left < share * 5 / 4, "{left} facets are left");
            let noisy = noisy(&scan, 3);
            wrong.extend(compare(
                &format!("{kind:?} / {one_in}"),
                &noisy,
                None,
                &zones,
            ));
        }
    }
    none(&wrong);
}

#[test]
fn with_slivers_duplicates_sheets_and_holes() {
    let (clean, zones) = cast(SampleKind::TwoCanines, 12_000, 2);
    let clean = noisy(&clean, 4);
    let mut wrong = compare("slivers", &with_slivers(&clean, 7), None, &zones);
    wrong.extend(compare("twice", &with_duplicates(&clean, 5), None, &zones));
    wrong.extend(compare(
        "sheets",
        &in_two_sheets(&clean, 0.03),
        None,
        &zones,
    ));
    let holed = with_holes(&clean, 150);
    wrong.extend(compare("holes", &holed, Some(&clean), &zones));
    none(&wrong);
}

/// What one reading says of a cone of draws holds for every draw in it.
#[test]
fn a_reading_bounds_all_draws_in_its_cone() {
    for (kind, one_in) in [(SampleKind::TwoCanines, 2), (SampleKind::RidgeOnly, 5)] {
        let (scan, zones) = cast(kind, 8_000, one_in);
        let ridge = ridge(&noisy(&scan, 5), &zones);
        for (turn, cone_deg) in [(20.0, 4.0), (160.0, 1.0), (280.0, 0.25)] {
            let d = toward(6.0, turn);
            let floors = vec![0.0; zones.len()];
            let ask = DepthAsk {
                cone_rad: f64::to_radians(cone_deg),
                floor_mm: &|zone, _| floors[zone],
                ceilings_mm: &[],
                within: None,
            };
            let cone = ridge.depths(&d, &ask, &|| false).expect("nothing stops it");
            for step in 0..8 {
                let share = f64::from(step + 1) / 8.0;
                let within = share * ask.cone_rad;
                let azimuth = 2.4 * f64::from(step);
                let there = travel(&d, azimuth, within);
                for (zone, read) in cone.zones.iter().zip(ridge.read(&there)) {
                    let depth = read.undercut_depth_mm;
                    let (least, most) = (zone.least_mm(within), zone.most_mm(within));
                    assert!(
                        least <= depth + 1e-6 && depth <= most + 1e-6,
                        "{kind:?}: {depth} is not within {least} to {most}, {within} away"
                    );
                }
            }
        }
    }
}
