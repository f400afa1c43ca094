//! The setting allowance: how wrong the hand that sets the table may be.
//!
//! The allowance of a draw is the largest angle `r` such that every draw within `r` of it on the
//! sphere is acceptable. Limits with a closed form give their part exactly. The ridge's part is the
//! clearance on its map, with the cells the answer depends on split to a quarter of a degree, and then read:
//! along the way to the border point the map calls nearest, and around the rim wherever the map does
//! not show it clear.

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

/// mm. A draw the map shows to meet every limit of the ridge by more than this is not read again.
/// Tuned: several times what a calibrated map is off by away from where it was calibrated; on a
/// shallow slope every draw of the rim is nearer to its limit than this, and all are read.
const CLEARLY_MET_MM: f64 = 0.06;

/// Rounds of splitting; a cell is split from 2 degrees to 1/4 in three, and each split may bring
/// others near.
pub(crate) const SPLIT_ROUNDS: usize = 12;

/// Radians. Cells whose border lies within this beyond the circle are split with it: 0.1 degree.
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
/// refined on the way.
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
    let here_mm = field.ridge_excess_mm(d)?;
    if here_mm > MET_MM {
        return Ok(None);
    }
    for _ in 0..SPLIT_ROUNDS {
        let reach = map.clearance_rad(d).clamp(0.0, margin) + NEAR_RAD;
        let split = map.split(field, &map.border_leaves(d, reach))?;
        if !split && !map.calibrate(field, d, reach)? {
            break;
        }
    }
    let mut radius = margin;
    for (_, nearest) in map.nearest_of_each(d) {
        if angle_between(d, &nearest) < radius + OVERSHOOT_RAD {
            radius = radius.min(border_along(field, (d, here_mm), &nearest, margin)?);
        }
    }
    // The rim is read to catch what the map may have missed; each miss pulls the circle in.
    for i in 0..RIM_READINGS {
        let there = travel(d, i as f64 / RIM_READINGS as f64 * TAU, radius);
        let clear = map
            .overruns_mm(&there)
            .is_some_and(|mm| worst(&mm) < -CLEARLY_MET_MM);
        if !clear && field.ridge_excess_mm(&there)? > MET_MM {
            radius = radius.min(border_along(field, (d, here_mm), &there, margin)?);
        }
    }
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
