//! The setting allowance: how wrong the hand that sets the table may be.
//!
//! The allowance of a draw is the largest angle `r` such that every draw within `r` of it on the
//! sphere is acceptable. Limits with a closed form give their part exactly; the ridge's part is a proved
//! pair ([`crate::distance`]). Both figures are those of the problem and the tilt alone: a survey and a
//! check of the same tilt say the same, to the bit.
//!
//! Whether the draw itself is acceptable is for its evaluation to say.

use crate::context::Context;
use crate::control::Cancelled;
use crate::distance::{Ask, Pair, ridge_distance};
use crate::evaluation::{Evaluation, evaluate};
use crate::limit::LimitReading;
use crate::recommend::TIE_RAD;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tilt::Tilt;

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Radians. The two figures of an allowance are no farther apart than this, 0.034 degree, unless a search
/// ends at its bound on cells. Tuned: less than the 0.05 that is promised, as a limit's own circle is told
/// from it; each halving doubles the readings of a pair.
pub(crate) const PAIR_RAD: f64 = 0.034 * DEGREE;

/// Radians. To what a pair is narrowed where it straddles an angle that is judged by: 0.001 degree.
const NARROW_RAD: f64 = 0.001 * DEGREE;

/// Radians. Angles an allowance is judged by, in words and in alternatives: 1 degree and half a degree.
const THRESHOLDS_RAD: [f64; 2] = [DEGREE, 0.5 * DEGREE];

/// A tilt as it is reported: evaluated accurately, with its setting allowance.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    /// Everything about it.
    pub evaluation: Evaluation,
    /// Its setting allowance; 0 where it is not acceptable.
    pub allowance: Pair,
}

impl Judged {
    /// The draw.
    pub(crate) fn direction(&self) -> &UnitVector3<f64> {
        &self.evaluation.direction
    }
}

/// Judges a tilt.
pub(crate) fn judge(context: &mut Context<'_, '_, '_>, tilt: Tilt) -> Result<Judged, Cancelled> {
    if context.field.control.cancelled() {
        return Err(Cancelled);
    }
    let evaluation = evaluate(&context.field.problem, tilt);
    let allowance = if evaluation.acceptable {
        allowance(context, &evaluation.direction)?
    } else {
        Pair {
            lower_rad: 0.0,
            upper_rad: 0.0,
        }
    };
    Ok(Judged {
        evaluation,
        allowance,
    })
}

/// As [`judge`], of a draw that a search found; `None` when it is not acceptable after all.
pub(crate) fn judge_found(
    context: &mut Context<'_, '_, '_>,
    d: &UnitVector3<f64>,
) -> Result<Option<Judged>, Cancelled> {
    let Ok(tilt) = Tilt::from_direction(d) else {
        return Ok(None);
    };
    let judged = judge(context, tilt)?;
    Ok(Some(judged).filter(|judged| judged.evaluation.acceptable))
}

fn allowance(context: &mut Context<'_, '_, '_>, d: &UnitVector3<f64>) -> Result<Pair, Cancelled> {
    let margin_rad = context.field.analytic_margin(d).max(0.0);
    let pair = context.ridge_distance(d, &Ask::pair(margin_rad, PAIR_RAD))?;
    let straddled =
        |threshold: &&f64| pair.lower_rad < **threshold && **threshold <= pair.upper_rad;
    let Some(threshold) = THRESHOLDS_RAD.iter().find(straddled) else {
        return Ok(pair);
    };
    let narrow = Ask {
        enough_rad: *threshold,
        hopeless_rad: *threshold,
        ..Ask::pair(margin_rad, NARROW_RAD)
    };
    let decided = context.ridge_distance(d, &narrow)?;
    Ok(Pair {
        lower_rad: pair.lower_rad.max(decided.lower_rad),
        upper_rad: pair.upper_rad.min(decided.upper_rad),
    })
}

/// Radians. How closely it is told whether a limit governs: 0.034 degree.
const GOVERNS_GAP_RAD: f64 = 0.034 * DEGREE;

/// The limits of a judged tilt whose own circle is no larger than the upper figure of its allowance and
/// 0.05 degree, in order. One of which that cannot be decided counts among them.
pub(crate) fn governing(
    context: &mut Context<'_, '_, '_>,
    judged: &Judged,
) -> Result<Vec<LimitReading>, Cancelled> {
    let field = context.field;
    let reach_rad = judged.allowance.upper_rad + TIE_RAD;
    let d = judged.direction();
    let mut found = Vec::new();
    if !field.problem.opposing_zones().is_empty() {
        context.tree.tell_sums();
    }
    for (index, reading) in judged.evaluation.limits.iter().enumerate() {
        let circle_rad = match field.margin_of(&field.limits[index], d) {
            Some(margin_rad) => margin_rad,
            None => own_circle(context, index, d, reach_rad)?,
        };
        if circle_rad <= reach_rad {
            found.push(*reading);
        }
    }
    Ok(found)
}

/// The circle in which one limit of the ridge alone holds: no more than `reach_rad` if it may be that.
fn own_circle(
    context: &mut Context<'_, '_, '_>,
    limit: usize,
    d: &UnitVector3<f64>,
    reach_rad: f64,
) -> Result<f64, Cancelled> {
    let ask = Ask {
        enough_rad: reach_rad + GOVERNS_GAP_RAD,
        hopeless_rad: reach_rad,
        ..Ask::pair(reach_rad + 2.0 * GOVERNS_GAP_RAD, GOVERNS_GAP_RAD)
    };
    let pair = ridge_distance(context.field, context.tree, &[limit], d, &ask)?;
    Ok(pair.lower_rad)
}
