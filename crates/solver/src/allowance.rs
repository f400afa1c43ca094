//! The setting allowance: how wrong the hand that sets the table may be.
//!
//! The allowance of a draw is the largest angle `r` such that every draw within `r` of it on the
//! sphere is acceptable. Limits with a closed form give their part exactly. The ridge's part is the
//! clearance on its map, read at the borders it touches until map and readings agree, and then
//! around the rim wherever the map does not show it clear.

use crate::control::Cancelled;
use crate::field::{Field, worst};
use crate::ridge_map::RidgeMap;
use crate::sphere::{angle_between, between, travel};
use std::f64::consts::TAU;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Radians. Accuracy to which a border is found along a great circle: 0.02 degree.
const BORDER_RAD: f64 = 0.02 * DEGREE;

/// Radians. How far past the border on the map the true border is looked for: 0.3 degree.
const OVERSHOOT_RAD: f64 = 0.3 * DEGREE;

/// Draws read around the rim of the allowance circle.
const RIM_READINGS: usize = 24;

/// mm. A rim that is broken by no more is the border itself, as found: a fiftieth of a degree on a
/// ridge 10 mm high.
const RIM_SLACK_MM: f64 = 0.004;

/// Times the map is shifted to readings where a search stands; each may bring another border near.
pub(crate) const CALIBRATIONS: u32 = 12;

/// Radians. Borders within this beyond the circle are read with those it touches: 0.1 degree.
pub(crate) const NEAR_RAD: f64 = 0.1 * DEGREE;

/// The setting allowance of any draw; `None` when it is not acceptable.
pub(crate) fn allowance_of(
    field: &Field<'_>,
    d: &UnitVector3<f64>,
) -> Result<Option<f64>, Cancelled> {
    let margin = field.analytic_margin(d);
    if margin < -MET_RAD {
        return Ok(None);
    }
    let reach = field.reach_rad().max(margin);
    let mut map = RidgeMap::covering(field, reach, |there| margin - angle_between(d, there))?;
    allowance_on(field, &mut map, d)
}

/// As [`allowance_of`], on a map that covers every draw within the margin of `d`. The map is
/// shifted to what is read on the way.
pub(crate) fn allowance_on(
    field: &Field<'_>,
    map: &mut RidgeMap,
    d: &UnitVector3<f64>,
) -> Result<Option<f64>, Cancelled> {
    let margin = field.analytic_margin(d);
    if margin < -MET_RAD {
        return Ok(None);
    }
    let margin = margin.max(0.0);
    if !field.is_limited_by_ridge() {
        return Ok(Some(margin));
    }
    let here_mm = worst(&map.read_mm(field, d)?);
    if here_mm > MET_MM {
        return Ok(None);
    }
    for _ in 0..CALIBRATIONS {
        let reach = map.clearance_rad(d).clamp(0.0, margin) + NEAR_RAD;
        if !map.calibrate(field, d, reach)? {
            break;
        }
    }
    // The borders a circle about `d` touches have been read where it touches them.
    let mut radius = map.clearance_rad(d).clamp(0.0, margin);
    // The rim is read to catch what the map may have missed; each miss pulls the circle in.
    for i in 0..RIM_READINGS {
        let there = travel(d, i as f64 / RIM_READINGS as f64 * TAU, radius);
        if worst(&map.overruns_in_doubt_mm(field, &there)?) > RIM_SLACK_MM {
            radius = radius.min(border_along(field, (d, here_mm), &there, margin)?);
        }
    }
    map.settle();
    Ok(Some(radius))
}

/// Angle from `d`, which meets the ridge by `-here_mm`, to where it is first found broken on the way through
/// `toward` and a little beyond; at most `margin_rad`. Regula falsi with the Illinois step
/// (Dahlquist and Björck, "Numerical Methods", 1974, section 6.4.4), safeguarded by its bracket.
fn border_along(
    field: &Field<'_>,
    (d, here_mm): (&UnitVector3<f64>, f64),
    toward: &UnitVector3<f64>,
    margin_rad: f64,
) -> Result<f64, Cancelled> {
    let whole = angle_between(d, toward);
    let end = (whole + OVERSHOOT_RAD).min(margin_rad);
    if whole < BORDER_RAD || end < BORDER_RAD {
        return Ok(whole.min(margin_rad));
    }
    let at = |angle: f64| field.ridge_excess_mm(&between(d, toward, angle / whole));
    let (mut low, mut at_low) = (0.0, here_mm.min(-MET_MM));
    let (mut high, mut at_high) = (end, at(end)?);
    if at_high <= MET_MM {
        return Ok(end);
    }
    let mut low_moved_last = None;
    while high - low > BORDER_RAD {
        let raw = low + (high - low) * at_low / (at_low - at_high);
        // Stay a little inside the bracket, so that it shrinks from both ends.
        let angle = raw.clamp(low + 0.25 * BORDER_RAD, high - 0.25 * BORDER_RAD);
        let excess = at(angle)?;
        let low_moves = excess <= MET_MM;
        if low_moves {
            (low, at_low) = (angle, excess.min(-MET_MM));
        } else {
            (high, at_high) = (angle, excess);
        }
        if low_moved_last == Some(low_moves) {
            if low_moves {
                at_high *= 0.5;
            } else {
                at_low *= 0.5;
            }
        }
        low_moved_last = Some(low_moves);
    }
    Ok(low)
}
