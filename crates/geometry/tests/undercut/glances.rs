//! Glances off a cast with fewer facets, against the closed forms of `closed_forms`.
//!
//! Joining vertices over `h` = 0.5 mm moves a surface of radius `R` in by `h² / 12 R`, and where the
//! ground meets a solid at an edge it cuts that edge by up to `h`. So depths are off by a few
//! hundredths of a millimetre and volumes by what such a layer holds.

use crate::build::{assert_near, assert_share, ridge, square, up, zone};
use std::f64::consts::{FRAC_PI_4, PI, TAU};
use tiltbench_geometry::undercut::{SeatZone, ZoneGlance};
use tiltbench_testkit::solids::{self, Solid};

/// The closed form of a zone, and how far a glance may be off.
struct Expected {
    depth_mm: f64,
    area_mm2: f64,
    blockout_mm3: f64,
}

/// mm, and shares of each figure.
const DEPTH_MM: f64 = 0.06;
const AREA_SHARE: f64 = 0.012;
const BLOCKOUT_SHARE: f64 = 0.04;

#[track_caller]
fn assert_glance(name: &str, solid: Solid, zone: SeatZone, expected: &Expected) {
    let facets = solid.triangles.len();
    let ridge = ridge(solid, zone);
    let glanced: Vec<ZoneGlance> = ridge
        .glance(&up(), None, &|| false)
        .unwrap_or_else(|| unreachable!("nothing stops it"));
    let read = ridge.read(&up())[0];
    let differs = (glanced[0].blockout_mm3 - read.blockout_mm3).abs() > 1e-9;
    assert!(differs, "{name}: {facets} facets are read as they are");
    println!(
        "{name} {} {} | {} {} | {} {}",
        glanced[0].depth_mm,
        expected.depth_mm,
        glanced[0].undercut_area_mm2,
        expected.area_mm2,
        glanced[0].blockout_mm3,
        expected.blockout_mm3
    );
    assert_near(name, glanced[0].depth_mm, expected.depth_mm, DEPTH_MM);
    assert_share(
        name,
        glanced[0].undercut_area_mm2,
        expected.area_mm2,
        AREA_SHARE,
    );
    assert_share(
        name,
        glanced[0].blockout_mm3,
        expected.blockout_mm3,
        BLOCKOUT_SHARE,
    );
}

#[test]
fn of_a_sphere_over_the_ground() {
    let (r, c) = (3.0_f64, 2.0_f64);
    let foot = (r * r - c * c).sqrt();
    let expected = Expected {
        depth_mm: r - foot - 0.1 / (TAU * foot * (r / c + 1.0)),
        area_mm2: TAU * r * c + PI * (r * r - foot * foot),
        blockout_mm3: PI * c * c * c / 3.0,
    };
    let solid = solids::sphere_on_floor(r, c, 4.0, 90);
    assert_glance("sphere", solid, square(3.9, None), &expected);
}

#[test]
fn of_a_torus_on_the_ground() {
    let (ring, tube) = (5.0, 1.0);
    let solid = solids::torus(ring, tube, 60, 300).with(&solids::floor(7.0, 0.0, 240, 0.1));
    let expected = Expected {
        depth_mm: tube,
        area_mm2: 2.0 * PI * PI * ring * tube + 4.0 * PI * ring * tube,
        blockout_mm3: 4.0 * PI * ring * tube * tube * (1.0 - FRAC_PI_4),
    };
    assert_glance("torus", solid, square(6.5, None), &expected);
}

#[test]
fn of_a_reverse_frustum() {
    let (top, height, angle) = (3.5_f64, 4.0_f64, 5.0_f64.to_radians());
    let foot = top - height * angle.tan();
    let expected = Expected {
        depth_mm: height * angle.tan() - angle.sin() * 0.1 / (TAU * foot),
        area_mm2: PI * (top + foot) * height / angle.cos(),
        blockout_mm3: PI * height * (top.powi(2) - (top.powi(2) + top * foot + foot.powi(2)) / 3.0),
    };
    let solid = solids::reverse_frustum(top, height, angle, 6.0, 180, 0.12);
    assert_glance("frustum", solid, square(3.6, Some([0.001, 5.0])), &expected);
}

#[test]
fn of_a_mushroom() {
    let (cap, stem, height) = (4.0, 2.0, 5.0);
    let expected = Expected {
        depth_mm: cap - stem,
        area_mm2: 2.0 * PI * (cap * cap - stem * stem) + TAU * stem * height,
        blockout_mm3: PI * (cap * cap - stem * stem) * height,
    };
    let solid = solids::mushroom(cap, stem, height, 8.0, 180, 0.12);
    assert_glance("mushroom", solid, square(7.0, None), &expected);
}

#[test]
fn of_a_leaning_cylinder() {
    let (radius, height, angle) = (2.5, 5.0, 8.0_f64.to_radians());
    let deepest = height * angle.tan();
    let k = radius * deepest / (2.0 * (radius - deepest));
    let expected = Expected {
        depth_mm: deepest - (0.075 * k.sqrt() * angle.sin() / radius).powf(2.0 / 3.0),
        area_mm2: f64::NAN,
        blockout_mm3: radius * height * height * angle.tan(),
    };
    let solid = solids::leaning_cylinder(radius, height, angle, 7.0, 200, 0.12);
    assert_glance(
        "cylinder",
        solid,
        square(5.0, Some([0.001, 6.0])),
        &expected,
    );
}

#[test]
fn of_a_half_round_ridge() {
    let (radius, height, length) = (3.0_f64, 2.0_f64, 10.0);
    let foot = (radius * radius - height * height).sqrt();
    let half = 0.5 * length;
    let per_length =
        radius * height - 0.5 * (height * foot + radius.powi(2) * (height / radius).asin());
    let expected = Expected {
        depth_mm: radius - foot - 0.1 / (length * (radius / height + 1.0)),
        area_mm2: length * (radius * (height / radius).asin() + radius - foot),
        blockout_mm3: per_length * length,
    };
    let outline = [[0.5, -half], [7.0, -half], [7.0, half], [0.5, half]];
    let solid = solids::half_round_ridge(radius, height, 8.0, 16.0, 90);
    assert_glance("ridge", solid, zone(&outline, None), &expected);
}
