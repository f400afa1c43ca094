//! What measuring errors leave of a setting allowance: closed forms, and how often it holds.
#![expect(clippy::unwrap_used, reason = "helpers of tests")]

mod common;

use common::flat_walls::{FlatWall, FlatWalls};
use common::{Random, cone, limits, problem};
use nalgebra::Rotation3;
use std::f64::consts::{FRAC_PI_2, TAU};
use tiltbench_geometry::coping::{Coping, Side};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::{UnitVector3, Vector3};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::evaluation::read_walls;
use tiltbench_solver::sphere::travel;
use tiltbench_solver::{
    CopingErrors, Measured, MeasuringErrors, Problem, check, net_allowance_rad,
};

fn errors(level_deg: Option<f64>, copings: &[(Option<f64>, [Option<f64>; 4])]) -> MeasuringErrors {
    MeasuringErrors {
        level_rad: level_deg.map(f64::to_radians),
        copings: copings
            .iter()
            .map(|(axis, tapers)| CopingErrors {
                axis_rad: axis.map(f64::to_radians),
                tapers_rad: tapers.map(|taper| taper.map(f64::to_radians)),
            })
            .collect(),
    }
}

/// Setting allowance and net allowance at flat, degrees.
fn at_flat(problem: Problem<'_>, errors: &MeasuringErrors) -> (f64, Option<f64>) {
    let (evaluation, allowance_rad) = check(problem, Tilt::FLAT, &Quiet).unwrap();
    let net = net_allowance_rad(&problem, errors, &evaluation, allowance_rad);
    (allowance_rad.to_degrees(), net.map(f64::to_degrees))
}

fn close(found: Option<f64>, expected: f64) {
    let found = found.unwrap();
    assert!((found - expected).abs() < 1e-9, "{found} {expected}");
}

fn upright(half_angle_deg: f64) -> Coping {
    cone("33", Vector3::z_axis(), half_angle_deg)
}

/// An upright cone of half-angle 6 has four walls of least draft 6 at flat: m = 4, k = sqrt(2 ln 80) = 2.960414.
#[test]
fn errors_of_one_cone_by_hand() {
    let copings = [upright(6.0)];
    let of_walls = problem(&copings, limits(15.0));
    let k = (2.0 * 80f64.ln()).sqrt();
    assert!((k - 2.960_414).abs() < 1e-6);
    // s = sqrt(0.5² + 0.3² + 0.4²) = sqrt(0.5), for each wall.
    let all = errors(Some(0.4), &[(Some(0.3), [Some(0.5); 4])]);
    let (allowance, net) = at_flat(of_walls, &all);
    assert!((allowance - 6.0).abs() < 1e-9);
    close(net, 6.0 - k * 0.5f64.sqrt());
    // One wall of a larger error is what is left of: s = sqrt(1.2² + 0.3² + 0.4²) = 1.3.
    let one = errors(
        Some(0.4),
        &[(Some(0.3), [Some(0.5), Some(1.2), None, Some(0.5)])],
    );
    close(at_flat(of_walls, &one).1, 6.0 - k * 1.3);
    // What is not stated counts as 0, and is told.
    let axis = errors(None, &[(Some(0.3), [None; 4])]);
    close(at_flat(of_walls, &axis).1, 6.0 - k * 0.3);
    let (stated, not_stated) = axis.stated_and_not(&of_walls);
    assert_eq!(stated, [Measured::Axis(0)]);
    let tapers = Side::ALL.map(|side| Measured::Taper(0, side));
    assert_eq!(not_stated, [&tapers[..], &[Measured::Level]].concat());
    // An error stated to be none leaves all, errors beyond it nothing, none stated says nothing.
    let none = errors(Some(0.0), &[]);
    close(at_flat(of_walls, &none).1, 6.0);
    let large = errors(Some(3.0), &[]);
    close(at_flat(of_walls, &large).1, 0.0);
    assert_eq!(at_flat(of_walls, &errors(None, &[])).1, None);
    // Where something binds at the tilt itself there is no allowance to take from.
    let undercut = [upright(-1.0)];
    assert_eq!(at_flat(problem(&undercut, limits(15.0)), &all).1, None);
}

/// A wall that does not guide has no limit: its error is nobody's, and is not missed.
#[test]
fn only_what_a_limit_rests_on_counts() {
    let mut coping = upright(6.0);
    for side in [Side::Labial, Side::Distal, Side::Lingual] {
        coping.walls[side as usize].as_mut().unwrap().guides = false;
    }
    let copings = [coping];
    let of_walls = problem(&copings, limits(15.0));
    let labial = errors(None, &[(None, [None, Some(2.0), None, None])]);
    assert_eq!(at_flat(of_walls, &labial).1, None);
    // m = 1: k = sqrt(2 ln 20).
    let mesial = errors(None, &[(None, [Some(0.5), Some(2.0), None, None])]);
    close(
        at_flat(of_walls, &mesial).1,
        6.0 - (2.0 * 20f64.ln()).sqrt() * 0.5,
    );
    let (_, not_stated) = mesial.stated_and_not(&of_walls);
    assert_eq!(not_stated, [Measured::Axis(0), Measured::Level]);
    // Nothing is limited: there is nothing to miss.
    assert_eq!(
        mesial.stated_and_not(&problem(&[], limits(15.0))),
        (vec![], vec![])
    );
}

/// A cone of half-angle 12 within a search window of 5 + 5 degrees: the rim ends the circle at 10. It rests on the
/// level alone, the walls on their tapers too: 10 - k 0.2 against 12 - k sqrt(0.2² + 1.5²) with k = 2.960414.
#[test]
fn the_rim_of_the_window_rests_on_the_level() {
    let copings = [upright(12.0)];
    let of_walls = problem(&copings, limits(5.0));
    let k = (2.0 * 80f64.ln()).sqrt();
    let level = errors(Some(0.2), &[]);
    let (allowance, net) = at_flat(of_walls, &level);
    assert!((allowance - 10.0).abs() < 1e-9);
    close(net, 10.0 - k * 0.2);
    let tapers = errors(Some(0.2), &[(None, [Some(1.5); 4])]);
    close(at_flat(of_walls, &tapers).1, 12.0 - k * 0.2f64.hypot(1.5));
}

/// A labial wall 8 mm high that overhangs 4 degrees, limit 1 mm, and a cone of half-angle 6. Derivation:
/// `8 tan(4 + t) = 1` at t = 3.1250, where the anterior is lowered by t. Five limits: k = sqrt(2 ln 100) = 3.034854.
/// The seat has the level's error alone, the walls that of their tapers as well.
#[test]
fn the_seat_rests_on_the_level() {
    let copings = [upright(6.0)];
    let ridge = FlatWalls::new(vec![FlatWall::undercut(8.0, 90.0, 4.0, 1.0)]);
    let with_ridge = Problem {
        ridge: Some(&ridge),
        ..problem(&copings, limits(15.0))
    };
    let k = (2.0 * 100f64.ln()).sqrt();
    let tapers = [(None, [Some(0.5); 4])];
    let (allowance, net) = at_flat(with_ridge, &errors(Some(0.3), &tapers));
    assert!((allowance - 3.125).abs() < 0.03, "{allowance}");
    close(net, allowance - k * 0.3);
    // 6 - k sqrt(0.3² + 1.4²) is less than the seat leaves.
    let tapers = [(None, [Some(1.4); 4])];
    let (_, net) = at_flat(with_ridge, &errors(Some(0.3), &tapers));
    close(net, 6.0 - k * 0.3f64.hypot(1.4));
    // Of the level nothing is known: it counts as 0 for the seat, too.
    let tapers = [(None, [Some(0.5); 4])];
    let (_, net) = at_flat(with_ridge, &errors(None, &tapers));
    close(net, allowance.min(6.0 - k * 0.5));
}

/// Two numbers of a normal distribution of standard deviation 1 (Box and Muller, "A note on the generation of
/// random normal deviates", Annals of Mathematical Statistics 29, 1958).
fn normal(random: &mut Random) -> [f64; 2] {
    let length = (-2.0 * (1.0 - random.unit()).ln()).sqrt();
    let (sin, cos) = (TAU * random.unit()).sin_cos();
    [length * cos, length * sin]
}

/// A direction, turned as an error of so many degrees in any one view turns it.
fn turned(d: &UnitVector3<f64>, se_deg: f64, random: &mut Random) -> UnitVector3<f64> {
    let [x, y] = normal(random).map(|part| part * se_deg.to_radians());
    travel(d, y.atan2(x), x.hypot(y))
}

/// A coping whose axis and tapers are off.
fn off(coping: &Coping, axis_deg: f64, taper_deg: f64, random: &mut Random) -> Coping {
    let mut coping = coping.clone();
    let axis = turned(&coping.axis, axis_deg, random);
    let turn = Rotation3::rotation_between(&coping.axis, &axis).unwrap();
    coping.axis = axis;
    coping.mesial = UnitVector3::new_normalize(turn * coping.mesial.into_inner());
    coping.labial = UnitVector3::new_normalize(turn * coping.labial.into_inner());
    for wall in coping.walls.iter_mut().flatten() {
        wall.taper_rad += normal(random)[0] * taper_deg.to_radians();
    }
    coping
}

/// Twelve walls that tie: three upright cones of half-angle 8, flat. Where axes, tapers and level are off by what is
/// stated of them, what is left to the hand has to hold in at least 95 of 100 cases, whether each wall has an error of
/// its own, four share one or all do; and it must be no idle promise: 0.6 k would not do. Derivation of what to
/// expect, k = sqrt(2 ln 240) = 3.3108: the tapers alone, one-sided, hold in (1 - 0.000465)^12 = 0.9944; three axes
/// in (1 - 1/240)^3 = 0.9875; the level in 1 - 1/240 = 0.9958.
#[test]
fn what_is_left_holds_in_nineteen_cases_of_twenty() {
    const DRAWS: u32 = 4000;
    let copings: Vec<Coping> = ["33", "43", "45"]
        .map(|id| cone(id, Vector3::z_axis(), 8.0))
        .into();
    let of_walls = problem(&copings, limits(15.0));
    for (seed, [taper, axis, level], expected) in [
        (1, [0.8, 0.0, 0.0], Some(0.9944)),
        (2, [0.0, 0.8, 0.0], Some(0.9875)),
        (3, [0.0, 0.0, 0.8], Some(0.9958)),
        (4, [0.5, 0.4, 0.3], None),
    ] {
        let stated = errors(Some(level), &[(Some(axis), [Some(taper); 4]); 3]);
        let (allowance, net) = at_flat(of_walls, &stated);
        let net = net.unwrap();
        let less_safe = allowance - 0.6 * (allowance - net);
        assert!(net > 3.0, "{net}");
        let mut random = Random(seed);
        let (mut held, mut less_held) = (0, 0);
        for _ in 0..DRAWS {
            let true_copings: Vec<Coping> = copings
                .iter()
                .map(|coping| off(coping, axis, taper, &mut random))
                .collect();
            let set = turned(&Tilt::FLAT.direction(), level, &mut random);
            // All walls require a draft of 0: the least draft is the way to the nearest border.
            let walls = read_walls(&true_copings, &set);
            let least = walls.iter().map(|wall| wall.draft.least_rad);
            let room = least.fold(FRAC_PI_2, f64::min).to_degrees();
            held += u32::from(room >= net);
            less_held += u32::from(room >= less_safe);
        }
        let [held, less_held] = [held, less_held].map(|count| f64::from(count) / f64::from(DRAWS));
        assert!(held >= 0.95, "seed {seed}: {held}");
        assert!(less_held < 0.95, "seed {seed}: 0.6 k holds in {less_held}");
        if let Some(expected) = expected {
            // Four standard errors of a share of 4000.
            let off = 4.0 * (expected * (1.0 - expected) / f64::from(DRAWS)).sqrt();
            assert!(
                (held - expected).abs() <= off,
                "seed {seed}: {held} {expected}"
            );
        }
    }
}
