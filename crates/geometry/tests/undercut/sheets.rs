//! Sheets drawn out along y whose depths are known in closed form.

use crate::build::{assert_near, leaning, ridge, up, zone};
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_testkit::solids::{self, ProfilePoint, Solid};

/// A band across the sheet, 20 mm wide.
fn band(x: [f64; 2], z: [f64; 2]) -> SeatZone {
    zone(&[[x[0], -10.0], [x[1], -10.0], [x[1], 10.0], [x[0], 10.0]], Some(z))
}

/// A flank of 12 degrees below a crest, over a round sulcus of 1.5 mm, and a land that rises beyond it.
fn sulcus(step: f64) -> Solid {
    let lean = 12.0_f64.to_radians();
    let (r, along) = (1.5, 6.6 / lean.cos());
    let foot = [4.0 - along * lean.sin(), -along * lean.cos()];
    let centre = [foot[0] + r * lean.cos(), foot[1] - r * lean.sin()];
    let start = std::f64::consts::PI - lean;
    let mut section: Vec<ProfilePoint> = solids::profile(&[[-10.0, -8.0], [-4.0, 0.0], [4.0, 0.0], foot], step);
    section.pop();
    section.extend(solids::arc(centre, r, start, std::f64::consts::TAU - 0.3, 30));
    let last = section[section.len() - 1];
    let (sin, cos) = 0.3_f64.sin_cos();
    let land = [last[0] + 5.0 * sin, last[1] + 5.0 * cos];
    section.pop();
    section.extend(solids::profile(&[last, land, [land[0] + 8.0, land[1] + 0.9]], step));
    section.reverse();
    solids::extrude(&section, 40.0, 100)
}

#[test]
fn probe_values() {
    for step in [0.2, 0.4, 1.0] {
        let ridge = ridge(sulcus(step), band([-1.0, 9.0], [-12.0, 0.5]));
        for a in [0.0, 2.0, 2.5, 3.0, -2.0] {
            eprintln!("{step} {a}: {:?}", ridge.read(&leaning(a, 0.0))[0]);
        }
    }
}
