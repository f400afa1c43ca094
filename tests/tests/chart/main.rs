//! The chart of the sample casts against the accurate reading, which knows nothing of nodes, of
//! sectors, or of a cast with fewer facets.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_case::Case;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_geometry::undercut::{Ridge, ZoneReading};
use tiltbench_geometry::{UnitVector3, Vector2};
use tiltbench_solver::chart::{
    CHART_AREA_SHARE, CHART_BLOCKOUT_MM3, CHART_BLOCKOUT_SHARE, CHART_DEPTH_MM, RidgeChart,
    ZoneFigures,
};
use tiltbench_solver::control::{Control, Quiet};
use tiltbench_solver::sphere::from_chart;
use tiltbench_tests::ridge_of;

const REACH_RAD: f64 = 20.0 * std::f64::consts::PI / 180.0;

/// As fine as the promise asks for, with some facets to spare for the cast with fewer.
const TRIANGLES: usize = 60_000;

fn ridge(kind: SampleKind) -> Ridge {
    let demo = sample(kind, TRIANGLES);
    let case = Case::new(&demo.case, Path::new("")).unwrap_or_else(|error| panic!("{error}"));
    ridge_of(&case, demo.mesh.expect("a cast")).unwrap_or_else(|error| panic!("{error}"))
}

/// Draws spread evenly over the chart (Vogel, "A better way to construct the sunflower head", Math.
/// Biosciences 44, 1979, 179-189), off the nodes.
fn draws(count: u32) -> Vec<UnitVector3<f64>> {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    (0..count)
        .map(|i| {
            let radius = ((f64::from(i) + 0.5) / f64::from(count)).sqrt() * REACH_RAD;
            let (sin, cos) = (f64::from(i) * golden).sin_cos();
            from_chart(Vector2::new(cos, sin) * radius)
        })
        .collect()
}

/// Errors of depth, area and blockout, each as a share of its bound.
fn errors(shown: &ZoneFigures, read: &ZoneReading) -> [f64; 3] {
    let blockout = (CHART_BLOCKOUT_SHARE * read.blockout_mm3).max(CHART_BLOCKOUT_MM3);
    [
        (shown.depth_mm - read.undercut_depth_mm).abs() / CHART_DEPTH_MM,
        (shown.undercut_area_mm2 - read.undercut_area_mm2).abs() / read.area_mm2 / CHART_AREA_SHARE,
        (shown.blockout_mm3 - read.blockout_mm3).abs() / blockout,
    ]
}

#[track_caller]
fn assert_bound(kind: SampleKind) {
    let ridge = ridge(kind);
    let chart = RidgeChart::read(&ridge, REACH_RAD, &Quiet, &mut |_| {}).expect("not cancelled");
    let (mut worst, mut within_half, mut count) = ([0.0_f64; 3], 0.0, 0.0);
    for d in draws(25) {
        let shown = chart.at(&d).expect("within the reach");
        for (shown, read) in shown.iter().zip(ridge.read(&d)) {
            let errors = errors(shown, &read);
            for (worst, error) in worst.iter_mut().zip(errors) {
                *worst = worst.max(error);
                within_half += f64::from(u8::from(error <= 0.5));
                count += 1.0;
            }
        }
    }
    let share = within_half / count;
    assert!(
        worst.iter().all(|&error| error <= 1.0) && share >= 0.9,
        "{kind:?}: depth, area, blockout off by {worst:.2?} of the bound, {share:.2} within half"
    );
}

#[test]
fn chart_of_a_mandible_keeps_its_bound() {
    assert_bound(SampleKind::TwoCanines);
}

#[test]
fn chart_of_a_maxilla_keeps_its_bound() {
    assert_bound(SampleKind::UpperCompromise);
}

#[test]
fn chart_of_a_ridge_keeps_its_bound() {
    assert_bound(SampleKind::RidgeOnly);
}

#[test]
fn a_chart_has_the_same_bits_on_any_number_of_threads() {
    let ridge = ridge(SampleKind::TwoCanines);
    let reach = 5.0_f64.to_radians();
    let bits = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("threads can be started");
        pool.install(|| {
            let chart =
                RidgeChart::read(&ridge, reach, &Quiet, &mut |_| {}).expect("not cancelled");
            let d = from_chart(Vector2::new(0.03, -0.05));
            let zones = chart.at(&d).expect("within the reach");
            let figures = |zone: &ZoneFigures| {
                [zone.depth_mm, zone.undercut_area_mm2, zone.blockout_mm3].map(f64::to_bits)
            };
            zones.iter().map(figures).collect::<Vec<_>>()
        })
    };
    assert_eq!(bits(1), bits(3));
}

/// What the chart's corrections stand on: off the scan itself, quickly, is as read. 200 draws in all.
#[test]
fn skimmed_figures_of_the_samples_are_those_read() {
    for kind in [
        SampleKind::TwoCanines,
        SampleKind::BeforeWaxing,
        SampleKind::UpperCompromise,
        SampleKind::ThreeNoCommonDraw,
        SampleKind::RidgeOnly,
    ] {
        let demo = sample(kind, 12_000);
        let case = Case::new(&demo.case, Path::new("")).unwrap_or_else(|error| panic!("{error}"));
        let ridge =
            ridge_of(&case, demo.mesh.expect("a cast")).unwrap_or_else(|error| panic!("{error}"));
        for d in draws(40) {
            let skimmed = ridge.skim(&d, None, &|| false).expect("nothing stops it");
            for (skimmed, read) in skimmed.iter().zip(ridge.read(&d)) {
                let off = [
                    (skimmed.undercut_area_mm2 - read.undercut_area_mm2).abs() / 1e-6,
                    (skimmed.blockout_mm3 - read.blockout_mm3).abs() / 1e-6,
                    (skimmed.depth_mm - read.undercut_depth_mm).abs() / 0.012,
                ];
                assert!(off.iter().all(|off| *off < 1.0), "{kind:?} {d:?}: {off:?}");
            }
        }
    }
}

/// A control that lets so many questions pass and then says to stop.
struct StopsAfter(AtomicUsize);

impl Control for StopsAfter {
    fn progress(&self, _work: &'static str, _done: f64) {}
    fn cancelled(&self) -> bool {
        let left = |left: usize| left.checked_sub(1);
        self.0.fetch_update(Relaxed, Relaxed, left).is_err()
    }
}

#[test]
fn a_chart_is_given_up_wherever_it_is() {
    let ridge = ridge(SampleKind::TwoCanines);
    let mut stages = Vec::new();
    for after in [0, 1, 10, 1_000, 30_000, 150_000, 400_000] {
        let control = StopsAfter(AtomicUsize::new(after));
        let mut reached = 0;
        let read = RidgeChart::read(&ridge, REACH_RAD, &control, &mut |_| reached += 1);
        if read.is_err() {
            assert!(reached < 4, "{after}");
            stages.push(reached);
        }
    }
    // In its first stage, and in a later one.
    assert!(
        stages.contains(&0) && stages.iter().any(|&n| n > 0),
        "{stages:?}"
    );
}
