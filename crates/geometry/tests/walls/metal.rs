//! The metal budget before waxing.
#![expect(clippy::unwrap_used, reason = "test helpers fail loudly")]

use crate::build::{assert_near, leaning, prep, random, sector, unit};
use nalgebra::{UnitVector3, Vector3};
use tiltbench_geometry::coping::{Coping, MetalLimit, MillPlan, Side, WallBasis};
use tiltbench_testkit::problems::Draws;

/// Derivation: `t_margin = t_min + z (tan(mill) - tan(prep - tilt))`, z along the draw.
/// With z = 4 the slope costs 0.35060, so 0.3 at the top needs 0.65060 at the margin, and the
/// other side gains 0.65138.
#[test]
fn a_tilt_of_7_over_4_mm_along_the_draw_costs_0_35_mm() {
    let draw = leaning(7.0, 0.0);
    let probe = prep(8.0, 6.0, 0.6506, 4.0);
    for (side, expected) in [
        (Side::Distal, 0.6506 - 0.35060),
        (Side::Mesial, 0.6506 + 0.65138),
    ] {
        let line = probe.wall_line(probe.wall(side).unwrap(), side.azimuth_rad());
        let height = 4.0 / line.dot(&draw) * 8_f64.to_radians().cos();
        let coping = prep(8.0, 6.0, 0.6506, height);
        let top = coping
            .metal_top_mm(side, side.azimuth_rad(), &draw)
            .unwrap();
        assert_near(top, expected, 1e-5, side.key());
    }
}

/// The same with 4 mm along the coping's axis: the margin needed is 0.65399.
#[test]
fn with_4_mm_along_the_axis_the_margin_needed_is_0_65399() {
    let coping = prep(8.0, 6.0, 0.65399, 4.0);
    let metal = coping.wall_metal(Side::Distal, &leaning(7.0, 0.0)).unwrap();
    assert_near(metal.least_mm, 0.3, 1e-5, "least metal");
    assert_near(metal.most_mm, 0.65399, 1e-12, "most metal: the margin");
}

/// An independent construction: mill the wall in space, cut it by the plane across the margin
/// line, and measure across the draw.
fn thickness_by_construction(
    coping: &Coping,
    side: Side,
    phi: f64,
    draw: &UnitVector3<f64>,
) -> Option<f64> {
    let wall = coping.wall(side)?;
    let plan = coping.mill_plan()?;
    let (n, g) = (coping.wall_normal(wall, phi), coping.wall_line(wall, phi));
    let tangent = n.cross(&g);
    // The draw as the plane across the tangent sees it.
    let seen = draw.as_ref() - tangent * tangent.dot(draw);
    let seen = seen.try_normalize(1e-12)?;
    let out = seen.cross(&tangent);
    let out = if out.dot(&n) < 0.0 { -out } else { out };
    // A milled normal in the plane, at angle x above `out`, with N . d = sin(mill): by bisection.
    let miss = |x: f64| (out * x.cos() + seen * x.sin()).dot(draw) - plan.taper_rad.sin();
    let (mut low, mut high) = (-1.5_f64, 1.5_f64);
    if miss(low) > 0.0 || miss(high) < 0.0 {
        return None;
    }
    for _ in 0..80 {
        let middle = f64::midpoint(low, high);
        if miss(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    let milled = out * low.cos() + seen * low.sin();
    // From the top of the prep line go across the draw (along `out`) to the milled plane through
    // the margin point, which stands t0 outside.
    let top = g.as_ref() * (wall.height_mm / wall.taper_rad.cos());
    let margin = out * plan.margin_thickness_mm;
    Some(milled.dot(&(margin - top)) / milled.dot(&out))
}

fn random_prep(draws: &mut Draws) -> Coping {
    let mut coping = random(draws);
    coping.basis = WallBasis::Prep(MillPlan {
        taper_rad: draws.range(-2.0, 12.0).to_radians(),
        margin_thickness_mm: draws.range(0.35, 1.0),
    });
    coping
}

#[test]
fn the_formula_is_the_construction_in_space() {
    let mut draws = Draws::new(21);
    let mut compared = 0;
    for _ in 0..200 {
        let coping = random_prep(&mut draws);
        let draw = leaning(draws.range(0.0, 25.0), draws.range(0.0, 360.0));
        for (side, wall) in coping.existing_walls() {
            for phi in sector(side, wall, 6) {
                let expected = thickness_by_construction(&coping, side, phi, &draw).unwrap();
                let found = coping.metal_top_mm(side, phi, &draw).unwrap();
                assert_near(found, expected, 1e-9, side.key());
                compared += 1;
            }
        }
    }
    assert!(compared > 3000, "only {compared} compared");
}

/// The extreme over the sector by dense sampling and golden-section search, from the outside.
fn extreme(coping: &Coping, side: Side, draw: &UnitVector3<f64>, sign: f64) -> f64 {
    let wall = coping.wall(side).unwrap();
    let value = |phi: f64| sign * coping.metal_top_mm(side, phi, draw).unwrap();
    let samples: Vec<f64> = sector(side, wall, 400).collect();
    let best = (0..samples.len())
        .min_by(|&i, &j| value(samples[i]).total_cmp(&value(samples[j])))
        .unwrap();
    let mut low = samples[best.saturating_sub(1)];
    let mut high = samples[(best + 1).min(400)];
    for _ in 0..120 {
        let third = (high - low) / 3.0;
        if value(low + third) < value(high - third) {
            high -= third;
        } else {
            low += third;
        }
    }
    sign * value(f64::midpoint(low, high)).min(value(samples[best]))
}

#[test]
fn least_and_most_metal_are_the_extremes_over_the_wall() {
    let mut draws = Draws::new(22);
    let mut steep = 0;
    for case in 0..300 {
        let mut coping = random_prep(&mut draws);
        // A tenth of them beyond anything milled, to leave the monotone range.
        let lean = if case % 10 == 0 {
            coping.basis = WallBasis::Prep(MillPlan {
                taper_rad: 0.5,
                margin_thickness_mm: 0.5,
            });
            draws.range(30.0, 50.0)
        } else {
            draws.range(0.0, 25.0)
        };
        let draw = leaning(lean, draws.range(0.0, 360.0));
        let margin = coping.mill_plan().unwrap().margin_thickness_mm;
        for (side, wall) in coping.existing_walls() {
            let metal = coping.wall_metal(side, &draw).unwrap();
            if !metal.least_mm.is_finite() {
                continue;
            }
            let (low, high) = (
                extreme(&coping, side, &draw, 1.0),
                extreme(&coping, side, &draw, -1.0),
            );
            assert_near(metal.least_mm, low.min(margin), 2e-9, "least");
            assert_near(metal.most_mm, high.max(margin), 2e-9, "most");
            let ends: Vec<f64> = sector(side, wall, 1)
                .map(|phi| coping.metal_top_mm(side, phi, &draw).unwrap())
                .collect();
            if low < ends[0].min(ends[1]) - 1e-6 {
                steep += 1;
            }
        }
    }
    assert!(steep > 50, "only {steep} extremes inside a sector");
}

/// The least distance at which a limit changes from met to broken, by bearings and bisection.
fn allowance_by_search(draw: &UnitVector3<f64>, met: impl Fn(&UnitVector3<f64>) -> bool) -> f64 {
    let across = draw
        .cross(&Vector3::new(0.3, 0.9, 0.1))
        .try_normalize(1e-9)
        .unwrap();
    let other = draw.cross(&across);
    let reach = 40_f64.to_radians();
    let distance = |bearing: f64| {
        let (sin, cos) = bearing.sin_cos();
        let way = across * cos + other * sin;
        let at = |t: f64| {
            let turned = draw.as_ref() * t.cos() + way * t.sin();
            unit(turned.x, turned.y, turned.z)
        };
        // March out to bracket the first change, then bisect.
        let steps = 80;
        let Some(step) = (1..=steps).find(|&i| !met(&at(reach * f64::from(i) / 80.0))) else {
            return reach;
        };
        let mut low = reach * f64::from(step - 1) / 80.0;
        let mut high = reach * f64::from(step) / 80.0;
        for _ in 0..40 {
            let middle = f64::midpoint(low, high);
            if met(&at(middle)) {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    };
    let count = 120;
    let bearing = |i: i32| f64::from(i) * std::f64::consts::TAU / f64::from(count);
    let best = (0..count)
        .min_by(|&i, &j| distance(bearing(i)).total_cmp(&distance(bearing(j))))
        .unwrap();
    let (mut low, mut high) = (bearing(best - 1), bearing(best + 1));
    for _ in 0..40 {
        let third = (high - low) / 3.0;
        if distance(low + third) < distance(high - third) {
            high -= third;
        } else {
            low += third;
        }
    }
    distance(f64::midpoint(low, high))
}

#[test]
fn the_allowance_to_a_metal_limit_is_what_a_search_of_the_sphere_finds() {
    let mut draws = Draws::new(23);
    let (mut thin, mut thick, mut broken) = (0, 0, 0);
    for _ in 0..45 {
        let coping = random_prep(&mut draws);
        let draw = leaning(draws.range(0.0, 15.0), draws.range(0.0, 360.0));
        for (side, _) in coping.existing_walls() {
            for limit in [MetalLimit::AtLeast(0.3), MetalLimit::AtMost(1.3)] {
                let met = |d: &UnitVector3<f64>| {
                    let metal = coping.wall_metal(side, d).unwrap();
                    match limit {
                        MetalLimit::AtLeast(mm) => metal.least_mm >= mm,
                        MetalLimit::AtMost(mm) => metal.most_mm <= mm,
                    }
                };
                let found = coping.metal_allowance_rad(side, &draw, limit).unwrap();
                assert_eq!(found >= 0.0, met(&draw), "{limit:?}: {found}");
                if found < 0.0 {
                    broken += 1;
                    continue;
                }
                if found > 38_f64.to_radians() {
                    continue;
                }
                let expected = allowance_by_search(&draw, met);
                assert_near(
                    found.to_degrees(),
                    expected.to_degrees(),
                    1e-4,
                    &format!("{limit:?}"),
                );
                match limit {
                    MetalLimit::AtLeast(_) => thin += 1,
                    MetalLimit::AtMost(_) => thick += 1,
                }
            }
        }
    }
    assert!(
        thin > 40 && thick > 40 && broken > 10,
        "{thin} thin, {thick} thick, {broken} broken"
    );
}

#[test]
fn the_border_of_the_limit_is_the_half_space_of_the_wall_tapered_by_beta() {
    // In the plane of the draw: beta = mu - asin((t0 - t) cos(mu) / L), and the limit is met iff
    // the wall of taper (taper - beta) draws.
    let coping = prep(8.0, 6.0, 0.5, 4.0);
    let line = 4.0 / 8_f64.to_radians().cos();
    let mill = 6_f64.to_radians();
    let beta = mill - (0.2 * mill.cos() / line).asin();
    // The distal centre is the worst azimuth for a draw leaning mesially.
    for tilt in [0.0, 2.0, 4.0, 6.0] {
        let found = coping
            .metal_allowance_rad(Side::Distal, &leaning(tilt, 0.0), MetalLimit::AtLeast(0.3))
            .unwrap();
        let expected = (8_f64.to_radians() - beta) - f64::to_radians(tilt);
        if tilt > 0.0 {
            assert_near(found, expected, 1e-12, "allowance");
        } else {
            assert_near(found, expected, 1e-9, "allowance along the axis");
        }
    }
}

#[test]
fn what_no_tilt_can_mend_is_minus_infinity() {
    let up = Vector3::z_axis();
    let never = |value: f64| value.is_infinite() && value < 0.0;
    let always = |value: f64| value.is_infinite() && value > 0.0;
    let allowance = |coping: &Coping, draw: &UnitVector3<f64>, limit| {
        coping
            .metal_allowance_rad(Side::Mesial, draw, limit)
            .unwrap()
    };
    let thin = prep(8.0, 6.0, 0.2, 4.0);
    assert!(never(allowance(&thin, &up, MetalLimit::AtLeast(0.3))));
    let thick = prep(8.0, 6.0, 2.1, 4.0);
    assert!(never(allowance(&thick, &up, MetalLimit::AtMost(2.0))));
    // So flat to the margin that no wall of the mill taper exists.
    let flat = leaning(85.0, 10.0);
    let coping = prep(8.0, 6.0, 0.5, 4.0);
    let metal = coping.wall_metal(Side::Mesial, &flat).unwrap();
    assert!(never(metal.least_mm) && always(metal.most_mm));
    assert!(never(allowance(&coping, &flat, MetalLimit::AtLeast(0.3))));
    // A short, thick-margined wall can never get thin.
    let stout = prep(8.0, 6.0, 1.0, 0.5);
    assert!(always(allowance(&stout, &up, MetalLimit::AtLeast(0.3))));
    // Finished copings have no metal budget.
    let mut finished = prep(8.0, 6.0, 0.5, 4.0);
    finished.basis = WallBasis::Finished;
    assert_eq!(finished.wall_metal(Side::Mesial, &up), None);
    assert_eq!(finished.metal_top_mm(Side::Mesial, 0.0, &up), None);
}
