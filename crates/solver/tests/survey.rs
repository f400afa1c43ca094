//! The whole answer on problems whose answer is known beforehand.
#![expect(clippy::unwrap_used, clippy::expect_used, reason = "helpers of tests")]

mod common;

use common::flat_walls::{FlatWall, FlatWalls};
use common::{Random, brute_allowance_deg, cone, copings_at, is_acceptable, limits, problem};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::coping::{Coping, MillPlan, Side, WallBasis};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::control::{CancelFlag, Quiet};
use tiltbench_solver::limit::{LimitKind, Place};
use tiltbench_solver::sphere::{angle_between, travel};
use tiltbench_solver::{
    AlternativeName, Change, Problem, Survey, SurveyOptions, apply, check, survey,
};

fn answer_to(problem: Problem<'_>) -> Survey {
    survey(problem, &SurveyOptions::default(), &Quiet).expect("never cancelled")
}

fn angle_deg(a: &UnitVector3<f64>, b: &UnitVector3<f64>) -> f64 {
    angle_between(a, b).to_degrees()
}

/// A cone of half-angle 6 allows every draw within 6 degrees of its axis; the greatest draft of 10
/// leaves 4 on the axis, where the allowance is widest.
#[test]
fn one_cone_is_recommended_along_its_axis() {
    let axis = Tilt::from_degrees(3.0, -2.0).unwrap().direction();
    let copings = [cone("33", axis, 6.0)];
    let best = answer_to(problem(&copings, limits(15.0)))
        .recommended
        .expect("acceptable");
    // Ties within 0.05 degree go to the flatter tilt.
    let off = angle_deg(&best.evaluation.direction, &axis);
    assert!(off < 0.08, "{off}");
    let allowance = best.allowance_rad.to_degrees();
    assert!((allowance - 3.95).abs() < 0.01, "{allowance}");
    assert!(
        best.governing
            .iter()
            .all(|g| g.limit.kind == LimitKind::DraftMax)
    );
}

/// Walls milled exactly parallel allow one draw and no error; that draw must still be found.
#[test]
fn parallel_milled_walls_have_one_draw_and_no_allowance() {
    let axis = Tilt::from_degrees(-4.0, 2.5).unwrap().direction();
    let copings = [cone("33", axis, 0.0), cone("43", axis, 0.0)];
    let best = answer_to(problem(&copings, limits(15.0)))
        .recommended
        .expect("acceptable");
    assert!(angle_deg(&best.evaluation.direction, &axis) < 1e-6);
    assert!(best.allowance_rad.abs() < 1e-7);
}

/// Three axes leaning 10 degrees at azimuths 0, 120 and 240. Derivation: flat is as far from all
/// three, so half-angle 9 misses by 1 degree per wall there and half-angle 12 has 2 to spare.
#[test]
fn pairwise_parallel_is_not_enough() {
    let copings = copings_at(&[0.0, 120.0, 240.0], 10.0, 9.0);
    let answer = answer_to(problem(&copings, limits(15.0)));
    assert!(answer.recommended.is_none());
    let least_bad = answer.least_bad.expect("something misses by least");
    assert!(
        (least_bad.worst_overrun - 1.0).abs() < 2e-3,
        "{}",
        least_bad.worst_overrun
    );
    assert!(least_bad.evaluation.tilt.total_rad().to_degrees() < 0.01);
    assert_eq!(least_bad.blocking.len(), 3);
    for pair in [[0, 1], [1, 2], [0, 2]] {
        let two = pair.map(|index: usize| copings[index].clone());
        assert!(
            answer_to(problem(&two, limits(15.0))).recommended.is_some(),
            "{pair:?}"
        );
    }
    let wider = copings_at(&[0.0, 120.0, 240.0], 10.0, 12.0);
    let best = answer_to(problem(&wider, limits(15.0)))
        .recommended
        .expect("acceptable");
    assert!((best.allowance_rad.to_degrees() - 1.95).abs() < 0.06);
}

/// A labial wall 8 mm high and undercut 12 degrees, limit 1 mm. Derivation: `8 tan(12 - t) = 1` at
/// t = 4.8750, so the posterior has to be lowered by that much; a cone of half-angle 6 about the
/// occlusal direction (greatest draft 45) allows 6. The middle of the two is the widest.
#[test]
fn ridge_and_walls_are_balanced() {
    let axis = Tilt::FLAT.direction();
    let mut coping = cone("33", axis, 6.0);
    for wall in coping.walls.iter_mut().flatten() {
        wall.draft_max_rad = 45f64.to_radians();
    }
    let copings = [coping];
    let ridge = FlatWalls::new(vec![FlatWall::undercut(8.0, 90.0, 12.0, 1.0)]);
    let problem = Problem {
        copings: &copings,
        limits: limits(15.0),
        ridge: Some(&ridge),
        cleared_mm: &[],
    };
    let answer = answer_to(problem);
    let best = answer.recommended.expect("acceptable");
    let tilt = best.evaluation.tilt;
    let wanted = f64::midpoint(4.8750, 6.0);
    assert!(
        (-tilt.anterior_rad().to_degrees() - wanted).abs() < 0.08,
        "{tilt:?}"
    );
    // Less what ties are worth, the gap of the search and that of the pair.
    let short = 6.0 - wanted - best.allowance_rad.to_degrees();
    assert!((0.0..0.05 + 0.02 + 0.02).contains(&short), "{short}");
    // The flatter tilt of a tie is nearer to the ridge's limit than to that of the wall.
    let mut kinds = best.governing.iter().map(|g| g.limit.kind);
    assert!(kinds.any(|kind| kind == LimitKind::ZoneDepth));
    let flat = answer
        .alternatives
        .iter()
        .find(|a| a.name == AlternativeName::Flat)
        .unwrap();
    assert!(!flat.evaluation.acceptable);
    assert!(flat.allowance_rad.abs() < f64::EPSILON);
    let blockout = answer
        .alternatives
        .iter()
        .find(|a| a.name == AlternativeName::LeastBlockout);
    let blockout = blockout.expect("the allowance exceeds 0.5 degree");
    // Depth falls until the cone ends, less the allowance that must be kept.
    assert!(
        (-blockout.evaluation.tilt.anterior_rad().to_degrees() - 5.5).abs() < 0.15,
        "{:?} {}",
        blockout.evaluation.tilt,
        blockout.allowance_rad.to_degrees()
    );
    assert!(blockout.allowance_rad.to_degrees() >= 0.49);
    let tilt_of = |name| {
        let found = answer
            .alternatives
            .iter()
            .find(|a| a.name == name)
            .expect("listed");
        -found.evaluation.tilt.anterior_rad().to_degrees()
    };
    // The smallest tilt with half the best allowance, since 2 degrees are not to be had.
    let half = best.allowance_rad.to_degrees() / 2.0;
    assert!((tilt_of(AlternativeName::LeastTilt) - 4.8750 - half).abs() < 0.05);
}

/// Random problems of every kind of limit.
fn random_problem(random: &mut Random) -> (Vec<Coping>, FlatWalls) {
    let count = 1 + random.below(3);
    let copings = (0..count)
        .map(|index| {
            let lean = Tilt::from_degrees(random.between(-6.0, 6.0), random.between(-6.0, 6.0));
            let mut coping = cone(
                &format!("c{index}"),
                lean.unwrap().direction(),
                random.between(2.0, 9.0),
            );
            for wall in coping.walls.iter_mut().flatten() {
                wall.taper_rad += random.between(-1.0, 2.0).to_radians();
                wall.draft_max_rad = random.between(9.0, 16.0).to_radians();
                wall.height_mm = random.between(3.0, 6.0);
            }
            coping.walls[Side::Labial as usize].as_mut().unwrap().guides = random.unit() < 0.3;
            if random.unit() < 0.25 {
                for wall in coping.walls.iter_mut().flatten() {
                    wall.taper_rad += 4f64.to_radians();
                }
                coping.basis = WallBasis::Prep(MillPlan {
                    taper_rad: 2f64.to_radians(),
                    margin_thickness_mm: random.between(0.4, 1.2),
                });
            }
            coping
        })
        .collect();
    let walls = (0..2)
        .map(|_| {
            FlatWall::undercut(
                random.between(3.0, 9.0),
                random.between(0.0, 360.0),
                random.between(-5.0, 14.0),
                random.between(0.5, 1.2),
            )
        })
        .collect();
    (copings, FlatWalls::new(walls))
}

/// What is recommended is acceptable; nothing inside the allowance is not; the allowance is the
/// widest there is, to 0.1 degree; every alternative keeps its promise; every change set opens a
/// tilt.
#[test]
fn answers_hold_against_brute_force() {
    let mut random = Random(20);
    let (mut open, mut shut, mut changed) = (0, 0, 0);
    for round in 0..24 {
        let (copings, ridge) = random_problem(&mut random);
        let problem = Problem {
            copings: &copings,
            limits: limits(12.0),
            ridge: Some(&ridge),
            cleared_mm: &[],
        };
        let answer = answer_to(problem);
        let mut widest = 0.0_f64;
        for i in -24..=24 {
            for j in -24..=24 {
                let tilt = Tilt::from_degrees(f64::from(i) * 0.5, f64::from(j) * 0.5).unwrap();
                let d = tilt.direction();
                if is_acceptable(&problem, &d) {
                    // Only centres that could still beat the best are measured.
                    let rim = (0..12).all(|k| {
                        let bearing = f64::from(k) * std::f64::consts::TAU / 12.0;
                        is_acceptable(&problem, &travel(&d, bearing, widest.to_radians()))
                    });
                    if rim {
                        widest = widest.max(brute_allowance_deg(&problem, &d, 15.0));
                    }
                }
            }
        }
        if let Some(best) = &answer.recommended {
            open += 1;
            assert!(best.evaluation.acceptable, "round {round}");
            let said = best.allowance_rad.to_degrees();
            let truth = brute_allowance_deg(&problem, &best.evaluation.direction, 15.0);
            assert!(
                (said - truth).abs() < 0.1,
                "round {round}: said {said}, is {truth}"
            );
            // The grid's best centre may be off by up to a third of a degree, not above.
            assert!(
                said > widest - 0.1,
                "round {round}: {said} against {widest}"
            );
            assert!(!best.governing.is_empty(), "round {round}");
        } else {
            shut += 1;
            assert!(
                widest < 0.1,
                "round {round}: a tilt with {widest} was overlooked"
            );
            let least_bad = answer.least_bad.as_ref().expect("shut");
            assert!(least_bad.worst_overrun > 0.0 && !least_bad.blocking.is_empty());
        }
        for other in &answer.alternatives {
            let truth = brute_allowance_deg(&problem, &other.evaluation.direction, 15.0);
            let said = other.allowance_rad.to_degrees();
            assert!(
                (said - truth).abs() < 0.1,
                "round {round} {:?}: {said} {truth}",
                other.name
            );
        }
        for set in &answer.changes {
            changed += 1;
            let after = apply(&problem, &set.changes);
            let truth = brute_allowance_deg(&after.problem(), &set.result.direction, 15.0);
            assert!(
                truth >= 0.95,
                "round {round}: {:?} gives {truth}",
                set.changes
            );
        }
    }
    assert!(
        open >= 6 && shut >= 6 && changed >= 6,
        "{open} {shut} {changed}"
    );
}

/// The order of copings is a matter of naming only.
#[test]
fn order_of_copings_is_irrelevant() {
    let mut random = Random(7);
    for _ in 0..10 {
        let (copings, ridge) = random_problem(&mut random);
        let mut reversed = copings.clone();
        reversed.reverse();
        let tilt_of = |copings: &[Coping]| {
            let answer = answer_to(Problem {
                copings,
                limits: limits(12.0),
                ridge: Some(&ridge),
                cleared_mm: &[],
            });
            answer.recommended.map(|best| best.evaluation.direction)
        };
        match (tilt_of(&copings), tilt_of(&reversed)) {
            (Some(a), Some(b)) => assert!(angle_deg(&a, &b) < 0.05),
            (a, b) => assert_eq!(a.is_some(), b.is_some()),
        }
    }
}

/// A wall that misses by a known amount is retapered by no more than the step above it.
#[test]
fn changes_are_as_small_as_a_hand_can_make_them() {
    let axis = Tilt::FLAT.direction();
    let mut copings = vec![cone("33", axis, 4.0), cone("43", axis, 4.0)];
    for coping in &mut copings {
        for wall in coping.walls.iter_mut().flatten() {
            wall.draft_max_rad = 12f64.to_radians();
            wall.half_sector_rad = 0.0;
        }
    }
    // One wall of the second leans over by 7 degrees: no draw gives both of its pair 0.
    copings[1].walls[Side::Mesial as usize]
        .as_mut()
        .unwrap()
        .taper_rad = -7f64.to_radians();
    let problem = problem(&copings, limits(15.0));
    let answer = answer_to(problem);
    assert!(answer.recommended.is_none());
    let first = &answer
        .changes
        .first()
        .expect("retapering that wall helps")
        .changes;
    assert_eq!(first.len(), 1);
    let Change::Retaper {
        coping: 1,
        side: Side::Mesial,
        by_rad,
        metal_mm: Some(metal),
    } = first[0]
    else {
        panic!("{first:?}")
    };
    // Mesial -7 needs a draw 8 off; the other coping allows 3 with 1 to spare: 5 are missing.
    assert!(
        (by_rad.to_degrees() - 5.0).abs() < 0.01,
        "{}",
        by_rad.to_degrees()
    );
    // 5 mm high, from -7 to -2 degrees: 5 (tan(-2) - tan(-7)) = 0.4393.
    assert!((metal - 0.4393).abs() < 1e-3 && first[0].is_remake());
    assert!(
        answer
            .changes
            .iter()
            .any(|set| matches!(set.changes[..], [Change::Unguide { .. }]))
    );
}

/// Zones that oppose each other share a limit, and clearing one of them opens the case.
#[test]
fn opposing_zones_block_together() {
    let mut labial = FlatWall::undercut(6.0, 90.0, 7.0, 1.0);
    labial.opposes = Some(1);
    let ridge = FlatWalls::new(vec![labial, FlatWall::undercut(6.0, 270.0, 7.0, 1.0)]);
    let problem = Problem {
        copings: &[],
        limits: limits(5.0),
        ridge: Some(&ridge),
        cleared_mm: &[],
    };
    let answer = answer_to(problem);
    let least_bad = answer.least_bad.expect("6 tan 7 twice is 1.47");
    assert_eq!(least_bad.blocking[0].limit.kind, LimitKind::OpposingDepth);
    assert_eq!(least_bad.blocking[0].limit.place, Place::Zones([0, 1]));
    assert!(matches!(
        answer.changes[0].changes[..],
        [Change::Clear { .. }]
    ));
}

/// Nothing to limit: flat, and the table's own limit is the allowance.
#[test]
fn an_empty_case_stays_flat() {
    let answer = answer_to(problem(&[], limits(15.0)));
    let best = answer.recommended.expect("nothing is against it");
    assert!(best.evaluation.tilt.total_rad() < 1e-9);
    assert!((best.allowance_rad.to_degrees() - 15.0).abs() < 0.06);
    assert!(answer.common_draw.is_none());
}

#[test]
fn check_agrees_with_survey() {
    let copings = copings_at(&[0.0, 180.0], 2.0, 6.0);
    let problem = problem(&copings, limits(15.0));
    let best = answer_to(problem).recommended.unwrap();
    let checked = check(problem, best.evaluation.tilt, &Quiet).unwrap();
    assert_eq!(checked.evaluation, best.evaluation);
    assert_eq!(
        checked.allowance_rad.to_bits(),
        best.allowance_rad.to_bits()
    );
    assert_eq!(
        checked.allowance_upper_rad.to_bits(),
        best.allowance_upper_rad.to_bits()
    );
}

#[test]
fn a_cancelled_survey_stops() {
    let copings = copings_at(&[0.0, 180.0], 2.0, 6.0);
    let flag = CancelFlag::default();
    flag.cancel();
    assert!(
        survey(
            problem(&copings, limits(15.0)),
            &SurveyOptions::default(),
            &flag
        )
        .is_err()
    );
}
