//! Sheets drawn out along y whose depths are known in closed form.

use crate::build::{assert_near, leaning, ridge, zone};
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_testkit::solids::{self, ProfilePoint, Solid};

/// A band across the sheet, 20 mm wide.
fn band(x: [f64; 2], z: [f64; 2]) -> SeatZone {
    zone(
        &[[x[0], -10.0], [x[1], -10.0], [x[1], 10.0], [x[0], 10.0]],
        Some(z),
    )
}

/// A flank of 12 degrees below a crest, over a round sulcus of 1.5 mm, and a land that rises beyond it.
fn sulcus(step: f64) -> Solid {
    let lean = 12.0_f64.to_radians();
    let (r, along) = (1.5, 6.6 / lean.cos());
    let foot = [4.0 - along * lean.sin(), -along * lean.cos()];
    let centre = [foot[0] + r * lean.cos(), foot[1] - r * lean.sin()];
    let start = std::f64::consts::PI - lean;
    let mut section: Vec<ProfilePoint> =
        solids::profile(&[[-10.0, -8.0], [-4.0, 0.0], [4.0, 0.0], foot], step);
    section.pop();
    section.extend(solids::arc(
        centre,
        r,
        start,
        std::f64::consts::TAU - 0.3,
        30,
    ));
    let last = section[section.len() - 1];
    let (sin, cos) = 0.3_f64.sin_cos();
    let land = [last[0] + 5.0 * sin, last[1] + 5.0 * cos];
    section.pop();
    section.extend(solids::profile(
        &[last, land, [land[0] + 8.0, land[1] + 0.9]],
        step,
    ));
    section.reverse();
    solids::extrude(&section, 40.0, 100)
}

/// Across a draw that leans by `a` toward the flank, its lip overhangs the innermost of the sulcus, where
/// the circle runs along the draw, by `l sin(12 - a) + r (1 - cos(12 - a))`, whatever the slope of what
/// is below. A floor that rises stops a straight level way, so that it once read 10 from 2 degrees on.
#[test]
fn a_flank_over_a_sulcus_is_as_deep_as_its_lip_overhangs() {
    for step in [0.2, 1.0] {
        let ridge = ridge(sulcus(step), band([-1.0, 9.0], [-12.0, 0.5]));
        for degrees in [-5.0, -2.5, -2.0, 0.0, 2.0, 5.0] {
            let against = (12.0_f64 - degrees).to_radians();
            let length = 6.6 / 12.0_f64.to_radians().cos();
            let depth = length * against.sin() + 1.5 * (1.0 - against.cos());
            let read = ridge.read(&leaning(degrees, 0.0))[0];
            assert!(!read.depth_capped);
            // The deepest 0.1 mm² is a strip 20 mm wide.
            assert_near("depth", read.undercut_depth_mm, depth, 0.004);
        }
    }
}
