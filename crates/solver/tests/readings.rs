//! What is reported stands on accurate readings, and on enough of them, whatever the cheaper ones
//! leave out.
#![expect(clippy::expect_used, reason = "helpers of tests")]

mod common;

use common::flat_walls::{FlatWall, FlatWalls};
use common::skewed::{Added, Skewed};
use common::{brute_allowance_deg, cone, limits};
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::chart::CHART_DEPTH_MM;
use tiltbench_solver::control::Quiet;
use tiltbench_solver::problem::SKIM_DEPTH_MM;
use tiltbench_solver::sphere::{angle_between, travel};
use tiltbench_solver::{AlternativeName, Problem, Survey, SurveyOptions, check, survey};

fn nothing() -> Added {
    Box::new(|_| 0.0)
}

/// A cone about flat that allows draws within its half-angle.
fn upright(half_angle_deg: f64) -> Coping {
    let mut coping = cone("33", Tilt::FLAT.direction(), half_angle_deg);
    for wall in coping.walls.iter_mut().flatten() {
        wall.draft_max_rad = 45f64.to_radians();
    }
    coping
}

/// A labial wall 8 mm high and undercut 12 degrees, limit 1 mm: the posterior has to be lowered by
/// 4.8750 degrees at least. A skim finds it less deep by about what a skim may, which is 0.08 degree.
fn skimmed_too_shallow() -> Skewed {
    let off = 0.9 * SKIM_DEPTH_MM;
    Skewed {
        walls: FlatWalls::new(vec![FlatWall::undercut(8.0, 90.0, 12.0, 1.0)]),
        to_glance: Box::new(move |_| -off),
        to_skim: Box::new(move |_| -off),
        to_read: nothing(),
    }
}

fn answer_to(problem: Problem<'_>) -> Survey {
    survey(problem, &SurveyOptions::default(), &Quiet).expect("never cancelled")
}

/// The cone allows 4.84 degrees, 0.04 more than a skim asks for and 0.035 less than is needed.
#[test]
fn what_only_a_skim_allows_is_not_recommended() {
    let (copings, ridge) = ([upright(4.84)], skimmed_too_shallow());
    let answer = answer_to(Problem {
        copings: &copings,
        limits: limits(15.0),
        ridge: Some(&ridge),
    });
    assert!(answer.recommended.is_none(), "{:?}", answer.recommended);
    let least_bad = answer.least_bad.expect("something misses by least");
    assert!(!least_bad.evaluation.acceptable && least_bad.worst_overrun > 0.0);
}

/// Cones that leave a skim's widest tilt just unacceptable, and ones with room: what is recommended and
/// compared is acceptable as read, and its allowance holds.
#[test]
fn what_is_recommended_is_acceptable_as_read() {
    let ridge = skimmed_too_shallow();
    for half_angle_deg in [4.93, 5.2, 8.0] {
        let copings = [upright(half_angle_deg)];
        let problem = Problem {
            copings: &copings,
            limits: limits(15.0),
            ridge: Some(&ridge),
        };
        let answer = answer_to(problem);
        let best = answer.recommended.as_ref().expect("a tilt is acceptable");
        assert!(best.evaluation.acceptable, "{half_angle_deg}");
        let others = answer.alternatives.iter().filter(|a| a.allowance_rad > 0.0);
        let others = others.map(|other| (&other.evaluation, other.allowance_rad));
        let all = std::iter::once((&best.evaluation, best.allowance_rad)).chain(others);
        for (evaluation, allowance_rad) in all {
            assert!(evaluation.holds(), "{half_angle_deg}");
            let said = allowance_rad.to_degrees();
            let truth = brute_allowance_deg(&problem, &evaluation.direction, 15.0);
            assert!(
                (said - truth).abs() < 0.03,
                "{half_angle_deg}: said {said}, is {truth}"
            );
            let (_, checked) = check(problem, evaluation.tilt, &Quiet).expect("never cancelled");
            assert!(
                (checked.to_degrees() - truth).abs() < 0.03,
                "{half_angle_deg}"
            );
        }
        let widest = (half_angle_deg - 4.875) / 2.0;
        let most = answer.alternative(AlternativeName::MostForgiving);
        let said = most
            .expect("a tilt is acceptable")
            .allowance_rad
            .to_degrees();
        assert!(said > widest - 0.08, "{half_angle_deg}: {said} of {widest}");
    }
}

/// A wall 2 mm high facing the anterior, at its limit when the anterior is lowered by 8.13 degrees: an
/// allowance circle about flat touches its border there. 30 degrees along the circle the chart shows
/// 0.039 mm to spare, and the wall bulges by less than the chart may be off, but more than that.
#[test]
fn a_bulge_that_the_chart_does_not_show_bounds_the_allowance() {
    let border = (8.13f64).to_radians();
    let limit_mm = 2.0 * border.tan();
    let flat = Tilt::FLAT.direction();
    let top = travel(&flat, 60f64.to_radians(), border);
    let bulge_mm = 0.055;
    assert!(bulge_mm < CHART_DEPTH_MM);
    let bulge = move || -> Added {
        Box::new(move |d| {
            let away = angle_between(d, &top).to_degrees() / 0.6;
            bulge_mm * (-0.5 * away * away).exp()
        })
    };
    let ridge = Skewed {
        walls: FlatWalls::new(vec![FlatWall::undercut(2.0, 90.0, 0.0, limit_mm)]),
        to_glance: nothing(),
        to_skim: bulge(),
        to_read: bulge(),
    };
    let problem = Problem {
        copings: &[],
        limits: limits(15.0),
        ridge: Some(&ridge),
    };
    let (evaluation, said) = check(problem, Tilt::FLAT, &Quiet).expect("never cancelled");
    assert!(evaluation.acceptable);
    let said = said.to_degrees();
    let truth = brute_allowance_deg(&problem, &flat, 15.0);
    assert!(truth < 7.95, "the bulge reaches into the circle: {truth}");
    assert!((said - truth).abs() < 0.1, "said {said}, is {truth}");
}
