//! Surveys beside grids of plain readings: every tilt of half a degree (of 1 or 1.5 where walls rule
//! out little, and the ridge has to be read for nearly all) is evaluated by itself, and what a survey
//! says of all tilts must hold for each of them.

use crate::thin::thinned;
use rayon::prelude::*;
use std::path::Path;
use tiltbench_case::Case;
use tiltbench_case::demo::{DemoCase, SampleKind, sample};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::Ridge;
use tiltbench_solver::control::Quiet;
use tiltbench_solver::evaluation::{Evaluation, evaluate};
use tiltbench_solver::limit::LimitKind;
use tiltbench_solver::{Problem, SurveyOptions, check, survey};
use tiltbench_tests::{problem_of, ridge_of};

/// Degrees. How far apart a proved allowance and the truth may be, and the width of a tie.
const PAIR_DEG: f64 = 0.06;

/// Whether all limits are met but those that a hand may pass: nothing binds, no wax is needed.
fn is_sound(evaluation: &Evaluation) -> bool {
    evaluation.broken().all(|reading| {
        matches!(
            reading.limit.kind,
            LimitKind::TiltMax | LimitKind::DraftMax | LimitKind::MetalMax
        )
    })
}

fn angle_deg(a: &UnitVector3<f64>, b: &UnitVector3<f64>) -> f64 {
    a.cross(b).norm().atan2(a.dot(b)).to_degrees()
}

/// Every tilt of the grid that the table allows.
fn grid(problem: &Problem<'_>, step_deg: f64) -> Vec<Evaluation> {
    let most = problem.limits.tilt_max_rad.to_degrees();
    let side = (0..=200_u32).filter(|i| f64::from(*i) * step_deg <= most);
    let steps = 2 * side.count();
    let at = |i: usize| (i as f64 - steps as f64 / 2.0) * step_deg;
    let all: Vec<Tilt> = (0..=steps)
        .flat_map(|i| (0..=steps).map(move |j| (i, j)))
        .filter_map(|(i, j)| Tilt::from_degrees(at(i), at(j)).ok())
        .filter(|tilt| tilt.total_rad().to_degrees() <= most)
        .collect();
    all.into_par_iter()
        .map(|tilt| {
            // The ridge is dear, and walls decide without it.
            let bare = evaluate(
                &Problem {
                    ridge: None,
                    ..*problem
                },
                tilt,
            );
            if bare.acceptable {
                evaluate(problem, tilt)
            } else {
                bare
            }
        })
        .collect()
}

fn read(kind: SampleKind) -> (Case, Ridge) {
    let DemoCase { case, mesh, .. } = sample(kind, 6_000);
    let case = Case::new(&case, Path::new("")).unwrap_or_else(|e| panic!("{e}"));
    let scan = thinned(&mesh.expect("the sample has a cast"), 3);
    let ridge = ridge_of(&case, scan).unwrap_or_else(|e| panic!("{e}"));
    (case, ridge)
}

fn holds_on_a_grid(kind: SampleKind, step_deg: f64) {
    let (case, ridge) = read(kind);
    let problem = problem_of(&case, Some(&ridge));
    let answer = survey(problem, &SurveyOptions::default(), &Quiet).expect("never cancelled");
    let grid = grid(&problem, step_deg);
    let acceptable: Vec<&Evaluation> = grid.iter().filter(|e| e.acceptable).collect();
    let Some(best) = answer.recommended else {
        assert!(
            acceptable.is_empty(),
            "{kind:?}: {:?} is acceptable after all",
            acceptable[0].tilt
        );
        return;
    };
    let allowance = best.allowance_rad.to_degrees();
    assert!(best.evaluation.acceptable);
    let within = grid
        .iter()
        .filter(|e| angle_deg(&e.direction, &best.evaluation.direction) < allowance - 1e-9);
    let mut count = 0;
    for evaluation in within {
        // The walls' own limits were enough to pass over the ridge, but not to say that it is sound.
        assert!(
            is_sound(evaluation),
            "{kind:?}: {:?} is within {allowance} degrees of {:?} and breaks a limit",
            evaluation.tilt,
            best.evaluation.tilt
        );
        count += 1;
    }
    // A circle of r degrees holds about pi (r / step)² tilts of the grid.
    let expected = std::f64::consts::PI * (allowance / step_deg).powi(2);
    assert!(
        f64::from(count) > 0.5 * expected - 4.0,
        "{count} {expected}"
    );
    // The roomiest of the grid, by distance to what is not acceptable, has no larger allowance.
    let mut roomy: Vec<(f64, &Evaluation)> = acceptable
        .iter()
        .map(|e| {
            let broken = grid.iter().filter(|other| !other.acceptable);
            let nearest = broken.map(|other| angle_deg(&e.direction, &other.direction));
            (nearest.fold(f64::INFINITY, f64::min), *e)
        })
        .collect();
    roomy.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (_, evaluation) in roomy.iter().take(3) {
        let checked = check(problem, evaluation.tilt, &Quiet).expect("never cancelled");
        let found = checked.allowance_rad;
        assert!(
            found.to_degrees() <= allowance + PAIR_DEG,
            "{kind:?}: {:?} has {} degrees, and {allowance} is the most by survey",
            evaluation.tilt,
            found.to_degrees()
        );
    }
}

#[test]
fn of_two_canines() {
    holds_on_a_grid(SampleKind::TwoCanines, 0.5);
}

#[test]
fn of_the_upper_compromise() {
    holds_on_a_grid(SampleKind::UpperCompromise, 1.0);
}

#[test]

fn of_a_ridge_alone() {
    holds_on_a_grid(SampleKind::RidgeOnly, 1.5);
}

#[test]
fn of_walls_that_share_no_draw() {
    holds_on_a_grid(SampleKind::ThreeNoCommonDraw, 0.5);
}

#[test]
fn before_waxing() {
    holds_on_a_grid(SampleKind::BeforeWaxing, 0.5);
}
