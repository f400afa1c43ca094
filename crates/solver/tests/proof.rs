//! What is said of all tilts holds: against closed forms, against dense sampling with nothing of the solver
//! in it, and between the figures themselves.
#![expect(clippy::expect_used, reason = "helpers of tests")]

mod common;

use common::flat_walls::{FlatWall, FlatWalls};
use common::{Random, cone, copings_at, is_acceptable, limits, problem};
use std::f64::consts::TAU;
use tiltbench_geometry::coping::{Coping, MillPlan, Side, WallBasis};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::{UnitVector3, Vector3};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::limit::OverrunScales;
use tiltbench_solver::sphere::{angle_between, chart_grid, travel};
use tiltbench_solver::{
    AlternativeName, Change, Problem, Survey, SurveyOptions, apply, check, survey,
};

fn answer_to(problem: Problem<'_>) -> Survey {
    survey(problem, &SurveyOptions::default(), &Quiet).expect("never cancelled")
}

fn with_ridge(ridge: &FlatWalls, tilt_max_deg: f64) -> Problem<'_> {
    Problem {
        copings: &[],
        limits: limits(tilt_max_deg),
        ridge: Some(ridge),
        cleared_mm: &[],
    }
}

/// The angle at which a wall `height_mm` high is undercut by `limit_mm`: `limit = h tan(x)`.
fn angle_at_deg(height_mm: f64, limit_mm: f64) -> f64 {
    (limit_mm / height_mm).atan().to_degrees()
}

/// One wall, undercut by 5 degrees, limit 1 mm at 6 mm: flat has `atan(1/6) - 5` degrees to spare. The pair
/// holds that, and is no wider than 0.05 degree.
#[test]
fn a_pair_holds_the_closed_form() {
    for (azimuth, beta, height, limit) in [
        (90.0, 5.0, 6.0, 1.0),
        (10.0, -3.0, 8.0, 0.7),
        (200.0, 2.0, 3.0, 0.5),
        (0.0, -4.0, 5.0, 0.0),
    ] {
        let ridge = FlatWalls::new(vec![FlatWall::undercut(height, azimuth, beta, limit)]);
        let checked = check(with_ridge(&ridge, 20.0), Tilt::FLAT, &Quiet).unwrap();
        let truth = angle_at_deg(height, limit) - beta;
        let [lower, upper] =
            [checked.allowance_rad, checked.allowance_upper_rad].map(f64::to_degrees);
        assert!(
            lower <= truth + 1e-6 && truth <= upper + 1e-6,
            "{lower} {truth} {upper}"
        );
        assert!(upper - lower <= 0.05, "{lower} {upper}");
    }
}

/// A limit of 0 and one wall of 5 degrees: the farthest tilt that keeps 5 degrees to the wall and to the
/// rim of 15 is 10 degrees away from the wall.
#[test]
fn a_limit_of_nothing_leaves_what_is_free() {
    let ridge = FlatWalls::new(vec![FlatWall::undercut(8.0, 90.0, 5.0, 0.0)]);
    let problem = with_ridge(&ridge, 15.0);
    let best = answer_to(problem).recommended.expect("acceptable");
    let tilt = best.evaluation.tilt;
    assert!(
        (tilt.anterior_rad().to_degrees() + 10.0).abs() < 0.1,
        "{tilt:?}"
    );
    let allowance = best.allowance_rad.to_degrees();
    assert!((4.9..=5.0).contains(&allowance), "{allowance}");
    let there = Tilt::from_degrees(-7.0, 0.0).unwrap();
    let checked = check(problem, there, &Quiet).unwrap();
    assert!((checked.allowance_rad.to_degrees() - 2.0).abs() < 0.05);
}

/// A coping with two flat parallel walls, its axis leaning posteriorly or anteriorly.
fn two_parallel_walls(axis: Vector3<f64>) -> Coping {
    let mut coping = cone("33", UnitVector3::new_normalize(axis), 0.0);
    for side in [Side::Labial, Side::Lingual] {
        coping.walls[side as usize] = None;
    }
    for wall in coping.walls.iter_mut().flatten() {
        wall.half_sector_rad = 0.0;
    }
    coping
}

/// The acceptable draws of two flat parallel walls lie on a great circle through the axis; the flattest is
/// where it passes flat. Derivation: the circle's pole is the mesial direction `m`, so it passes flat at
/// `asin |m . z|`.
#[test]
fn of_an_arc_the_flattest_is_recommended() {
    for axis in [
        Vector3::new(0.0, 0.2, 1.0),
        Vector3::new(0.13, 0.2, 1.0),
        Vector3::new(-0.1, -0.05, 1.0),
    ] {
        let mut coping = two_parallel_walls(axis);
        // Turned about its axis, so that the arc is aslant.
        let turn = nalgebra::Rotation3::from_axis_angle(&coping.axis, 0.3);
        coping.mesial = UnitVector3::new_normalize(turn * coping.mesial.into_inner());
        coping.labial = UnitVector3::new_normalize(turn * coping.labial.into_inner());
        let flattest = coping.mesial.z.abs().asin();
        let copings = [coping];
        let answer = answer_to(problem(&copings, limits(15.0)));
        let best = answer.recommended.expect("an arc of draws");
        assert!(best.evaluation.acceptable && best.allowance_rad < 1e-7);
        let total = best.evaluation.tilt.total_rad();
        assert!(
            (total - flattest).to_degrees().abs() < 1e-3,
            "{total} {flattest}"
        );
    }
}

/// The same arc, of which the ridge allows only what leans posteriorly by 9 degrees or more.
#[test]
fn an_arc_that_the_ridge_cuts_short_is_found() {
    let copings = [two_parallel_walls(Vector3::new(0.02, 0.0, 1.0))];
    let beta = 9.0 + angle_at_deg(8.0, 1.0);
    let ridge = FlatWalls::new(vec![FlatWall::undercut(8.0, 90.0, beta, 1.0)]);
    let problem = Problem {
        copings: &copings,
        ..with_ridge(&ridge, 15.0)
    };
    let answer = answer_to(problem);
    let best = answer.recommended.expect("an arc of draws");
    let alpha = best.evaluation.tilt.anterior_rad().to_degrees();
    assert!((alpha + 9.0).abs() < 0.02, "{alpha}");
    assert!(best.evaluation.acceptable && answer.changes.is_empty());
}

/// Random ridges, undercut by up to an angle, and copings.
fn random_case(random: &mut Random, steepest_deg: f64) -> (Vec<Coping>, FlatWalls) {
    let copings = copings_at(
        &[random.between(0.0, 360.0), random.between(0.0, 360.0)],
        random.between(0.0, 3.0),
        random.between(5.0, 11.0),
    );
    let mut walls: Vec<FlatWall> = (0..3)
        .map(|_| {
            FlatWall::undercut(
                random.between(3.0, 9.0),
                random.between(0.0, 360.0),
                random.between(-5.0, steepest_deg),
                random.between(0.4, 1.4),
            )
        })
        .collect();
    walls[0].opposes = Some(1);
    (copings, FlatWalls::new(walls))
}

/// Every draw sampled within the proved figure meets all limits, and one just outside the upper breaks one;
/// the allowances of two tilts differ by no more than the angle between them; a survey says of a tilt what a
/// check says.
#[test]
fn pairs_are_proved_and_change_no_faster_than_the_tilt() {
    let mut random = Random(12);
    let mut asked = 0;
    for round in 0..4 {
        let (copings, ridge) = random_case(&mut random, 10.0);
        let problem = Problem {
            copings: &copings,
            ..with_ridge(&ridge, 12.0)
        };
        let mut seen: Vec<(UnitVector3<f64>, f64, f64)> = Vec::new();
        for _ in 0..8 {
            let tilt =
                Tilt::from_degrees(random.between(-3.0, 3.0), random.between(-3.0, 3.0)).unwrap();
            let checked = check(problem, tilt, &Quiet).unwrap();
            let (lower, upper) = (checked.allowance_rad, checked.allowance_upper_rad);
            if !checked.evaluation.acceptable {
                assert!(lower <= 0.0 && upper <= 0.0);
                continue;
            }
            asked += 1;
            assert!(upper - lower <= 0.05f64.to_radians());
            let d = checked.evaluation.direction;
            for _ in 0..300 {
                let way = lower * random.unit().sqrt() * (1.0 - 1e-9);
                let there = travel(&d, random.between(0.0, TAU), way);
                assert!(is_acceptable(&problem, &there), "round {round}");
            }
            let just_outside = (0..3600).any(|i| {
                let there = travel(&d, f64::from(i) * TAU / 3600.0, upper + 2e-5);
                !is_acceptable(&problem, &there)
            });
            assert!(just_outside, "round {round}");
            for (other, low, up) in &seen {
                let apart = angle_between(&d, other);
                assert!(lower - up <= apart + 1e-9 && low - upper <= apart + 1e-9);
            }
            seen.push((d, lower, upper));
        }
        let answer = answer_to(problem);
        if let Some(best) = &answer.recommended {
            let checked = check(problem, best.evaluation.tilt, &Quiet).unwrap();
            let of = |pair: [f64; 2]| pair.map(f64::to_bits);
            assert_eq!(
                of([best.allowance_rad, best.allowance_upper_rad]),
                of([checked.allowance_rad, checked.allowance_upper_rad])
            );
            assert!(best.allowance_rad <= answer.widest_at_most_rad + 1e-12);
            assert!(
                seen.iter()
                    .all(|(_, low, _)| *low <= answer.widest_at_most_rad + 1e-12)
            );
        }
    }
    assert!(asked > 8, "{asked}");
}

/// 'None is acceptable' is proved, and dense sampling finds none; where sampling finds one, so does the
/// survey.
#[test]
fn none_means_none() {
    let mut random = Random(5);
    let (mut none, mut some) = (0, 0);
    for round in 0..16 {
        let (copings, ridge) = random_case(&mut random, 22.0);
        let problem = Problem {
            copings: &copings[..1],
            ..with_ridge(&ridge, 8.0)
        };
        let answer = answer_to(problem);
        let sampled =
            chart_grid(8f64.to_radians(), 0.1f64.to_radians()).any(|d| is_acceptable(&problem, &d));
        if let Some(best) = &answer.recommended {
            some += 1;
            assert!(best.evaluation.acceptable);
        } else {
            none += 1;
            assert!(!sampled, "round {round}");
            let left = answer.widest_at_most_rad;
            assert!(left == f64::NEG_INFINITY, "round {round}: {left}");
        }
    }
    assert!(none >= 3 && some >= 3, "{none} {some}");
}

/// The worst scaled overrun of the least bad tilt is the least of any draw, as dense sampling tells.
#[test]
fn least_bad_is_the_least() {
    let mut random = Random(77);
    let mut shut = 0;
    for round in 0..10 {
        let (copings, ridge) = random_case(&mut random, 22.0);
        let problem = Problem {
            copings: &copings,
            ..with_ridge(&ridge, 4.0)
        };
        let Some(least) = answer_to(problem).least_bad else {
            continue;
        };
        shut += 1;
        let scales = OverrunScales::default();
        let worst = |d: UnitVector3<f64>| {
            let tilt = Tilt::from_direction(&d).unwrap();
            let evaluation = tiltbench_solver::evaluation::evaluate(&problem, tilt);
            let scaled = |r: &tiltbench_solver::limit::LimitReading| {
                r.limit.overrun(r.value) / scales.of(r.limit.kind)
            };
            evaluation.limits.iter().map(scaled).fold(0.0, f64::max)
        };
        let sampled = chart_grid(14f64.to_radians(), 0.3f64.to_radians())
            .map(worst)
            .fold(f64::INFINITY, f64::min);
        assert!(
            least.worst_overrun <= sampled + 0.01,
            "round {round}: {} {sampled}",
            least.worst_overrun
        );
    }
    assert!(shut >= 4, "{shut}");
}

/// Two zones that oppose each other without limits of their own: clearing one opens the case, and after
/// clearing, the limit compares what is left.
#[test]
fn clearing_one_of_a_pair_opens_it() {
    let mut lingual = FlatWall::undercut(6.0, 270.0, 10.0, 1.0);
    let mut labial = FlatWall::undercut(6.0, 90.0, 10.0, 1.0);
    (lingual.limit_mm, labial.limit_mm) = (None, None);
    lingual.opposes = Some(1);
    let ridge = FlatWalls::new(vec![lingual, labial]);
    let problem = with_ridge(&ridge, 5.0);
    let answer = answer_to(problem);
    assert!(answer.recommended.is_none());
    let of_zone = |wanted: usize| {
        answer
            .changes
            .iter()
            .find(|set| matches!(set.changes[..], [Change::Clear { zone, .. }] if zone == wanted))
    };
    for zone in [0, 1] {
        let set = of_zone(zone).expect("either zone will do");
        assert!(set.allowance_rad >= 0.999f64.to_radians());
        let changed = apply(&problem, &set.changes);
        assert!(is_acceptable(&changed.problem(), &set.result.direction));
        // A step less would not do anywhere: amounts are the least a hand can make.
        let Change::Clear { depth_mm, .. } = set.changes[0] else {
            panic!("{set:?}")
        };
        let less = [Change::Clear {
            zone,
            depth_mm: depth_mm - 0.1,
        }];
        let changed = apply(&problem, &less);
        let widest = answer_to(changed.problem()).widest_at_most_rad.to_degrees();
        assert!(widest < 1.03, "{widest}");
    }
}

/// A retaper is only proposed if the coping can still be made.
#[test]
fn a_taper_that_folds_is_not_proposed() {
    let axis = Tilt::from_degrees(20.0, 0.0).unwrap().direction();
    let mut coping = cone("33", axis, 3.0);
    coping.height_mm = 6.0;
    for wall in coping.walls.iter_mut().flatten() {
        wall.height_mm = 6.0;
        wall.guides = false;
        wall.draft_max_rad = 60f64.to_radians();
    }
    coping.walls[Side::Lingual as usize]
        .as_mut()
        .unwrap()
        .guides = true;
    coping.walls[Side::Labial as usize].as_mut().unwrap().guides = true;
    let copings = [coping];
    let problem = problem(&copings, limits(4.0));
    let answer = answer_to(problem);
    assert!(answer.recommended.is_none() && !answer.changes.is_empty());
    for set in &answer.changes {
        for coping in apply(&problem, &set.changes).problem().copings {
            assert!(coping.check_surface().is_ok(), "{:?}", set.changes);
        }
    }
}

/// A mirrored case has the mirrored answer.
#[test]
fn a_mirrored_case_has_the_mirrored_answer() {
    let walls = |sign: f64| {
        FlatWalls::new(vec![
            FlatWall::undercut(6.0, 90.0 + sign * 40.0, 8.0, 0.6),
            FlatWall::undercut(5.0, 90.0 + sign * 150.0, 3.0, 0.9),
        ])
    };
    let [one, other] = [1.0, -1.0].map(|sign| {
        let ridge = walls(sign);
        let best = answer_to(with_ridge(&ridge, 15.0)).recommended.unwrap();
        (best.evaluation.direction, best.allowance_rad)
    });
    let image = UnitVector3::new_normalize(Vector3::new(-other.0.x, other.0.y, other.0.z));
    assert!(angle_between(&one.0, &image).to_degrees() < 0.1);
    assert!((one.1 - other.1).to_degrees().abs() < 0.05);
}

/// The same bits on one thread and on several.
#[test]
fn threads_change_nothing() {
    let mut random = Random(3);
    let (copings, ridge) = random_case(&mut random, 10.0);
    let problem = Problem {
        copings: &copings,
        ..with_ridge(&ridge, 12.0)
    };
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        pool.build().unwrap().install(|| answer_to(problem))
    };
    assert_eq!(on(1), on(3));
}

/// Cases whose searches once did not end, or nearly. What they take is counted, not timed.
#[test]
fn work_is_bounded_by_the_case() {
    let prep = |taper_deg: f64, mill_deg: f64, margin_mm: f64, axis: Vector3<f64>| {
        let mut coping = cone("33", UnitVector3::new_normalize(axis), taper_deg);
        coping.walls[Side::Labial as usize] = None;
        coping.basis = WallBasis::Prep(MillPlan {
            taper_rad: mill_deg.to_radians(),
            margin_thickness_mm: margin_mm,
        });
        coping
    };
    let up = Vector3::z();
    let thin = [prep(8.0, 4.0, 0.25, up)];
    let mut wide = [prep(
        5.365,
        23.0167,
        1.473,
        Vector3::new(0.0226, 0.1352, 1.0),
    )];
    for side in [Side::Mesial, Side::Lingual] {
        wide[0].walls[side as usize] = None;
    }
    let lying = [prep(8.0, 4.0, 0.6, Vector3::new(1.0, 0.0, 0.02))];
    let three = copings_at(&[0.0, 120.0, 240.0], 10.0, 9.0);
    let scales = OverrunScales {
        wall_draft_rad: 1e300,
        ..OverrunScales::default()
    };
    let cases: [(&str, &[Coping], f64, OverrunScales); 4] = [
        ("thin", &thin, 15.0, OverrunScales::default()),
        ("wide", &wide, 85.0, OverrunScales::default()),
        ("lying", &lying, 15.0, OverrunScales::default()),
        ("three", &three, 15.0, scales),
    ];
    for (name, copings, tilt_max_deg, scales) in cases {
        let options = SurveyOptions { held: None, scales };
        let problem = problem(copings, limits(tilt_max_deg));
        let start = std::time::Instant::now();
        let answer = survey(problem, &options, &Quiet).unwrap();
        eprintln!("{name}: {:?} in {:?}", answer.work, start.elapsed());
        assert!(answer.work.cells < 100_000, "{name}: {:?}", answer.work);
        assert!(answer.recommended.is_some() || answer.least_bad.is_some());
    }
    let mut random = Random(1);
    let (copings, ridge) = random_case(&mut random, 10.0);
    let problem = Problem {
        copings: &copings,
        ..with_ridge(&ridge, 15.0)
    };
    let start = std::time::Instant::now();
    let answer = answer_to(problem);
    eprintln!("ridge: {:?} in {:?}", answer.work, start.elapsed());
    assert!(answer.work.readings < 20_000, "{:?}", answer.work);
    let named = |name| answer.alternatives.iter().any(|a| a.name == name);
    assert!(named(AlternativeName::Flat));
}
