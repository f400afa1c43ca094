//! Giving up a chart.

use crate::{REACH_RAD, ridge};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_case::demo::SampleKind;
use tiltbench_solver::chart::RidgeChart;
use tiltbench_solver::control::Control;

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
            assert!(reached < 3, "{after}");
            stages.push(reached);
        }
    }
    // In its first stage, and in a later one.
    assert!(
        stages.contains(&0) && stages.iter().any(|&n| n > 0),
        "{stages:?}"
    );
}
