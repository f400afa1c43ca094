//! The same bits on any number of threads.

use crate::ridge;
use tiltbench_case::demo::SampleKind;
use tiltbench_geometry::limits::Limits;
use tiltbench_solver::Problem;
use tiltbench_solver::chart::{RidgeChart, TiltChart};
use tiltbench_solver::control::Quiet;

/// Every figure of every tilt of the chart: `Debug` prints the shortest digits that read back as the same
/// number.
#[test]
fn a_chart_has_the_same_bits_on_any_number_of_threads() {
    let ridge = ridge(SampleKind::TwoCanines);
    let reach_rad = 7.0_f64.to_radians();
    let problem = Problem {
        copings: &[],
        limits: Limits {
            tilt_max_rad: reach_rad,
            metal_min_mm: 0.3,
            metal_max_mm: 2.0,
            opposing_undercut_limit_mm: 1.0,
            allowance_wanted_rad: 2f64.to_radians(),
            setting_step_rad: 1f64.to_radians(),
        },
        ridge: Some(&ridge),
    };
    let figures = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("threads can be started");
        pool.install(|| {
            let read =
                RidgeChart::read(&ridge, reach_rad, &Quiet, &mut |_| {}).expect("not cancelled");
            let chart = TiltChart::new(problem, Some(&read));
            let points = chart.points(reach_rad).map(|point| format!("{point:?}"));
            points.collect::<Vec<String>>()
        })
    };
    let one = figures(1);
    assert!(one.len() > 2_000 && one.iter().all(|point| point.contains("depth_mm")));
    for threads in [2, 3] {
        for (one, more) in one.iter().zip(figures(threads)) {
            assert_eq!(*one, more, "{threads} threads");
        }
    }
}
