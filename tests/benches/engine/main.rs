//! What the engine costs, in one run beside its baseline: surveys of the samples, one tilt judged with its
//! allowance, one tilt read, a tilt under the hand, the chart, a cast of 28 facets, memory.
//!
//! `cargo bench -p tiltbench-tests --bench engine` prints a table; times are medians. Only on a machine
//! that does nothing else are they worth much.
#![expect(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a bench that cannot go on has failed, and says what it measured"
)]

mod casts;
mod counting;

use casts::{Measured, Rays, block};
use counting::Counting;
use std::process::Command;
use std::time::{Duration, Instant};
use tiltbench_case::demo::SampleKind;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::chart::{RidgeChart, TiltChart};
use tiltbench_solver::control::{CancelFlag, Quiet};
use tiltbench_solver::{Problem, RidgeReader, SurveyOptions, check, survey};

/// Set by the bench for the run whose memory is looked at.
const LOOKED_AT: &str = "TILTBENCH_MEMORY";

const REACH_RAD: f64 = 20.0 * std::f64::consts::PI / 180.0;

const SAMPLES: [SampleKind; 5] = [
    SampleKind::TwoCanines,
    SampleKind::BeforeWaxing,
    SampleKind::ThreeNoCommonDraw,
    SampleKind::UpperCompromise,
    SampleKind::RidgeOnly,
];

fn main() {
    if std::env::var_os(LOOKED_AT).is_some() {
        let million = Measured::made(SampleKind::TwoCanines, 1_000_000);
        surveyed(&problem(&million, &Counting::new(&million.ridge)));
        println!("{}", peak_mb().unwrap_or(f64::NAN));
        return;
    }
    println!("| work | asked | measured | readings | a ray from every facet, one tilt |");
    println!("|---|---|---|---|---|");
    for kind in SAMPLES {
        let asked = if kind == SampleKind::UpperCompromise {
            "2 s"
        } else {
            "1 s"
        };
        let cast = Measured::sample(kind);
        let counting = Counting::new(&cast.ridge);
        let work = format!("survey, {}", kind.file_stem());
        let run = || surveyed(&problem(&cast, &counting));
        row(
            &work,
            asked,
            3,
            run,
            Some(&counting),
            &Rays::new(&cast.cast),
        );
    }
    at_300_000();
    at_1_000_000();
    of_28();
}

fn at_300_000() {
    let cast = Measured::made(SampleKind::TwoCanines, 300_000);
    let (counting, rays) = (Counting::new(&cast.ridge), Rays::new(&cast.cast));
    let problem = problem(&cast, &counting);
    let all = Some(&counting);
    row(
        "check with allowance, 300,000",
        "0.5 s",
        5,
        || checked(&problem),
        all,
        &rays,
    );
    row(
        "accurate tilt, 300,000",
        "25 ms",
        15,
        || drop(counting.read(&draw())),
        all,
        &rays,
    );
    let live = || drop(counting.preview(&draw(), &|| false));
    row("live tilt, 300,000", "6 ms", 31, live, all, &rays);
    let first = || {
        let enough = CancelFlag::default();
        let read = RidgeChart::read(&counting, REACH_RAD, &enough, &mut |_| enough.cancel());
        assert!(read.is_err(), "there is more than a first stage");
    };
    row(
        "first coarse chart, 300,000",
        "100 ms",
        9,
        first,
        all,
        &rays,
    );
    let chart = || {
        let read = RidgeChart::read(&counting, REACH_RAD, &Quiet, &mut |_| {});
        let read = read.expect("not cancelled");
        let points = TiltChart::new(problem, Some(&read));
        assert!(points.points(REACH_RAD).count() == 2_233);
    };
    row(
        "chart of 2,233 tilts, 300,000",
        "1.5 s",
        3,
        chart,
        all,
        &rays,
    );
}

fn at_1_000_000() {
    let cast = Measured::made(SampleKind::TwoCanines, 1_000_000);
    let (counting, rays) = (Counting::new(&cast.ridge), Rays::new(&cast.cast));
    let problem = problem(&cast, &counting);
    let all = Some(&counting);
    row(
        "check with allowance, 1,000,000",
        "-",
        3,
        || checked(&problem),
        all,
        &rays,
    );
    row(
        "survey, 1,000,000",
        "8 s",
        1,
        || surveyed(&problem),
        all,
        &rays,
    );
    println!(
        "| memory, survey of 1,000,000 | 400 MB | {} | | |",
        memory()
    );
}

fn of_28() {
    let (cast, ridge) = block();
    let counting = Counting::new(&ridge);
    let problem = Problem {
        cleared_mm: &[],
        copings: &[],
        limits: Limits {
            tilt_max_rad: 15.0_f64.to_radians(),
            metal_min_mm: 0.3,
            metal_max_mm: 2.0,
            opposing_undercut_limit_mm: 1.0,
        },
        ridge: Some(&counting),
    };
    let work = format!("survey, {} facets", cast.triangles.len());
    row(
        &work,
        "0.2 s",
        3,
        || surveyed(&problem),
        Some(&counting),
        &Rays::new(&cast),
    );
}

/// Measures some work and the baseline beside it.
fn row(
    work: &str,
    asked: &str,
    times: usize,
    run: impl Fn(),
    counting: Option<&Counting<'_>>,
    rays: &Rays<'_>,
) {
    // Once before, so that nothing is measured that only the first run meets; and counted.
    if times > 1 {
        run();
        counting.map(Counting::counted);
    }
    let first = median(1, &run);
    let readings = counting.map_or_else(String::new, Counting::counted);
    let measured = if times > 1 {
        median(times, &run)
    } else {
        first
    };
    let beside = median(3, || {
        std::hint::black_box(rays.hidden(&draw()));
    });
    println!(
        "| {work} | {asked} | {} | {readings} | {} |",
        shown(measured),
        shown(beside)
    );
}

fn median(times: usize, run: impl Fn()) -> Duration {
    let mut took: Vec<Duration> = (0..times)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .collect();
    took.sort_unstable();
    took[times / 2]
}

fn shown(time: Duration) -> String {
    format!("{:.1} ms", time.as_secs_f64() * 1e3)
}

fn draw() -> UnitVector3<f64> {
    let tilt = Tilt::from_degrees(-6.0, 2.0).expect("a tilt of a table");
    std::hint::black_box(tilt.direction())
}

fn problem<'a>(of: &'a Measured, ridge: &'a Counting<'_>) -> Problem<'a> {
    Problem {
        cleared_mm: &[],
        copings: of.case.copings(),
        limits: *of.case.limits(),
        ridge: Some(ridge),
    }
}

fn surveyed(problem: &Problem<'_>) {
    let found = survey(*problem, &SurveyOptions::default(), &Quiet);
    std::hint::black_box(found.expect("never cancelled"));
}

fn checked(problem: &Problem<'_>) {
    let tilt = Tilt::from_degrees(-6.0, 2.0).expect("a tilt of a table");
    let found = check(*problem, tilt, &Quiet);
    std::hint::black_box(found.expect("never cancelled"));
}

/// Peak memory of a run of its own that makes a cast of a million facets and surveys it.
fn memory() -> String {
    let own = std::env::current_exe().expect("a program has a path");
    let run = Command::new(own).env(LOOKED_AT, "1").output();
    let said = run.ok().and_then(|run| String::from_utf8(run.stdout).ok());
    let peak: Option<f64> = said.and_then(|said| said.trim().parse().ok());
    peak.filter(|mb| mb.is_finite())
        .map_or_else(|| "not measured".to_owned(), |mb| format!("{mb:.0} MB"))
}

/// What Linux says a program held at its most.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1024.0)
}
