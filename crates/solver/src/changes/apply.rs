//! Applying a set of changes to a copy of the case, and judging the copy.

use super::{Change, ChangeSet, WANTED_ALLOWANCE_RAD};
use crate::allowance::{Judged, PAIR_RAD, judge_found};
use crate::context::Context;
use crate::control::Cancelled;
use crate::field::Field;
use crate::problem::Problem;
use crate::recommend::{Wanted, flattest};
use tiltbench_geometry::coping::{Coping, Side, WallBasis};

/// Steps a hand can make: 0.5 degree and 0.1 mm.
const STEP_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;
const STEP_MM: f64 = 0.1;

/// Rounds by which amounts may grow when the first judgement falls short.
const GROWTHS: usize = 2;

/// Steps that are tried to be taken back at the most.
const STEPS_BACK: usize = 8;

/// Radians. An allowance this little below the wanted one reaches it: 0.001 degree, to which pairs are told
/// apart.
const SLACK_RAD: f64 = 1e-3 * std::f64::consts::PI / 180.0;

/// Rounds a positive angle up to the next half degree.
pub(super) fn rounded_up_rad(angle: f64) -> f64 {
    (angle / STEP_RAD - 1e-9).ceil().max(1.0) * STEP_RAD
}

/// Rounds a positive length up to the next tenth of a millimetre.
pub(super) fn rounded_up_mm(length: f64) -> f64 {
    (length / STEP_MM - 1e-9).ceil().max(1.0) * STEP_MM
}

fn rounded_mm(length: f64) -> f64 {
    (length / STEP_MM).round() * STEP_MM
}

/// A retaper change and the coping it makes; `None` if the wall does not exist.
///
/// Derivation of the metal: the wall turns about its foot when it gains taper and about its top
/// when it loses some, so the edge that moves inward moves by
/// `height · |tan(new taper) - tan(old taper)|`.
pub(super) fn retapered(
    copings: &[Coping],
    coping: usize,
    side: Side,
    by_rad: f64,
) -> Option<(Change, Coping)> {
    let mut changed = copings[coping].clone();
    let wall = changed.walls[side as usize].as_mut()?;
    let before = wall.taper_rad;
    wall.taper_rad += by_rad;
    let metal = wall.height_mm * (wall.taper_rad.tan() - before.tan()).abs();
    let metal_mm = matches!(changed.basis, WallBasis::Finished).then_some(metal);
    Some((
        Change::Retaper {
            coping,
            side,
            by_rad,
            metal_mm,
        },
        changed,
    ))
}

/// A changed copy of a case.
#[derive(Debug)]
pub struct Changed<'a> {
    copings: Vec<Coping>,
    cleared_mm: Vec<f64>,
    problem: Problem<'a>,
}

impl Changed<'_> {
    /// The changed problem.
    pub fn problem(&self) -> Problem<'_> {
        Problem {
            copings: &self.copings,
            limits: self.problem.limits,
            ridge: self.problem.ridge,
            cleared_mm: &self.cleared_mm,
        }
    }
}

/// Applies changes to a copy of the case. Places that do not exist are left alone.
pub fn apply<'a>(problem: &Problem<'a>, changes: &[Change]) -> Changed<'a> {
    let mut copings = problem.copings.to_vec();
    let zones = 0..problem.zones().len();
    let mut cleared_mm: Vec<f64> = zones.map(|zone| problem.cleared_mm(zone)).collect();
    for change in changes {
        match *change {
            Change::Retaper {
                coping,
                side,
                by_rad,
                ..
            } => {
                if let Some(wall) = copings[coping].walls[side as usize].as_mut() {
                    wall.taper_rad += by_rad;
                }
            }
            Change::Unguide { coping, side, .. } => {
                if let Some(wall) = copings[coping].walls[side as usize].as_mut() {
                    wall.guides = false;
                }
            }
            Change::Clear { zone, depth_mm } => cleared_mm[zone] += depth_mm,
        }
    }
    Changed {
        copings,
        cleared_mm,
        problem: *problem,
    }
}

/// Judges a proposal as a whole, over all draws: the flattest tilt with the wanted allowance in the changed
/// case. Amounts grow by a step where there is none, and are taken back step by step while there is one.
pub(super) fn verified(
    context: &mut Context<'_, '_, '_>,
    mut changes: Vec<Change>,
) -> Result<Option<ChangeSet>, Cancelled> {
    let mut opened = opened_by(context, &changes)?;
    for _ in 0..GROWTHS {
        if opened.is_some() {
            break;
        }
        let Some(grown) = all_stepped(&context.field.problem, &changes, 1.0) else {
            break;
        };
        changes = grown;
        opened = opened_by(context, &changes)?;
    }
    let Some(mut judged) = opened else {
        return Ok(None);
    };
    let mut tried = 0;
    let mut at = 0;
    while at < changes.len() && tried < STEPS_BACK {
        tried += 1;
        let mut less = changes.clone();
        let stepped = stepped(&context.field.problem, &changes[at], -1.0);
        let Some(change) = stepped else {
            at += 1;
            continue;
        };
        less[at] = change;
        match opened_by(context, &less)? {
            Some(there) => (changes, judged) = (less, there),
            None => at += 1,
        }
    }
    Ok(Some(ChangeSet {
        changes,
        allowance_rad: judged.allowance.lower_rad,
        allowance_upper_rad: judged.allowance.upper_rad,
        result: judged.evaluation,
    }))
}

/// The flattest tilt with the wanted allowance after changes; `None` if there is none.
fn opened_by(
    context: &mut Context<'_, '_, '_>,
    changes: &[Change],
) -> Result<Option<Judged>, Cancelled> {
    let changed = apply(&context.field.problem, changes);
    if changed
        .copings
        .iter()
        .any(|coping| coping.check_surface().is_err())
    {
        return Ok(None);
    }
    let after = Field::new(changed.problem(), context.field.control);
    // Depths do not hang on limits: what was read of the ridge serves the changed case too.
    let mut there = Context::new(&after, &mut *context.tree);
    let opened = judge_opened(&mut there);
    let cells = there.cells;
    context.cells += cells;
    opened
}

fn judge_opened(context: &mut Context<'_, '_, '_>) -> Result<Option<Judged>, Cancelled> {
    let wanted = Wanted {
        allowance_rad: WANTED_ALLOWANCE_RAD,
        beyond_rad: PAIR_RAD,
    };
    let Some(d) = flattest(context, &wanted, None)? else {
        return Ok(None);
    };
    let judged = judge_found(context, &d)?;
    Ok(judged.filter(|judged| judged.allowance.lower_rad >= WANTED_ALLOWANCE_RAD - SLACK_RAD))
}

/// Every change a step larger (or, with -1, smaller); `None` where one cannot be.
fn all_stepped(problem: &Problem<'_>, changes: &[Change], way: f64) -> Option<Vec<Change>> {
    let of = |change: &Change| match change {
        Change::Unguide { .. } => Some(*change),
        _ => stepped(problem, change, way),
    };
    changes.iter().map(of).collect()
}

/// A change by a step of the hand more or less; `None` where nothing would be left of it, or the amount
/// says nothing.
fn stepped(problem: &Problem<'_>, change: &Change, way: f64) -> Option<Change> {
    match *change {
        Change::Clear { zone, depth_mm } => {
            let depth_mm = rounded_mm(depth_mm + way * STEP_MM);
            (depth_mm > 0.5 * STEP_MM).then_some(Change::Clear { zone, depth_mm })
        }
        Change::Retaper {
            coping,
            side,
            by_rad,
            ..
        } => {
            let by = (by_rad.abs() / STEP_RAD).round() + way;
            let by_rad = by_rad.signum() * by * STEP_RAD;
            let made = retapered(problem.copings, coping, side, by_rad).filter(|_| by > 0.5)?;
            Some(made.0)
        }
        Change::Unguide { .. } => None,
    }
}
