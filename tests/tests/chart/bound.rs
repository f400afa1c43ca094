//! The chart's bound.

use crate::{charted, ridge};
use tiltbench_case::demo::SampleKind;
use tiltbench_solver::chart::{ChartBound, ChartStage};

/// Share of a zone's area. What a chart of a sample says its areas may be off, at most: a bound that says
/// nothing is always kept.
const AREA_AT_MOST: f64 = 0.03;

#[track_caller]
fn keeps_its_bound(kind: SampleKind) {
    let (chart, worst) = charted(&ridge(kind), 50);
    assert!(
        worst.is_within() && worst.share_within_half() >= 0.9,
        "{kind:?}: depth, area, blockout off by shares of the bound: {worst:.2?}, {:?}",
        chart.bound()
    );
    let (bound, asked) = (chart.bound(), ChartBound::ASKED);
    assert!(
        bound.depth_mm == asked.depth_mm
            && bound.area_share <= AREA_AT_MOST
            && bound.blockout_share == asked.blockout_share
            && bound.blockout_mm3 <= 4.0 * asked.blockout_mm3,
        "{kind:?}: {bound:?}"
    );
    assert_eq!(chart.stage(), ChartStage::Bounded);
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
