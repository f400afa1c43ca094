//! Two open scans, in metres and off no dental scanner, taken the whole way: report, cast frame,
//! zones, check, survey. `tests/reference/SOURCE.md` says what they are.
//!
//! Undercut areas and blockout are compared with figures from an independent ray caster over zones
//! that are cut and tiled independently (`seat`). The copings on them are invented.
//!
//! The scans are fetched by `tests/reference/fetch.py`. Where they are not there the tests say so on
//! standard error and check nothing; with `CI=true` they fail.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

mod caster;
mod program;
mod seat;

use caster::Caster;
use seat::Seat;
use std::f64::consts::TAU;
use std::io::Write;
use tiltbench_case::mesh_io::{ScanReport, Unit, read_scan};
use tiltbench_case::{Case, read_case};
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{Ridge, SeatZone};
use tiltbench_geometry::{Point3, UnitVector3};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::evaluation::evaluate;
use tiltbench_solver::limit::{LimitClass, LimitKind, Place};
use tiltbench_solver::sphere::travel;
use tiltbench_solver::{Problem, Survey, SurveyOptions, check, survey};
use tiltbench_tests::{must_run_everything, problem_of, reference_folder, ridge_of};

const DOG: &str = "dog-mandible.json";
const HUMAN: &str = "human-mandible.json";

/// A case whose scan has been fetched; `None`, said aloud, where it has not.
fn open_case(name: &str) -> Option<Case> {
    let case = read_case(&reference_folder().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    let scan = case.cast().expect("the case has a cast").path();
    if scan.exists() {
        return Some(case);
    }
    let message = format!(
        "NOT TESTED: {} is not there. Run tests/reference/fetch.py to fetch it.",
        scan.display()
    );
    assert!(!must_run_everything(), "{message}");
    say_aloud(&message);
    None
}

/// Says something on standard error. Not through `eprintln`, which the test runner keeps to itself
/// when a test passes.
fn say_aloud(message: &str) {
    std::io::stderr()
        .write_all(format!("\n{message}\n\n").as_bytes())
        .expect("standard error is there");
}

fn cast_of(case: &Case) -> Mesh {
    let loaded = case.load_cast().unwrap_or_else(|e| panic!("{e}"));
    loaded.expect("the case has a cast").mesh
}

fn answer_to(problem: Problem<'_>) -> Survey {
    survey(problem, &SurveyOptions::default(), &Quiet).expect("never cancelled")
}

fn surveyed_by_library(case: &Case) -> Survey {
    let ridge = ridge_of(case, cast_of(case)).unwrap_or_else(|e| panic!("{e}"));
    answer_to(problem_of(case, Some(&ridge)))
}

fn draw(alpha_deg: f64, lambda_deg: f64) -> UnitVector3<f64> {
    let tilt = Tilt::from_degrees(alpha_deg, lambda_deg).expect("not too steep");
    tilt.direction()
}

/// What a scan is, counted by a script of a few lines on an array library (positions made one where equal to
/// the bit, edges counted in a dictionary): outside figures.
struct Counted {
    triangles: usize,
    vertices: usize,
    components: usize,
    open_edges: usize,
    non_manifold_edges: usize,
    extent_mm: [f64; 3],
    area_mm2: f64,
    volume_mm3: Option<f64>,
}

fn reported_as(name: &str, counted: &Counted) {
    let Some(case) = open_case(name) else { return };
    let cast = case.cast().expect("the case has a cast");
    assert_eq!(cast.unit(), Unit::Metre);
    let scan = read_scan(cast.path()).unwrap_or_else(|e| panic!("{e}"));

    // Taken for millimetres, the scan is said to be in metres.
    let report = ScanReport::new(&scan, Unit::Millimetre).expect("a mesh");
    assert_eq!(report.likely_unit, Some("m"));
    let remarks = report.remarks.join("\n");
    assert!(remarks.contains("set scan_unit to \"m\""), "{remarks}");

    let report = ScanReport::new(&scan, cast.unit()).expect("a mesh");
    assert_eq!(report.format, "stl-binary");
    assert_eq!(report.likely_unit, Some("m"));
    assert_eq!(report.triangles, counted.triangles);
    assert_eq!(report.vertices, counted.vertices);
    assert_eq!(report.components, counted.components);
    assert_eq!(report.open_edges, counted.open_edges);
    assert_eq!(report.non_manifold_edges, counted.non_manifold_edges);
    assert_eq!(report.inside_out_components, 0);
    assert!(report.consistently_wound);
    assert_eq!(report.watertight, counted.volume_mm3.is_some());
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs();
    for (side, expected) in report.extent_mm.iter().zip(counted.extent_mm) {
        assert!(near(*side, expected), "{side} {expected}");
    }
    assert!(near(report.area_mm2, counted.area_mm2));
    assert_eq!(report.volume_mm3.is_some(), counted.volume_mm3.is_some());
    if let (Some(volume), Some(expected)) = (report.volume_mm3, counted.volume_mm3) {
        assert!(near(volume, expected), "{volume} {expected}");
    }
}

#[test]
fn the_dog_mandible_is_reported_as_counted() {
    let counted = Counted {
        triangles: 31_132,
        vertices: 15_612,
        components: 23,
        open_edges: 0,
        non_manifold_edges: 0,
        extent_mm: [134.580_493, 79.647_891, 105.119_228],
        area_mm2: 27_296.273_594,
        volume_mm3: Some(62_092.756_380),
    };
    reported_as(DOG, &counted);
}

#[test]
fn the_human_mandible_is_reported_as_counted() {
    let counted = Counted {
        triangles: 2_916,
        vertices: 1_459,
        components: 1,
        open_edges: 4,
        non_manifold_edges: 1,
        extent_mm: [74.880_999, 85.997_000, 106.888_000],
        area_mm2: 17_637.186_851,
        volume_mm3: None,
    };
    reported_as(HUMAN, &counted);
}

/// The areas and volumes of a case's zones, for several draws, against the independent ones.
fn agrees_with_the_caster(case: &Case, mesh: Mesh, zones: &[SeatZone], tilts: &[[f64; 2]]) {
    let casters: Vec<(Caster, Seat)> = zones
        .iter()
        .map(|zone| {
            let [x, y] = zone.outline[0];
            let caster = Caster::new(&mesh, Point3::new(x, y, 0.0));
            let seat = Seat::new(&mesh, zone, &caster);
            (caster, seat)
        })
        .collect();
    let margins: Vec<_> = case.copings().iter().map(Into::into).collect();
    let ridge = Ridge::new(mesh.into(), zones, &margins).unwrap_or_else(|e| panic!("{e}"));
    let mut undercut = 0.0;
    for &[alpha, lambda] in tilts {
        let d = draw(alpha, lambda);
        let readings = ridge.read(&d);
        for ((zone, reading), (caster, seat)) in zones.iter().zip(&readings).zip(&casters) {
            let place = format!("\"{}\" at {alpha}, {lambda}", zone.name);
            let total = seat.area;
            assert!(
                (reading.area_mm2 - total).abs() < 1e-6 * total,
                "{place}: a zone of {} mm², and {total} independently",
                reading.area_mm2
            );
            let area = seat.undercut_area(caster, &d);
            let off = (reading.undercut_area_mm2 - area).abs() / total;
            assert!(
                off < 1e-3,
                "{place}: {} mm² undercut, and {area} independently, of {total}",
                reading.undercut_area_mm2
            );
            let volume = seat.blockout_volume(caster, &d);
            let off = (reading.blockout_mm3 - volume).abs();
            assert!(
                off < 5e-3 * volume + 0.01,
                "{place}: {} mm³ of blockout, and {volume} independently",
                reading.blockout_mm3
            );
            undercut += area / total;
        }
    }
    let mean = undercut / (zones.len() * tilts.len()) as f64;
    assert!((0.05..0.95).contains(&mean), "some of it is undercut");
}

fn zone(name: &str, outline: [[f64; 2]; 4], z_range: [f64; 2]) -> SeatZone {
    SeatZone {
        name: name.into(),
        outline: outline.into(),
        z_range: Some(z_range),
        undercut_limit_mm: None,
        opposes: None,
        blockout: None,
    }
}

#[test]
fn undercut_of_the_dog_mandible_agrees_with_an_independent_caster() {
    let Some(case) = open_case(DOG) else { return };
    let mut zones = case.seat_zones().to_vec();
    // A premolar in its socket: two pieces of the scan, one inside the other, with gaps between.
    let around = [[10.5, 8.0], [15.0, 8.0], [15.0, 14.0], [10.5, 14.0]];
    zones.push(zone("premolar", around, [0.0, 8.0]));
    let tilts = [[0.0, 0.0], [-8.6, 0.0], [6.0, -9.0], [2.0, 12.0]];
    agrees_with_the_caster(&case, cast_of(&case), &zones, &tilts);
}

#[test]
fn undercut_of_the_human_mandible_agrees_with_an_independent_caster() {
    let Some(case) = open_case(HUMAN) else { return };
    let labial = [[-10.0, 15.0], [10.0, 15.0], [10.0, 24.0], [-10.0, 24.0]];
    let lingual = [[15.0, -18.0], [22.0, -18.0], [22.0, -2.0], [15.0, -2.0]];
    // Across the ridge, clockwise, and without a range of z: the chin's underside comes off.
    let across = [[-32.0, -4.0], [-15.0, -4.0], [-17.0, -12.0], [-34.0, -12.0]];
    let zones = [
        zone("labial flange", labial, [-12.0, -3.0]),
        zone("lingual flange", lingual, [-14.0, -3.0]),
        zone("across", across, [-60.0, 20.0]),
    ];
    let tilts = [[0.0, 0.0], [-5.4, -0.5], [5.0, 8.0], [-11.0, -6.0]];
    agrees_with_the_caster(&case, cast_of(&case), &zones, &tilts);
}

type Broken = Vec<(LimitKind, Place)>;

/// The rigid and seat limits that are not met somewhere on a circle of draws around `d`: what a setting
/// allowance is measured to.
fn broken_around(problem: Problem<'_>, d: &UnitVector3<f64>, angle_rad: f64) -> Broken {
    let circle = (0..24).map(|i| travel(d, f64::from(i) / 24.0 * TAU, angle_rad));
    circle
        .flat_map(|there| {
            let tilt = Tilt::from_direction(&there).expect("within the table's reach");
            let evaluation = evaluate(&problem, tilt);
            let broken = evaluation.broken();
            broken
                .filter(|reading| reading.limit.kind.class() != LimitClass::Preference)
                .map(|reading| (reading.limit.kind, reading.limit.place))
                .collect::<Broken>()
        })
        .collect()
}

/// What governs a recommended tilt is what is broken just outside its circle. `drafts_deg`: the drafts
/// required of the guiding walls, one survey each, so that ridge and walls both govern somewhere.
fn names_what_governs(case: &Case, drafts_deg: [f64; 2]) {
    let ridge = ridge_of(case, cast_of(case)).unwrap_or_else(|e| panic!("{e}"));
    let mut named = Broken::new();
    for draft_deg in drafts_deg {
        let mut copings = case.copings().to_vec();
        for wall in copings
            .iter_mut()
            .flat_map(|it| it.walls.iter_mut().flatten())
        {
            wall.draft_min_rad = draft_deg.to_radians();
        }
        let problem = Problem {
            copings: &copings,
            ..problem_of(case, Some(&ridge))
        };
        let best = answer_to(problem)
            .recommended
            .expect("a tilt is acceptable");
        let governing: Broken = best
            .governing
            .iter()
            .map(|reading| (reading.limit.kind, reading.limit.place))
            .collect();
        let d = best.evaluation.direction;
        let beyond = |deg: f64| broken_around(problem, &d, best.allowance_rad + deg.to_radians());
        let unnamed = beyond(0.1)
            .into_iter()
            .find(|limit| !governing.contains(limit));
        assert_eq!(unnamed, None, "{draft_deg}: governs and is not named");
        let farther = beyond(0.25);
        let idle = governing.iter().find(|limit| !farther.contains(limit));
        assert_eq!(idle, None, "{draft_deg}: is named and does not govern");
        named.extend(governing);
    }
    let of_ridge = named.iter().any(|(kind, _)| kind.is_of_ridge());
    let of_walls = named.iter().any(|(kind, _)| !kind.is_of_ridge());
    assert!(of_ridge && of_walls, "{named:?}");
}

/// Surveys a case whose ridge and walls are known to leave a narrow choice, and holds the answer to
/// what it says.
fn surveyed(case: &Case) {
    let ridge = ridge_of(case, cast_of(case)).unwrap_or_else(|e| panic!("{e}"));
    let problem = problem_of(case, Some(&ridge));
    let answer = answer_to(problem);
    let best = answer.recommended.as_ref().expect("a tilt is acceptable");
    let d = best.evaluation.direction;
    assert!(best.evaluation.acceptable && answer.least_bad.is_none());

    // The walls, by their definition: least draft over a sector walked in steps of a degree.
    for coping in case.copings() {
        for (side, wall) in coping.existing_walls().filter(|(_, wall)| wall.guides) {
            let drafts = (-45..=45).map(|step| {
                let phi = quarter(side) + f64::from(step).to_radians();
                let r =
                    coping.mesial.into_inner() * phi.cos() + coping.labial.into_inner() * phi.sin();
                let n = r * wall.taper_rad.cos() + coping.axis.into_inner() * wall.taper_rad.sin();
                n.dot(&d).asin().to_degrees()
            });
            let least = drafts.fold(f64::INFINITY, f64::min);
            assert!(least > -1e-6, "{} {side:?}: {least}", coping.id);
        }
    }
    // The zones, by their readings.
    let depths: Vec<f64> = ridge.read(&d).iter().map(|z| z.undercut_depth_mm).collect();
    for (depth, zone) in depths.iter().zip(case.seat_zones()) {
        let limit = zone.undercut_limit_mm.unwrap_or(f64::INFINITY);
        assert!(*depth <= limit + 1e-6, "{}: {depth}", zone.name);
    }
    for (i, j) in case.opposing_pairs() {
        let sum = depths[i] + depths[j];
        assert!(
            sum <= case.limits().opposing_undercut_limit_mm + 1e-6,
            "{sum}"
        );
    }
    // The allowance, on readings around it: nothing inside is unacceptable, something just outside is.
    let allowance = best.allowance_rad;
    assert!(allowance.to_degrees() > 0.5);
    let inside = broken_around(problem, &d, allowance - 0.02_f64.to_radians());
    assert_eq!(inside, []);
    let outside = broken_around(problem, &d, allowance + 0.1_f64.to_radians());
    assert!(
        !outside.is_empty(),
        "the allowance is larger than {allowance}"
    );

    let (evaluation, checked) =
        check(problem, best.evaluation.tilt, &Quiet).expect("never cancelled");
    assert_eq!(evaluation, best.evaluation);
    assert!((checked - allowance).to_degrees().abs() < 0.05);
    let (flat, none) = check(problem, Tilt::FLAT, &Quiet).expect("never cancelled");
    assert!(!flat.acceptable && none <= 0.0, "the cast has to be tilted");
}

/// Normal-azimuth of the middle of a wall.
fn quarter(side: Side) -> f64 {
    match side {
        Side::Mesial => 0.0,
        Side::Labial => 0.25 * TAU,
        Side::Distal => 0.5 * TAU,
        Side::Lingual => 0.75 * TAU,
    }
}

#[test]
fn the_dog_mandible_is_surveyed() {
    if let Some(case) = open_case(DOG) {
        surveyed(&case);
    }
}

#[test]
fn the_human_mandible_is_surveyed() {
    if let Some(case) = open_case(HUMAN) {
        surveyed(&case);
    }
}

#[test]
fn what_governs_on_the_dog_mandible_is_named() {
    if let Some(case) = open_case(DOG) {
        names_what_governs(&case, [0.0, 1.5]);
    }
}

#[test]
fn what_governs_on_the_human_mandible_is_named() {
    if let Some(case) = open_case(HUMAN) {
        names_what_governs(&case, [0.0, 1.5]);
    }
}

/// The cheaper readings of a draw beside the accurate one, on scans that are open, ragged and coarse:
/// areas and volumes are the same sums, depths within a fifth of the chart's bound.
#[test]
fn skimmed_figures_of_open_scans_are_those_read() {
    for name in [DOG, HUMAN] {
        let Some(case) = open_case(name) else {
            continue;
        };
        let ridge = ridge_of(&case, cast_of(&case)).unwrap_or_else(|e| panic!("{e}"));
        for step in 0..12 {
            let around = f64::from(step) * TAU / 12.0;
            let tilt_deg = 3.0 + 1.4 * f64::from(step);
            let d = draw(tilt_deg * around.cos(), tilt_deg * around.sin());
            let skimmed = ridge.skim(&d, None, &|| false).expect("nothing stops it");
            for (zone, read) in ridge.read(&d).iter().enumerate() {
                let skimmed = &skimmed[zone];
                let off = [
                    (skimmed.undercut_area_mm2 - read.undercut_area_mm2).abs() / 1e-6,
                    (skimmed.blockout_mm3 - read.blockout_mm3).abs() / 1e-6,
                    (skimmed.depth_mm - read.undercut_depth_mm).abs() / 0.012,
                ];
                assert!(
                    off.iter().all(|off| *off < 1.0),
                    "{name}, {tilt_deg}: {off:?}"
                );
            }
        }
    }
}
