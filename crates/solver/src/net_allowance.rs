//! The net allowance: what of a setting allowance is left to the hand once measuring errors have taken theirs.
//!
//! The setting allowance is measured to walls, axes and a level that are themselves measured. With `rho_j` the
//! angle about the tilt within which limit `j` alone holds, and `s_j` the standard error of where its border lies,
//!
//! ```text
//! net = max(0, min over j of (rho_j - k s_j)),     k = sqrt(2 ln(20 m)),
//! ```
//!
//! over the `m` rigid limits and limits of the seat. With a chance of at least 95 % every draw within `net` of the
//! one that is really set meets all of them.
//!
//! Derivation. An error of a taper turns the normal of its wall by as much about the margin line, so it moves the
//! border by at most that. An error of an axis turns all walls of a coping, one of the level the whole cast; each
//! is a small turn `(x, y)`, and the standard error is that of `x` and of `y` alone: what one view shows. A turn
//! moves a border by at most its length. Two turns that do not hang on each other add up to one of standard error
//! `sqrt(a^2 + b^2)`. A taper's error `t` adds to the length `R` of a turn: no more than the length of the turn
//! that has `t` along it and one like `t` across, which is the next sum of that kind. So border `j` moves by at
//! most the length of a turn of standard error `s_j`, `s_j^2 = taper^2 + axis^2 + level^2`. That length is
//! Rayleigh's: it exceeds `k s_j` with a chance of `exp(-k^2 / 2) = 1 / (20 m)`. One of `m` does so with a chance
//! of at most `1 / 20`, however they hang together: errors that limits share need no correlations.
//! Turns of a few degrees are added as if they were plane: what holds to first order only. The border of least metal
//! moves by a little less than the taper of the root.
//!
//! Limits of the seat have the level's error alone, which is the least that any limit has. With `r` the setting
//! allowance, the least of all `rho_j` and of the way to the rim of the search window, the minimum above is
//! therefore `min(r - k s_level, min over rigid j of (rho_j - k s_j))` exactly: no circle of a single zone is
//! needed. The rim comes in with `r`: levelling may carry the hand beyond it, where nothing was read. It is not
//! counted in `m`, as it is no limit that could be broken.

use crate::evaluation::{Evaluation, margin_of};
use crate::limit::{Limit, LimitClass, Place, limits_of};
use crate::problem::Problem;
use tiltbench_geometry::coping::Side;

/// Standard errors of what a case measured, radians; `None` where the case states none.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct MeasuringErrors {
    /// How well the zero plane can be levelled, as seen in any one view.
    pub level_rad: Option<f64>,
    /// Of the copings, in the order of the problem.
    pub copings: Vec<CopingErrors>,
}

/// Standard errors of one coping, radians; `None` where the case states none.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct CopingErrors {
    /// Of its axis, as seen in any one view.
    pub axis_rad: Option<f64>,
    /// Of the tapers of its walls, in the order of [`Side::ALL`].
    pub tapers_rad: [Option<f64>; 4],
}

/// What has a measuring error.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measured {
    /// The taper of a wall; the coping by its index in the problem.
    Taper(usize, Side),
    /// The axis of a coping.
    Axis(usize),
    /// The level of the zero plane.
    Level,
}

impl MeasuringErrors {
    /// The standard error of one figure.
    pub fn of(&self, measured: Measured) -> Option<f64> {
        let coping = |index: usize| self.copings.get(index);
        match measured {
            Measured::Taper(index, side) => coping(index)?.tapers_rad[side as usize],
            Measured::Axis(index) => coping(index)?.axis_rad,
            Measured::Level => self.level_rad,
        }
    }

    /// The figures on which rigid limits and those of the seat rest, each once: those whose error is stated, and
    /// those whose error is not. Both empty where there is no such limit.
    pub fn stated_and_not(&self, problem: &Problem<'_>) -> (Vec<Measured>, Vec<Measured>) {
        let limits = binding(problem);
        let mut all: Vec<Measured> = limits
            .iter()
            .flat_map(|limit| rests_on(limit.place))
            .collect();
        all.sort_unstable();
        all.dedup();
        all.into_iter()
            .partition(|measured| self.of(*measured).is_some())
    }
}

/// The limits beyond which something binds: all but preferences.
fn binding(problem: &Problem<'_>) -> Vec<Limit> {
    let mut limits = limits_of(problem);
    limits.retain(|limit| limit.kind.class() != LimitClass::Preference);
    limits
}

/// What was measured to know where a limit lies.
fn rests_on(place: Place) -> Vec<Measured> {
    match place {
        Place::Wall(coping, side) => vec![
            Measured::Taper(coping, side),
            Measured::Axis(coping),
            Measured::Level,
        ],
        Place::Zone(_) | Place::Zones(_) | Place::Table => vec![Measured::Level],
    }
}

/// What measuring errors leave of a setting allowance, radians: see the module. Errors that are not stated count
/// as 0. `None` where none is stated, and where a rigid limit or one of the seat is broken at the tilt itself.
///
/// `evaluation` is that of the tilt on `problem`, `allowance_rad` its setting allowance.
pub fn net_allowance_rad(
    problem: &Problem<'_>,
    errors: &MeasuringErrors,
    evaluation: &Evaluation,
    allowance_rad: f64,
) -> Option<f64> {
    let (stated, _) = errors.stated_and_not(problem);
    if stated.is_empty() || !evaluation.holds() {
        return None;
    }
    let limits = binding(problem);
    let k = (2.0 * (20.0 * limits.len() as f64).ln()).sqrt();
    let error_rad = |place| {
        let of = rests_on(place).into_iter();
        let squares = of.filter_map(|measured| Some(errors.of(measured)?.powi(2)));
        squares.sum::<f64>().sqrt()
    };
    let of_walls = limits.iter().filter_map(|limit| {
        let margin = margin_of(problem, limit, &evaluation.direction)?;
        Some(margin - k * error_rad(limit.place))
    });
    let of_the_rest = allowance_rad - k * error_rad(Place::Table);
    Some(of_walls.fold(of_the_rest, f64::min).max(0.0))
}
