//! The setting allowance: how wrong the hand that sets the table may be.
//!
//! The allowance of a draw is the largest angle `r` such that every draw of the search window within `r` of
//! it on the sphere meets all rigid limits and those of the seat; preferences are not asked. Limits with a
//! closed form give their part exactly. The ridge's part is the
//! clearance on its map, skimmed at the borders it touches until map and readings agree. Then the
//! rim is read wherever the map, with all the chart may be off, does not show it clear, and
//! accurately wherever it touches a border or a skim cannot tell.
//!
//! Whether the draw itself meets them is for its evaluation to say, which reads it accurately.

use crate::control::Cancelled;
use crate::evaluation::{Evaluation, evaluate};
use crate::field::{Field, worst};
use crate::ridge_map::{BORDER_SLACK_MM, Closeness, RidgeMap};
use crate::sphere::{angle_between, between, travel};
use std::f64::consts::TAU;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Radians. Accuracy to which a border is found along a great circle: 0.02 degree. Tuned: smaller takes
/// readings, larger shows in allowances; `samples` (allowances against brute force) would notice.
const BORDER_RAD: f64 = 0.02 * DEGREE;

/// Radians. How far past the border on the map the true border is looked for: 0.3 degree. Tuned: what
/// the chart may be off on a ridge 10 mm high; smaller takes the end of the way for the border.
const OVERSHOOT_RAD: f64 = 0.3 * DEGREE;

/// Draws around the rim of the allowance circle that are read if the map leaves them in doubt. Tuned: at
/// an allowance of 2 degrees they are half a degree apart, a cell of the map; more take readings.
const RIM_DRAWS: usize = 24;

/// Times the map is shifted to readings where a search stands; each may bring another border near.
/// Tuned: more than any search of the samples takes; fewer leave borders as the grid tells them.
pub(crate) const CALIBRATIONS: u32 = 12;

/// Radians. Borders within this beyond the circle are read with those it touches: 0.1 degree. Tuned:
/// smaller needs more rounds, larger reads borders that are not touched.
pub(crate) const NEAR_RAD: f64 = 0.1 * DEGREE;

/// A tilt as it is reported: evaluated accurately, with its setting allowance.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    /// Everything about it.
    pub evaluation: Evaluation,
    /// Its setting allowance, radians; 0 where a rigid limit or one of the seat is broken.
    pub allowance_rad: f64,
}

impl Judged {
    /// The draw.
    pub(crate) fn direction(&self) -> &UnitVector3<f64> {
        &self.evaluation.direction
    }
}

/// Judges any tilt.
pub(crate) fn judge_alone(field: &Field<'_>, tilt: Tilt) -> Result<Judged, Cancelled> {
    let evaluation = evaluate(&field.problem, tilt);
    let d = evaluation.direction;
    let margin = field.setting_margin(&d);
    if !evaluation.holds() {
        return Ok(Judged {
            evaluation,
            allowance_rad: 0.0,
        });
    }
    let reach = field.window_rad.max(margin);
    let mut map = RidgeMap::covering(field, reach, |there| margin - angle_between(&d, there))?;
    judge_evaluated(field, &mut map, evaluation)
}

/// Judges a tilt on a map that covers every draw within its margin. The map learns from what is read on
/// the way.
pub(crate) fn judge(
    field: &Field<'_>,
    map: &mut RidgeMap,
    tilt: Tilt,
) -> Result<Judged, Cancelled> {
    if field.control.cancelled() {
        return Err(Cancelled);
    }
    judge_evaluated(field, map, evaluate(&field.problem, tilt))
}

/// As [`judge`], of a draw that a search found; `None` when it is not acceptable after all.
pub(crate) fn judge_found(
    field: &Field<'_>,
    map: &mut RidgeMap,
    d: &UnitVector3<f64>,
) -> Result<Option<Judged>, Cancelled> {
    if field.analytic_margin(d) < -MET_RAD {
        return Ok(None);
    }
    let Ok(tilt) = Tilt::from_direction(d) else {
        return Ok(None);
    };
    let judged = judge(field, map, tilt)?;
    Ok(Some(judged).filter(|judged| judged.evaluation.acceptable))
}

fn judge_evaluated(
    field: &Field<'_>,
    map: &mut RidgeMap,
    evaluation: Evaluation,
) -> Result<Judged, Cancelled> {
    let depths_mm = evaluation.depths_mm();
    let here_mm = worst(&field.overruns_mm(&depths_mm));
    map.learn(&evaluation.direction, depths_mm);
    let allowance_rad = if evaluation.holds() {
        allowance_rad(field, map, (&evaluation.direction, here_mm))?
    } else {
        0.0
    };
    map.settle();
    Ok(Judged {
        evaluation,
        allowance_rad,
    })
}

/// The setting allowance of a draw that has one, and meets the ridge by `-here_mm`.
fn allowance_rad(
    field: &Field<'_>,
    map: &mut RidgeMap,
    (d, here_mm): (&UnitVector3<f64>, f64),
) -> Result<f64, Cancelled> {
    let margin = field.setting_margin(d).max(0.0);
    if !field.is_limited_by_ridge() {
        return Ok(margin);
    }
    for _ in 0..CALIBRATIONS {
        let reach = map.clearance_rad(d).clamp(0.0, margin) + NEAR_RAD;
        if !map.calibrate(field, d, reach)? {
            break;
        }
    }
    let mut radius = map.clearance_rad(d).clamp(0.0, margin);
    for there in broken_on_rim(field, map, d, radius)? {
        radius = radius.min(border_along(field, (d, here_mm), &there, margin)?);
    }
    Ok(radius)
}

/// Draws of the rim of a circle about `d` that break a limit of the ridge by more than a border is
/// wide. Read around it, to catch what the map may have missed, and where it touches borders.
fn broken_on_rim(
    field: &Field<'_>,
    map: &mut RidgeMap,
    d: &UnitVector3<f64>,
    radius_rad: f64,
) -> Result<Vec<UnitVector3<f64>>, Cancelled> {
    let touched: Vec<UnitVector3<f64>> = map
        .nearest_of_each(d)
        .into_iter()
        .map(|(_, border)| border)
        .filter(|border| angle_between(d, border) <= radius_rad + BORDER_RAD)
        .collect();
    let evenly = (0..RIM_DRAWS).map(|i| travel(d, i as f64 / RIM_DRAWS as f64 * TAU, radius_rad));
    let doubtful = map.in_doubt(field, evenly);
    let mut broken = Vec::new();
    for (draws, closeness) in [(touched, Closeness::Accurate), (doubtful, Closeness::Told)] {
        let read = map.read_mm(field, &draws, closeness)?;
        let draws = draws.into_iter().zip(read);
        broken.extend(
            draws
                .filter(|(_, overruns)| worst(overruns) > BORDER_SLACK_MM)
                .map(|(there, _)| there),
        );
    }
    Ok(broken)
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
    let at = |angle: f64| {
        let there = between(d, toward, angle / whole);
        Ok(worst(&field.read_overruns_mm(&there)?))
    };
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
