//! Applying a set of changes to a copy of the case, and judging the copy.

use super::{Change, ChangeSet, WANTED_ALLOWANCE_RAD};
use crate::allowance::judge;
use crate::control::Cancelled;
use crate::field::Field;
use crate::most_forgiving::most_forgiving;
use crate::problem::{LaidOver, Problem, RidgeReader};
use crate::recommend::recommend;
use crate::ridge_map::RidgeMap;
use crate::search::Chart;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::coping::{Coping, Side};
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::tolerance::MET_RAD;
use tiltbench_geometry::work::{Blockout, Work, put_into_effect};

/// Steps a hand can make: 0.5 degree and 0.1 mm.
const STEP_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;
const STEP_MM: f64 = 0.1;

/// Rounds by which amounts may grow when the first judgement falls short.
const GROWTHS: usize = 4;

/// Rounds a positive angle up to the next half degree.
pub(super) fn rounded_up_rad(angle: f64) -> f64 {
    (angle / STEP_RAD - 1e-9).ceil().max(1.0) * STEP_RAD
}

/// Rounds a positive length up to the next tenth of a millimetre.
pub(super) fn rounded_up_mm(length: f64) -> f64 {
    (length / STEP_MM - 1e-9).ceil().max(1.0) * STEP_MM
}

/// Rounds a length down to a tenth of a millimetre.
pub(super) fn rounded_down_mm(length: f64) -> f64 {
    (length / STEP_MM + 1e-9).floor() * STEP_MM
}

/// A retaper change and the coping it makes; `None` if the wall does not exist.
pub(super) fn retapered(
    copings: &[Coping],
    coping: usize,
    side: Side,
    by_rad: f64,
) -> Option<(Change, Coping)> {
    let change = Change::Retaper {
        coping,
        side,
        by_rad,
    };
    let mut changed = copings[coping].clone();
    changed.walls[side as usize].as_mut()?.taper_rad += by_rad;
    Some((change, changed))
}

/// A changed copy of a case.
#[derive(Debug)]
pub struct Changed<'a> {
    copings: Vec<Coping>,
    ridge: Option<LaidOver<'a>>,
    problem: Problem<'a>,
}

impl Changed<'_> {
    /// Whether no surface of a retapered coping folds over before it reaches its top.
    fn is_made(&self, changes: &[Change]) -> bool {
        changes.iter().all(|change| match *change {
            Change::Retaper { coping, .. } => self.copings[coping].check_surface().is_ok(),
            _ => true,
        })
    }

    /// The changed problem.
    pub fn problem(&self) -> Problem<'_> {
        Problem {
            copings: &self.copings,
            limits: self.problem.limits,
            ridge: self.ridge.as_ref().map(|ridge| ridge as &dyn RidgeReader),
        }
    }
}

/// Applies changes to a copy of the case. Places that do not exist are left alone.
pub fn apply<'a>(problem: &Problem<'a>, changes: &[Change]) -> Changed<'a> {
    let mut copings = problem.copings.to_vec();
    let mut zones = problem.zones().to_vec();
    let work: Vec<Work> = changes
        .iter()
        .map(|change| change.work(problem.copings))
        .collect();
    put_into_effect(&work, &mut copings, &mut zones);
    Changed {
        copings,
        ridge: problem.ridge.map(|ridge| LaidOver { ridge, zones }),
        problem: *problem,
    }
}

/// Judges a proposal afresh, growing amounts step by step where it falls short of the allowance at the draw
/// that it was made for. `map` covers the search window.
pub(super) fn verified(
    field: &Field<'_>,
    map: &RidgeMap,
    mut changes: Vec<Change>,
    d: &UnitVector3<f64>,
    arch: Arch,
) -> Result<Option<ChangeSet>, Cancelled> {
    let Ok(tilt) = Tilt::from_direction(d) else {
        return Ok(None);
    };
    for _ in 0..GROWTHS {
        let changed = apply(&field.problem, &changes);
        let after = Field::new(changed.problem(), field.control);
        if !after.is_judged() || !changed.is_made(&changes) {
            return Ok(None);
        }
        // Where the walls do not reach, there is no need to ask the ridge.
        let is_liked = after.preference_margin(d) >= -MET_RAD;
        let walls_reach = is_liked && after.setting_margin(d) >= WANTED_ALLOWANCE_RAD - MET_RAD;
        if walls_reach {
            let mut map = map.held_against(&after);
            let judged = judge(&after, &mut map, tilt)?;
            let is_enough = judged.allowance_rad >= WANTED_ALLOWANCE_RAD - MET_RAD;
            if judged.evaluation.acceptable && is_enough {
                let best = most_forgiving(&after, &mut Chart::default(), &mut map)?;
                let best = best.unwrap_or(judged);
                let (recommended, _) = recommend(&after, &mut map, &best, arch)?;
                return Ok(Some(ChangeSet::of(changes, recommended, &best)));
            }
        }
        let grown = grow(&field.problem, &changes, walls_reach);
        if grown == changes {
            break;
        }
        changes = grown;
    }
    Ok(None)
}

/// One step more where the judgement fell short: zones if the walls already reach, else tapers.
fn grow(problem: &Problem<'_>, changes: &[Change], walls_reach: bool) -> Vec<Change> {
    let pairs = problem.opposing_zones();
    changes
        .iter()
        .map(|change| match *change {
            Change::Blockout { zone, blockout } if walls_reach => {
                let opposes = pairs.iter().any(|pair| pair.contains(&zone));
                let less_mm = if opposes { STEP_MM } else { 0.0 };
                Change::Blockout {
                    zone,
                    blockout: Blockout {
                        wax_mm: rounded_up_mm(blockout.wax_mm + STEP_MM * 0.5),
                        left_mm: (blockout.left_mm - less_mm).max(0.0),
                    },
                }
            }
            Change::Retaper {
                coping,
                side,
                by_rad,
            } if !walls_reach => {
                let grown = by_rad.signum() * rounded_up_rad(by_rad.abs() + STEP_RAD * 0.5);
                retapered(problem.copings, coping, side, grown).map_or(*change, |made| made.0)
            }
            other => other,
        })
        .collect()
}
