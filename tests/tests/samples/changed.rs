//! No draw, and what is proposed against it, put into effect in the case file and surveyed afresh.

use crate::brute::Brute;
use crate::{answer_to, read, thinned};
use tiltbench_case::demo::SampleKind;
use tiltbench_case::schema::v1::{Basis, CaseFile, Limits};
use tiltbench_geometry::coping::Side;
use tiltbench_solver::limit::LimitClass;
use tiltbench_solver::{AlternativeName, Change};

fn wall(file: &mut CaseFile, coping: usize, side: Side) -> &mut tiltbench_case::schema::v1::Wall {
    let (Basis::Finished { walls } | Basis::Prep { prep: walls, .. }) =
        &mut file.copings[coping].basis;
    walls.get_mut(side).as_mut().expect("the wall is there")
}

/// Three axes that lean 10 degrees to three sides and taper 9: no draw, by 1 degree per wall
/// (derivation beside the sample). Every set of changes opens one, as the case file so changed says.
#[test]
fn every_proposed_set_of_changes_opens_a_tilt() {
    let (file, cast) = thinned(SampleKind::ThreeNoCommonDraw);
    let (case, ridge) = read(&file, cast.clone());
    let answer = answer_to(&case, Some(&ridge));
    assert!(answer.recommended.is_none());
    let common = answer.common_draw.expect("walls guide");
    assert!(!common.exists);
    let best = common.best_least_draft_rad.to_degrees();
    assert!((best + 1.0).abs() < 1e-3, "{best}");
    assert!(!answer.changes.is_empty(), "a taper of 11 would do");
    for set in &answer.changes {
        let mut changed = file.clone();
        for change in &set.changes {
            match *change {
                Change::Retaper {
                    coping,
                    side,
                    by_rad,
                } => {
                    wall(&mut changed, coping, side).taper_deg += by_rad.to_degrees();
                }
                Change::Unguide { coping, side, .. } => {
                    wall(&mut changed, coping, side).guides = Some(false);
                }
                // A coping that is made anew or left out limits nothing.
                Change::Reprepare { coping } | Change::Omit { coping } => {
                    for side in Side::ALL {
                        wall(&mut changed, coping, side).guides = Some(false);
                    }
                }
                Change::Blockout { .. } => panic!("no zone of this sample has a limit"),
            }
        }
        let (case, ridge) = read(&changed, cast.clone());
        let after = answer_to(&case, Some(&ridge));
        let best = after.alternative(AlternativeName::MostForgiving);
        let best = best.unwrap_or_else(|| panic!("{:?} opens nothing", set.changes));
        let allowance = best.allowance_rad.to_degrees();
        assert!(allowance > 1.0 - 1e-3, "{:?}: {allowance}", set.changes);
        let recommended = after.recommended.as_ref().expect("a tilt");
        let said = recommended.allowance_rad - set.allowance_rad;
        assert_eq!(recommended.evaluation.tilt, set.result.tilt);
        assert!(said.to_degrees().abs() < 0.05);
        let found = Brute::search(&case, &ridge).allowance_deg(&best.evaluation.direction);
        assert!((allowance - found).abs() < 0.1, "{allowance} {found}");
    }
}

/// The upper sample without the limits of its own: no tilt is acceptable, and what is given up is wax. Every
/// guiding wall draws, and is given no more draft than it may have; the ridge alone is too deep.
#[test]
fn what_misses_by_least_gives_up_wax_and_no_metal() {
    let (mut file, cast) = thinned(SampleKind::UpperCompromise);
    file.limits = Limits::default();
    let (case, ridge) = read(&file, cast);
    let answer = answer_to(&case, Some(&ridge));
    let least = answer.least_bad.expect("none is acceptable");
    assert_eq!(least.forbidden_by, LimitClass::Seat);
    let missed: Vec<LimitClass> = least
        .evaluation
        .broken()
        .map(|reading| reading.limit.kind.class())
        .collect();
    assert!(!missed.is_empty() && missed.iter().all(|class| *class == LimitClass::Seat));
}
