//! The chart of the sample casts against the accurate reading, which knows nothing of cells and nodes.
//!
//! * `bound`: the chart's bound. `unlovely`: on casts that no chart follows well. `stages`: the bounds of its
//!   stages. `cost`: how many readings it takes.
//! * `threads`: the same bits. `stopping`: giving up.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

mod bound;
mod cost;
mod stages;
mod stopping;
mod threads;
mod unlovely;

use std::path::Path;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_case::{Case, read_case};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{Ridge, ZoneReading};
use tiltbench_geometry::{UnitVector3, Vector2};
use tiltbench_solver::chart::{ChartBound, RidgeChart, ZoneFigures};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::sphere::from_chart;
use tiltbench_tests::ridge_of;

const REACH_RAD: f64 = 20.0 * std::f64::consts::PI / 180.0;

/// The samples that have a cast.
const CASTS: [SampleKind; 5] = [
    SampleKind::TwoCanines,
    SampleKind::BeforeWaxing,
    SampleKind::UpperCompromise,
    SampleKind::ThreeNoCommonDraw,
    SampleKind::RidgeOnly,
];

/// A sample made with so many facets, its vertices then moved.
fn made(kind: SampleKind, triangles: usize, moved: impl FnOnce(&mut Mesh)) -> Ridge {
    let demo = sample(kind, triangles);
    let case = Case::new(&demo.case, Path::new("")).unwrap_or_else(|error| panic!("{error}"));
    let mut cast = demo.mesh.expect("a cast");
    moved(&mut cast);
    ridge_of(&case, cast).unwrap_or_else(|error| panic!("{error}"))
}

/// A sample of the repository: 92,000 facets.
fn ridge(kind: SampleKind) -> Ridge {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../sample-cases");
    let case = read_case(&folder.join(format!("{}.json", kind.file_stem())))
        .unwrap_or_else(|error| panic!("{error}"));
    let loaded = case.load_cast().unwrap_or_else(|error| panic!("{error}"));
    ridge_of(&case, loaded.expect("a cast").mesh).unwrap_or_else(|error| panic!("{error}"))
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

/// Its chart, and the worst errors of the chart at so many draws as shares of what it says they may be.
fn charted(ridge: &Ridge, count: u32) -> (RidgeChart, Worst) {
    let chart = RidgeChart::read(ridge, REACH_RAD, &Quiet, &mut |_| {}).expect("not cancelled");
    let mut worst = Worst::default();
    for d in draws(count) {
        let shown = chart.at(&d).expect("within the reach");
        for (shown, read) in shown.iter().zip(ridge.read(&d)) {
            worst.take(errors(shown, &read, &chart.bound()));
        }
    }
    (chart, worst)
}

/// What is told of a zone beside what is read: errors of depth, area and blockout, each as a share of
/// a bound.
fn errors(told: &ZoneFigures, read: &ZoneReading, bound: &ChartBound) -> [f64; 3] {
    let blockout = bound.of_blockout_mm3(read.blockout_mm3);
    [
        (told.depth_mm - read.undercut_depth_mm).abs() / bound.depth_mm,
        (told.undercut_area_mm2 - read.undercut_area_mm2).abs() / read.area_mm2 / bound.area_share,
        (told.blockout_mm3 - read.blockout_mm3).abs() / blockout,
    ]
}

/// The errors that are told apart, worst first, and how many are within half of the bound.
#[derive(Debug, Default)]
struct Worst {
    errors: [f64; 3],
    within_half: f64,
    count: f64,
}

impl Worst {
    fn take(&mut self, errors: [f64; 3]) {
        for (worst, error) in self.errors.iter_mut().zip(errors) {
            *worst = worst.max(error);
            self.within_half += f64::from(u8::from(error <= 0.5));
            self.count += 1.0;
        }
    }

    fn is_within(&self) -> bool {
        self.errors.iter().all(|&error| error <= 1.0)
    }

    fn share_within_half(&self) -> f64 {
        self.within_half / self.count
    }
}
