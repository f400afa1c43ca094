//! What must not change the answer, and how a mirror does.

use crate::build::{angle_deg, build_all};
use nalgebra::{UnitVector3, Vector3};
use tiltbench_geometry::coping::Coping;
use tiltbench_solver::common_draw::{CommonDraw, common_draw};
use tiltbench_testkit::problems::{Draws, draw_problem};

fn same_answer(a: &CommonDraw, b: &CommonDraw, mirror: bool, label: &str) {
    assert_eq!(a.exists, b.exists, "{label}");
    assert_eq!(a.at_tilt_limit, b.at_tilt_limit, "{label}");
    assert!(
        (a.best_least_draft_rad - b.best_least_draft_rad).abs() < 1e-11,
        "{label}"
    );
    let seen = |d: &UnitVector3<f64>| {
        let x = if mirror { -d.x } else { d.x };
        UnitVector3::new_normalize(Vector3::new(x, d.y, d.z))
    };
    let apart = angle_deg(&a.direction, &seen(&b.direction));
    assert!(apart < 1e-3, "{label}: draws {apart} degrees apart");
    let corners = |found: &CommonDraw| {
        found.region.as_ref().map_or(0, |region| {
            region.points.iter().filter(|point| point.corner).count()
        })
    };
    assert_eq!(corners(a), corners(b), "{label}");
    // Every corner of one is a corner of the other.
    if let (Some(a), Some(b)) = (&a.region, &b.region) {
        for point in a.points.iter().filter(|point| point.corner) {
            let nearest = b
                .points
                .iter()
                .map(|other| angle_deg(&point.direction, &seen(&other.direction)))
                .fold(f64::INFINITY, f64::min);
            assert!(nearest < 1e-6, "{label}: a corner {nearest} degrees off");
        }
    }
}

#[test]
fn the_order_of_the_copings_changes_names_only() {
    let mut draws = Draws::new(31);
    for seed in 30_000..30_200 {
        let problem = draw_problem(seed);
        let copings = build_all(&problem);
        let limit = problem.tilt_max_deg.to_radians();
        let Some(found) = common_draw(&copings, limit) else {
            continue;
        };
        let mut order: Vec<usize> = (0..copings.len()).collect();
        for i in (1..order.len()).rev() {
            order.swap(i, draws.index(i + 1));
        }
        let shuffled: Vec<Coping> = order.iter().map(|&i| copings[i].clone()).collect();
        let other = common_draw(&shuffled, limit).unwrap();
        same_answer(&found, &other, false, &format!("seed {seed}"));
        let mut named: Vec<_> = other
            .limiting
            .iter()
            .map(|wall| (order[wall.coping], wall.side))
            .collect();
        named.sort_unstable();
        let own: Vec<_> = found
            .limiting
            .iter()
            .map(|wall| (wall.coping, wall.side))
            .collect();
        assert_eq!(own, named, "seed {seed}: limiting walls");
    }
}

#[test]
fn a_mirrored_case_has_the_mirrored_answer() {
    let mirrored = |d: &UnitVector3<f64>| UnitVector3::new_unchecked(Vector3::new(-d.x, d.y, d.z));
    for seed in 31_000..31_200 {
        let problem = draw_problem(seed);
        let copings = build_all(&problem);
        let limit = problem.tilt_max_deg.to_radians();
        let Some(found) = common_draw(&copings, limit) else {
            continue;
        };
        let other: Vec<Coping> = copings
            .iter()
            .map(|coping| Coping {
                axis: mirrored(&coping.axis),
                mesial: mirrored(&coping.mesial),
                labial: mirrored(&coping.labial),
                ..coping.clone()
            })
            .collect();
        let other = common_draw(&other, limit).unwrap();
        same_answer(&found, &other, true, &format!("seed {seed}"));
        assert_eq!(found.limiting, other.limiting, "seed {seed}");
    }
}

#[test]
fn the_same_case_has_the_same_bits() {
    for seed in 32_000..32_050 {
        let problem = draw_problem(seed);
        let copings = build_all(&problem);
        let limit = problem.tilt_max_deg.to_radians();
        let first = common_draw(&copings, limit);
        let again = common_draw(&copings, limit);
        assert_eq!(format!("{first:?}"), format!("{again:?}"), "seed {seed}");
    }
}

/// Round numbers make everything coincide: equal axes, touching circles, limits met exactly,
/// optima at corners of the tilt limit. Nothing may break, and what is reported must hold.
#[test]
fn round_numbers_and_coincidences_are_borne() {
    use crate::build::{coping, leaning, least_draft_by_sampling, wall};
    let mut draws = Draws::new(33);
    let mut pick = |choices: &[f64]| choices[draws.index(choices.len())];
    let (mut exist, mut single) = (0, 0);
    for case in 0..3000 {
        let count = [1, 1, 2, 2, 3][case % 5];
        let copings: Vec<Coping> = (0..count)
            .map(|_| {
                let axis = leaning(
                    pick(&[0.0, 0.0, 2.0, 5.0, 10.0]),
                    pick(&[0.0, 90.0, 120.0, 180.0, 240.0]),
                );
                let mesial = leaning(90.0, pick(&[0.0, 0.0, 90.0, 45.0, 180.0]));
                let taper = pick(&[0.0, 2.0, 5.0, -5.0, 10.0]);
                let required = pick(&[0.0, 0.0, 2.0, 5.0]).to_radians();
                let half_sector = pick(&[45.0, 45.0, 45.0, 30.0, 90.0]);
                let walls = [0, 1, 2, 3].map(|_| {
                    let mut made = wall(pick(&[taper, taper, 5.0]), half_sector);
                    made.draft_min_rad = required;
                    (pick(&[0.0, 1.0, 1.0, 1.0]) > 0.5).then_some(made)
                });
                coping(axis, mesial.into_inner(), walls)
            })
            .collect();
        let limit = pick(&[2.0, 5.0, 10.0, 15.0]).to_radians();
        let Some(found) = common_draw(&copings, limit) else {
            continue;
        };
        let label = format!("case {case}");
        assert!(found.bound_rad < 1e-9, "{label}: bound {}", found.bound_rad);
        assert!(
            found.certificate.residual < 1e-7,
            "{label}: {:?}",
            found.certificate
        );
        let (least, _) = least_draft_by_sampling(&copings, &found.direction);
        assert!((least - found.best_least_draft_rad).abs() < 1e-9, "{label}");
        assert_eq!(found.exists, found.region.is_some(), "{label}");
        let Some(region) = found.region else { continue };
        exist += 1;
        single += i32::from(region.points.len() == 1);
        for point in &region.points {
            let total = point
                .direction
                .x
                .hypot(point.direction.y)
                .atan2(point.direction.z);
            assert!(total <= limit + 2e-8, "{label}: beyond the tilt limit");
            for coping in &copings {
                for (side, wall) in coping.existing_walls() {
                    let least = coping.wall_draft(side, &point.direction).unwrap().least_rad;
                    assert!(least >= wall.draft_min_rad - 2e-8, "{label}: {point:?}");
                }
            }
        }
        // A real region goes round its middle once.
        if region.points.len() > 2 {
            let sum: Vector3<f64> = region.points.iter().map(|p| p.direction.into_inner()).sum();
            let middle = UnitVector3::new_normalize(sum);
            let turns: f64 = (0..region.points.len())
                .map(|i| {
                    let p = region.points[i].direction.into_inner();
                    let q = region.points[(i + 1) % region.points.len()]
                        .direction
                        .into_inner();
                    let (a, b) = (middle.cross(&p), middle.cross(&q));
                    middle.dot(&a.cross(&b)).atan2(a.dot(&b))
                })
                .sum();
            assert!(
                (turns - std::f64::consts::TAU).abs() < 1e-6,
                "{label}: goes round {turns}"
            );
        }
    }
    println!("{exist} regions, {single} of them single draws");
    assert!(
        exist > 300 && single > 20,
        "{exist} regions, {single} single"
    );
}
