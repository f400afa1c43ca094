//! Solids whose blockout volume, depth and undercut area are known in closed form, for a draw
//! along +z over the ground plane z = 0.
//!
//! Derivations, all over the plan area that faces away:
//!
//! * sphere of radius R, centre c <= R above the ground: the air under the equator is
//!   `pi c (R² - ..) ` integrated to `V = pi c³ / 3`; a point at distance r from the axis has its way
//!   out at the equator, so its depth is `R - r`, at the ground `R - sqrt(R² - c²)`;
//! * torus R, r on the ground: `V = 4 pi R r² (1 - pi/4)`, by Pappus on the square less the quarter
//!   disc, twice; depth is the distance to the nearer of the circles R + r and R - r;
//! * reverse frustum: the cylinder of its top less itself; depth `(h - z) tan beta`;
//! * mushroom: `pi (a² - b²) h`; depth a - b at the stem;
//! * cylinder of horizontal round sections leaning by theta: a section moved by s uncovers `2 r s`, so
//!   `V = integral 2 r (h - z) tan theta dz = r h² tan theta`;
//! * half-round ridge, per side and length: the rectangle `R c` less `integral of sqrt(R² - t²)` from
//!   0 to c, that is `R c - [c sqrt(R² - c²) + R² asin(c/R)] / 2`.

use crate::build::{
    assert_near, assert_share, assert_skimmed, leaning, ridge, skimmed, square, up, zone,
};
use std::f64::consts::{FRAC_PI_4, PI, TAU};
use tiltbench_geometry::undercut::{Ridge, ZoneReading};
use tiltbench_testkit::solids;

fn read(ridge: &Ridge) -> ZoneReading {
    let reading = ridge.read(&up())[0];
    assert_skimmed("skimmed", &skimmed(ridge, &up())[0], &reading);
    reading
}

/// The depth that 0.1 mm² exceeds, of a surface round about the z axis on which the depth falls by
/// `slope` per mm walked away from a circle of radius r where it is `deepest`.
fn after_strip(deepest: f64, r: f64, slope: f64) -> f64 {
    deepest - slope * 0.1 / (TAU * r)
}

#[test]
fn sphere_over_the_ground() {
    for (c, volume) in [(3.0, 28.2743), (2.0, 8.3776)] {
        let r = 3.0;
        assert_share("closed form", PI * c * c * c / 3.0, volume, 1e-5);
        let solid = if c < r {
            solids::sphere_on_floor(r, c, 4.0, 60)
        } else {
            solids::sphere(r, c, 60).with(&solids::floor(4.0, 0.0, 60, 0.3))
        };
        let reading = read(&ridge(solid, square(3.9, None)));
        assert_share("blockout", reading.blockout_mm3, volume, 0.005);
        assert!(!reading.blockout_open && !reading.depth_capped);
        // The zone facing away, and the floor under it.
        let foot = (r * r - c * c).sqrt();
        let area = TAU * r * c + PI * (r * r - foot * foot);
        assert_share("undercut area", reading.undercut_area_mm2, area, 0.005);
        if c < r {
            // Walking up the sphere from the ground the depth falls by c/R per mm, walking out on
            // the floor by 1: together 0.1 mm² lie within u of the deepest where
            // 2 pi foot (u R/c + u) = 0.1.
            let below = 0.1 / (TAU * foot * (r / c + 1.0));
            assert_near("closed form", r - foot, 0.76393, 1e-5);
            assert_near("depth", reading.undercut_depth_mm, r - foot - below, 0.02);
        }
    }
}

#[test]
fn depth_field_of_a_sphere_and_of_a_torus() {
    let r = 3.0;
    let ridge_ = ridge(solids::sphere_on_floor(r, 2.0, 4.0, 60), square(3.9, None));
    let mut count = 0;
    for s in &ridge_.undercut_samples(&up())[0] {
        let away = s.position.x.hypot(s.position.y);
        let hidden = away < r && s.position.z < 2.0;
        if let Some(depth) = s.depth_mm {
            assert_near("sphere", depth, r - away, 0.006);
            count += 1;
        } else {
            assert!(
                !hidden || r - away < 0.006,
                "{:?} is not undercut",
                s.position
            );
        }
    }
    assert!(count > 3000, "{count}");

    let (ring, tube) = (5.0, 1.0);
    let solid = solids::torus(ring, tube, 40, 200).with(&solids::floor(7.0, 0.0, 200, 0.3));
    let ridge_ = ridge(solid, square(6.5, Some([-0.1, 3.0])));
    for s in &ridge_.undercut_samples(&up())[0] {
        let away = s.position.x.hypot(s.position.y);
        if let Some(depth) = s.depth_mm {
            let out = (ring + tube - away).min(away - (ring - tube));
            // Where the torus lies on the floor both run into each other.
            if s.position.z < 1e-3 && (away - ring).abs() < 0.2 {
                continue;
            }
            assert_near("torus", depth, out, 0.008);
        }
    }
}

#[test]
fn torus_on_the_ground() {
    let (ring, tube) = (5.0, 1.0);
    let solid = solids::torus(ring, tube, 96, 200).with(&solids::floor(7.0, 0.0, 240, 0.1));
    let reading = read(&ridge(solid, square(6.5, None)));
    let volume = 4.0 * PI * ring * tube * tube * (1.0 - FRAC_PI_4);
    assert_share("closed form", volume, 13.4838, 1e-5);
    assert_share("blockout", reading.blockout_mm3, volume, 0.005);
    // Half of the torus faces away, and the floor under it is covered.
    let area = 2.0 * PI * PI * ring * tube + 4.0 * PI * ring * tube;
    assert_share("undercut area", reading.undercut_area_mm2, area, 0.005);
    assert_near("depth", reading.undercut_depth_mm, tube, 0.02);
}

/// What is owed of the air below a reverse frustum, whose depth at radius r is `top - r`: that over the ring
/// from the foot to `top - limit`, of a height that grows from the foot by `1 / tan angle`.
#[test]
fn what_exceeds_the_limit_is_owed() {
    let (top, height, angle) = (3.5_f64, 4.0_f64, 5.0_f64.to_radians());
    let foot = top - height * angle.tan();
    let up_to = |r: f64| TAU / angle.tan() * (r.powi(3) / 3.0 - foot * r * r / 2.0);
    let air = |r: f64| up_to(r) - up_to(foot);
    assert_share("closed form", air(top), 14.8788, 1e-5);
    for (limit, owed) in [
        (None, air(top)),
        (Some(0.1), air(top - 0.1)),
        (Some(0.2), air(top - 0.2)),
        (Some(0.4), 0.0),
    ] {
        let mut zone = square(3.6, Some([0.001, 5.0]));
        zone.undercut_limit_mm = limit;
        let solid = solids::reverse_frustum(top, height, angle, 6.0, 180, 0.1);
        let reading = read(&ridge(solid, zone));
        assert_near("owed", reading.blockout_owed_mm3, owed, 0.15);
        assert_share("blockout", reading.blockout_mm3, air(top), 0.005);
    }
}

#[test]
fn reverse_frustum() {
    let (top, height, angle) = (3.5_f64, 4.0_f64, 5.0_f64.to_radians());
    let solid = solids::reverse_frustum(top, height, angle, 6.0, 180, 0.25);
    let reading = read(&ridge(solid, square(3.6, Some([0.001, 5.0]))));
    let foot = top - height * angle.tan();
    let volume = PI * height * (top.powi(2) - (top.powi(2) + top * foot + foot.powi(2)) / 3.0);
    assert_near("foot", foot, 3.15004, 1e-5);
    assert_share("closed form", volume, 14.8788, 1e-5);
    assert_share("blockout", reading.blockout_mm3, volume, 0.005);
    let area = PI * (top + foot) * height / angle.cos();
    assert_share("undercut area", reading.undercut_area_mm2, area, 0.005);
    let deepest = height * angle.tan();
    assert_near(
        "depth",
        reading.undercut_depth_mm,
        after_strip(deepest, foot, angle.sin()),
        0.005,
    );
    // The depth is (h - z) tan beta, so what is deeper than u is the frustum's part below
    // z = h - u / tan beta.
    for (i, u) in [0.25].into_iter().enumerate() {
        let z = height - u / angle.tan();
        let beyond = PI * (2.0 * foot + z * angle.tan()) * z / angle.cos();
        assert_near(
            "area beyond",
            reading.area_beyond_mm2[i],
            beyond,
            0.02 * area,
        );
    }
    assert!(reading.area_beyond_mm2[1] == 0.0 && reading.area_beyond_mm2[2] == 0.0);
}

#[test]
fn mushroom() {
    let (cap, stem, height) = (4.0, 2.0, 5.0);
    let solid = solids::mushroom(cap, stem, height, 8.0, 180, 0.3);
    let reading = read(&ridge(solid, square(7.0, None)));
    assert_share(
        "closed form",
        PI * (cap * cap - stem * stem) * height,
        188.4956,
        1e-6,
    );
    assert_share("blockout", reading.blockout_mm3, 188.4956, 0.005);
    assert_near("depth", reading.undercut_depth_mm, cap - stem, 0.02);
    // Underside, stem and the floor under the cap: the stem faces sideways, but is covered.
    let area = 2.0 * PI * (cap * cap - stem * stem) + TAU * stem * height;
    assert_share("undercut area", reading.undercut_area_mm2, area, 0.005);
    assert!(!reading.depth_capped && !reading.blockout_open);
}

#[test]
fn leaning_cylinder() {
    let (radius, height, angle) = (2.5, 5.0, 8.0_f64.to_radians());
    let solid = solids::leaning_cylinder(radius, height, angle, 7.0, 200, 0.25);
    let reading = read(&ridge(solid, square(5.0, Some([0.001, 6.0]))));
    let volume = radius * height * height * angle.tan();
    assert_share("closed form", volume, 8.78380, 1e-5);
    assert_share("blockout", reading.blockout_mm3, volume, 0.005);
    // About its deepest point, at the foot and at azimuth 0, the depth falls by tan theta per mm of
    // height and by k phi²: with D = h tan theta the way from the foot to the shifted top circle is
    // `r - sqrt(r² - 2 r D cos phi + D²)`, so k = r D / 2 (r - D). What is less than e below the
    // deepest is a parabola of area (4/3) r sqrt(e/k) e / sin theta on the wall, to first order.
    let deepest = height * angle.tan();
    let k = radius * deepest / (2.0 * (radius - deepest));
    let below = (0.075 * k.sqrt() * angle.sin() / radius).powf(2.0 / 3.0);
    assert_near("depth", reading.undercut_depth_mm, deepest - below, 0.005);
    // Along the axis of the cylinder nothing is undercut but by the inscribed polygon's rounding.
    let along = ridge(
        solids::leaning_cylinder(radius, height, angle, 7.0, 200, 0.25),
        square(5.0, Some([0.001, 6.0])),
    )
    .read(&leaning(8.0, 0.0))[0];
    assert!(
        along.undercut_area_mm2 <= 0.0,
        "parallel walls are not undercut"
    );
    assert!(along.blockout_mm3 <= 0.0);
}

#[test]
fn half_round_ridge_per_side() {
    let (radius, height, length) = (3.0_f64, 2.0_f64, 10.0);
    let solid = solids::half_round_ridge(radius, height, 8.0, 16.0, 90);
    let half = 0.5 * length;
    let side = zone(
        &[[0.5, -half], [7.0, -half], [7.0, half], [0.5, half]],
        None,
    );
    let reading = read(&ridge(solid, side));
    let foot = (radius * radius - height * height).sqrt();
    let area = radius * height - 0.5 * (height * foot + radius.powi(2) * (height / radius).asin());
    assert_near("closed form", area, 0.48016, 1e-5);
    assert_share("blockout", reading.blockout_mm3, area * length, 0.005);
    let below = 0.1 / (length * (radius / height + 1.0));
    assert_near(
        "depth",
        reading.undercut_depth_mm,
        radius - foot - below,
        0.02,
    );
    let undercut = length * (radius * (height / radius).asin() + radius - foot);
    assert_share("undercut area", reading.undercut_area_mm2, undercut, 0.005);
}

/// Depth of a flat undercut wall: its height along the draw times the tangent of its lean against
/// the draw.
#[test]
fn flat_wall_against_two_draws() {
    for (posterior_deg, depth) in [(0.0_f64, 1.70045), (5.0, 0.98228)] {
        let lean = 12.0_f64.to_radians();
        let against = lean - posterior_deg.to_radians();
        let height = 8.0;
        assert_near("closed form", height * against.tan(), depth, 1e-5);
        let wall = solids::leaning_wall(height / against.cos(), lean, 12.0, 0.3);
        let around = zone(
            &[[-0.1, -4.0], [3.0, -4.0], [3.0, 4.0], [-0.1, 4.0]],
            Some([0.001, 8.5]),
        );
        let ridge_ = ridge(wall, around);
        let reading = ridge_.read(&leaning(posterior_deg, 0.0))[0];
        // 0.1 mm² of an 8 mm wide wall is its lowest 0.0125 mm.
        assert_near("depth", reading.undercut_depth_mm, depth, 0.01);
    }
}

#[test]
fn open_border_reaches_down_to_the_lowest_point_of_the_zone() {
    // A sphere cut at the ground without a floor: below it there is nothing.
    let (radius, height) = (3.0, 2.0);
    let with_floor = solids::sphere_on_floor(radius, height, 4.0, 60);
    let mut open = with_floor;
    let foot = (radius * radius - height * height).sqrt();
    let vertices = &open.vertices;
    open.triangles.retain(|t| {
        t.iter().all(|&v| {
            let p = vertices[v as usize];
            p.z > 1e-9 || p.x.hypot(p.y) < foot + 1e-6
        })
    });
    let reading = read(&ridge(open, square(3.9, None)));
    assert!(reading.blockout_open);
    assert_share(
        "blockout",
        reading.blockout_mm3,
        PI * height.powi(3) / 3.0,
        0.005,
    );
}

#[test]
fn finer_tessellation_comes_nearer() {
    let error = |steps: u32| {
        let reading = read(&ridge(
            solids::sphere_on_floor(3.0, 2.0, 4.0, steps),
            square(3.9, None),
        ));
        let volume = (reading.blockout_mm3 - PI * 8.0 / 3.0).abs();
        let foot = 5.0_f64.sqrt();
        let below = 0.1 / (TAU * foot * 2.5);
        let depth = (reading.undercut_depth_mm - (3.0 - foot - below)).abs();
        (volume, depth)
    };
    let (coarse, fine) = (error(15), error(60));
    assert!(fine.0 < coarse.0 / 8.0, "volume: {coarse:?}, {fine:?}");
    assert!(fine.1 < coarse.1 / 4.0, "depth: {coarse:?}, {fine:?}");
}
