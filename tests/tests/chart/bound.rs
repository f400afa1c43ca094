//! The chart's bound.

use crate::{REACH_RAD, Worst, draws, errors, ridge};
use tiltbench_case::demo::SampleKind;
use tiltbench_solver::chart::{ChartStage, RidgeChart};
use tiltbench_solver::control::Quiet;

#[track_caller]
fn keeps_its_bound(kind: SampleKind) {
    let ridge = ridge(kind);
    let chart = RidgeChart::read(&ridge, REACH_RAD, &Quiet, &mut |_| {}).expect("not cancelled");
    let mut worst = Worst::default();
    for d in draws(50) {
        let shown = chart.at(&d).expect("within the reach");
        for (shown, read) in shown.iter().zip(ridge.read(&d)) {
            let errors = errors(shown, &read, &ChartStage::Fine.bound());
            worst.take(errors);
        }
    }
    assert!(
        worst.is_within() && worst.share_within_half() >= 0.9,
        "{kind:?}: depth, area, blockout off by shares of the bound: {worst:.2?}"
    );
}

#[test]
fn chart_of_a_mandible_keeps_its_bound() {
    keeps_its_bound(SampleKind::TwoCanines);
}

#[test]
fn chart_before_waxing_keeps_its_bound() {
    keeps_its_bound(SampleKind::BeforeWaxing);
}

#[test]
fn chart_of_a_maxilla_keeps_its_bound() {
    keeps_its_bound(SampleKind::UpperCompromise);
}

#[test]
fn chart_without_a_common_draw_keeps_its_bound() {
    keeps_its_bound(SampleKind::ThreeNoCommonDraw);
}

#[test]
fn chart_of_a_ridge_keeps_its_bound() {
    keeps_its_bound(SampleKind::RidgeOnly);
}
