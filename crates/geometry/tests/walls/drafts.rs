//! Drafts, wall undercuts and convergence.

use crate::build::{assert_near, cone, leaning, random, sector, unit, upright, wall};
use nalgebra::Vector3;
use tiltbench_geometry::coping::{OpposingPair, Side};
use tiltbench_testkit::problems::Draws;

const EXACT: f64 = 1e-12;

/// Derivation: `sin(draft) = cos(a) cos(phi) sin(t) + sin(a) cos(t)` for a cone of half-angle `a`
/// and a draw tilted by `t` toward azimuth 0.
#[test]
fn a_six_degree_cone_shows_its_taper_along_its_axis_and_trades_it_when_tilted() {
    let coping = cone(6.0);
    for side in Side::ALL {
        let straight = coping.wall_draft(side, &Vector3::z_axis()).unwrap();
        for draft in [straight.centre_rad, straight.least_rad, straight.most_rad] {
            assert_near(draft.to_degrees(), 6.0, EXACT, side.key());
        }
    }
    let tilted = leaning(4.0, 0.0);
    for (side, expected) in [
        (Side::Mesial, 10.0),
        (Side::Labial, 5.9853),
        (Side::Distal, 2.0),
        (Side::Lingual, 5.9853),
    ] {
        let draft = coping.wall_draft(side, &tilted).unwrap();
        assert_near(draft.centre_rad.to_degrees(), expected, 5e-5, side.key());
    }
    let away = coping.wall_draft(Side::Distal, &tilted).unwrap();
    assert_near(away.least_rad.to_degrees(), 2.0, EXACT, "least away");
    let toward = coping.wall_draft(Side::Mesial, &tilted).unwrap();
    assert_near(toward.most_rad.to_degrees(), 10.0, EXACT, "most toward");
}

/// Derivation: worst wall of a cone is `half-angle - tilt`.
#[test]
fn a_tilt_beyond_the_taper_undercuts_the_wall_it_leaves() {
    let draft = cone(3.0)
        .wall_draft(Side::Distal, &leaning(5.0, 0.0))
        .unwrap();
    assert_near(draft.least_rad.to_degrees(), -2.0, EXACT, "worst wall");
}

/// Derivation: the undercut part of a cone's circumference is `acos(tan a / tan t) / pi`.
#[test]
fn the_undercut_part_of_the_circumference_follows_the_tangents() {
    let coping = cone(3.0);
    let wall = coping.wall(Side::Mesial).unwrap();
    let draw = leaning(6.0, 0.0);
    let count = 100_000;
    let undercut = (0..count)
        .map(|i| (f64::from(i) + 0.5) / f64::from(count) * std::f64::consts::TAU)
        .filter(|&phi| coping.draft_at_rad(wall, phi, &draw) < 0.0)
        .count();
    assert_near(
        undercut as f64 / f64::from(count),
        0.33384,
        2e-5,
        "fraction",
    );
}

/// Derivation: a wall undercut by 3 degrees over 4 mm along the draw recedes `4 tan 3` mm.
#[test]
fn wall_undercut_is_measured_across_the_draw_over_the_rise_along_it() {
    // Taper 2 and a draw 5 away leave -3; the height is chosen so that the rise along d is 4 mm.
    let mut coping = cone(2.0);
    let draw = leaning(5.0, 0.0);
    let line = coping.wall_line(&wall(2.0), Side::Distal.azimuth_rad());
    coping.walls[Side::Distal as usize]
        .as_mut()
        .unwrap()
        .height_mm = 4.0 / line.dot(&draw) * 2_f64.to_radians().cos();
    let depth = coping.wall_undercut_mm(Side::Distal, &draw).unwrap();
    assert_near(depth, 0.20963, 5e-6, "undercut");
    // Independently: the top of that wall line against its foot, across the draw.
    let height = coping.wall(Side::Distal).unwrap().height_mm;
    let top = line.as_ref() * (height / 2_f64.to_radians().cos());
    let across = top - draw.as_ref() * top.dot(&draw);
    assert_near(depth, across.norm(), EXACT, "overhang of the wall line");
    assert_eq!(coping.wall_undercut_mm(Side::Mesial, &draw), Some(0.0));
}

/// Source: 0.25 mm over 3 mm and the 0.25 mm gauge are the classic rod and gauge readings;
/// Derivation: `atan(gap / height)` and `gauge / tan(undercut)`.
#[test]
fn rod_and_gauge_readings_are_the_same_tangent() {
    assert_near(
        (0.25_f64 / 3.0).atan().to_degrees(),
        4.7636,
        5e-5,
        "rod gap",
    );
    // A wall undercut by 5 degrees, as high as the gauge needs to read 0.25 mm.
    let mut coping = cone(0.0);
    let draw = leaning(5.0, 0.0);
    let rise = 0.25 / 5_f64.to_radians().tan();
    assert_near(rise, 2.8575, 5e-5, "contact below the survey line");
    coping.walls[Side::Distal as usize]
        .as_mut()
        .unwrap()
        .height_mm = rise / 5_f64.to_radians().cos();
    let depth = coping.wall_undercut_mm(Side::Distal, &draw).unwrap();
    assert_near(depth, 0.25, EXACT, "gauge");
}

/// Derivation: tilting along the plane of an opposing pair adds to one wall what it takes from the
/// other, so the best tilt is half their difference.
#[test]
fn opposing_walls_of_8_and_minus_2_share_3_degrees_after_a_tilt_of_5() {
    let coping = upright([Some(8.0), None, Some(-2.0), None]);
    let draw = leaning(5.0, 180.0);
    for side in [Side::Mesial, Side::Distal] {
        let draft = coping.wall_draft(side, &draw).unwrap();
        assert_near(draft.centre_rad.to_degrees(), 3.0, EXACT, side.key());
        assert_near(draft.centre_rad.sin(), 0.052_336, 5e-7, "sine");
    }
    let pair = coping
        .opposing_convergence(OpposingPair::Mesiodistal, &draw)
        .unwrap();
    assert_near(pair.of_coping_rad.to_degrees(), 6.0, EXACT, "of coping");
    assert_near(pair.for_draw_rad.to_degrees(), 6.0, EXACT, "for draw");
    assert_eq!(
        coping.opposing_convergence(OpposingPair::Labiolingual, &draw),
        None
    );
}

#[test]
fn the_least_and_most_over_a_sector_are_those_of_a_dense_sample() {
    let mut draws = Draws::new(11);
    for case in 0..400 {
        let coping = random(&mut draws);
        let draw = leaning(draws.range(0.0, 30.0), draws.range(0.0, 360.0));
        for (side, wall) in coping.existing_walls() {
            let draft = coping.wall_draft(side, &draw).unwrap();
            let sampled: Vec<f64> = sector(side, wall, 2000)
                .map(|phi| coping.wall_normal(wall, phi).dot(&draw).asin())
                .collect();
            let least = sampled.iter().copied().fold(f64::INFINITY, f64::min);
            let most = sampled.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            // A sample misses a smooth extreme by at most p (step / 2)² / 2, p < 0.8.
            let step = 2.0 * wall.half_sector_rad / 2000.0;
            let miss = 0.1 * step * step + 1e-12;
            assert!(
                least >= draft.least_rad - 1e-12 && least <= draft.least_rad + miss,
                "case {case} {}: sampled least {least}, found {}",
                side.key(),
                draft.least_rad
            );
            assert!(
                most <= draft.most_rad + 1e-12 && most >= draft.most_rad - miss,
                "case {case} {}: sampled most {most}, found {}",
                side.key(),
                draft.most_rad
            );
            let at = coping.draft_at_rad(wall, draft.least_azimuth_rad, &draw);
            assert_near(at, draft.least_rad, EXACT, "least azimuth");
            let off = draft.least_azimuth_rad - side.azimuth_rad();
            assert!(off.abs() <= wall.half_sector_rad + EXACT);
        }
    }
}

#[test]
fn the_allowance_of_a_draft_is_the_radius_of_the_circle_that_stays_acceptable() {
    let mut draws = Draws::new(12);
    for _ in 0..60 {
        let coping = random(&mut draws);
        let draw = leaning(draws.range(0.0, 8.0), draws.range(0.0, 360.0));
        let required = draws.range(0.0, 3.0).to_radians();
        for (side, _) in coping.existing_walls() {
            let allowance = coping
                .wall_draft(side, &draw)
                .unwrap()
                .allowance_to_min_rad(required);
            if allowance <= 0.0 {
                continue;
            }
            // Walk that far every way: never worse than required, and just reaching it.
            let across = draw
                .cross(&Vector3::x())
                .try_normalize(1e-9)
                .expect("not x");
            let other = draw.cross(&across);
            let worst = (0..7200)
                .map(|i| {
                    let (sin, cos) = (f64::from(i) * std::f64::consts::TAU / 7200.0).sin_cos();
                    let way = across * cos + other * sin;
                    let turned = draw.as_ref() * allowance.cos() + way * allowance.sin();
                    let turned = unit(turned.x, turned.y, turned.z);
                    coping.wall_draft(side, &turned).unwrap().least_rad
                })
                .fold(f64::INFINITY, f64::min);
            assert!(worst >= required - EXACT, "worst {worst} below {required}");
            assert!(worst <= required + 1e-6, "worst {worst} never {required}");
        }
    }
}

#[test]
fn walls_answer_for_any_draw_without_nonsense() {
    let coping = cone(5.0);
    for draw in [
        Vector3::z_axis(),
        -Vector3::z_axis(),
        Vector3::x_axis(),
        leaning(90.0, 33.0),
        leaning(179.9, 200.0),
    ] {
        for side in Side::ALL {
            let draft = coping.wall_draft(side, &draw).unwrap();
            assert!(draft.least_rad <= draft.centre_rad && draft.centre_rad <= draft.most_rad);
            assert!(coping.wall_undercut_mm(side, &draw).unwrap() >= 0.0);
        }
    }
    let mut post = cone(5.0);
    post.canal_axis = Some(leaning(12.0, 70.0));
    let angle = post.canal_angle_rad(&leaning(5.0, 70.0)).unwrap();
    assert_near(angle.to_degrees(), 7.0, EXACT, "canal");
    assert_eq!(coping.canal_angle_rad(&Vector3::z_axis()), None);
}
