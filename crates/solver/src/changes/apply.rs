//! Applying a set of changes to a copy of the case, and judging the copy.

use super::{Change, ChangeSet, WANTED_ALLOWANCE_RAD};
use crate::allowance::judge_alone;
use crate::control::Cancelled;
use crate::field::Field;
use crate::problem::{Problem, RidgeReader};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::coping::{Coping, Side, WallBasis};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::tolerance::MET_RAD;
use tiltbench_geometry::undercut::{SeatZone, Stop, Told, ZoneGlance, ZoneReading};

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

/// A ridge of which some zones were blocked out or relieved by a depth. Only the depths change:
/// areas and volumes are those of the cast as it stands.
struct Cleared<'a> {
    ridge: &'a dyn RidgeReader,
    depths_mm: Vec<f64>,
}

impl RidgeReader for Cleared<'_> {
    fn zones(&self) -> &[SeatZone] {
        self.ridge.zones()
    }
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        let mut readings = self.ridge.read(d);
        for (reading, taken) in readings.iter_mut().zip(&self.depths_mm) {
            reading.undercut_depth_mm = (reading.undercut_depth_mm - taken).max(0.0);
        }
        readings
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.ridge.areas_mm2()
    }
    fn glance(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        let told = told.map(|told| self.uncleared(told));
        Some(self.cleared(self.ridge.glance(d, told.as_deref(), stop)?))
    }
    fn skim(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        let told = told.map(|told| self.uncleared(told));
        Some(self.cleared(self.ridge.skim(d, told.as_deref(), stop)?))
    }
}

impl Cleared<'_> {
    /// Depths of sectors as they are on the ridge itself.
    fn uncleared(&self, sectors_mm: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let zones = sectors_mm.iter().zip(&self.depths_mm);
        zones
            .map(|(sectors, taken)| sectors.iter().map(|depth| depth + taken).collect())
            .collect()
    }

    fn cleared(&self, mut zones: Vec<ZoneGlance>) -> Vec<ZoneGlance> {
        for (zone, taken) in zones.iter_mut().zip(&self.depths_mm) {
            // Not cut off at 0: depths are interpolated before they are.
            zone.depth_mm -= taken;
            for depth in &mut zone.sector_depths_mm {
                *depth -= taken;
            }
        }
        zones
    }
}

/// A changed copy of a case.
#[derive(Debug)]
pub struct Changed<'a> {
    copings: Vec<Coping>,
    ridge: Option<Cleared<'a>>,
    problem: Problem<'a>,
}

impl std::fmt::Debug for Cleared<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Cleared")
            .field("depths_mm", &self.depths_mm)
            .finish_non_exhaustive()
    }
}

impl Changed<'_> {
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
    let mut depths_mm = vec![0.0; problem.zones().len()];
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
            Change::Clear { zone, depth_mm } => depths_mm[zone] += depth_mm,
        }
    }
    let ridge = problem.ridge.map(|ridge| Cleared { ridge, depths_mm });
    Changed {
        copings,
        ridge,
        problem: *problem,
    }
}

/// Judges a proposal afresh, growing amounts step by step where it falls short of the allowance.
pub(super) fn verified(
    field: &Field<'_>,
    mut changes: Vec<Change>,
    d: &UnitVector3<f64>,
) -> Result<Option<ChangeSet>, Cancelled> {
    let Ok(tilt) = Tilt::from_direction(d) else {
        return Ok(None);
    };
    for _ in 0..GROWTHS {
        let changed = apply(&field.problem, &changes);
        let problem = changed.problem();
        let after = Field::new(problem, field.control);
        // Where the walls do not reach, there is no need to ask the ridge.
        let is_liked = after.preference_margin(d) >= -MET_RAD;
        if is_liked && after.setting_margin(d) >= WANTED_ALLOWANCE_RAD - MET_RAD {
            let judged = judge_alone(&after, tilt)?;
            let is_enough = judged.allowance_rad >= WANTED_ALLOWANCE_RAD - MET_RAD;
            if judged.evaluation.acceptable && is_enough {
                return Ok(Some(ChangeSet {
                    changes,
                    result: judged.evaluation,
                    allowance_rad: judged.allowance_rad,
                }));
            }
        }
        let walls_reach = is_liked && after.setting_margin(d) >= WANTED_ALLOWANCE_RAD;
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
    changes
        .iter()
        .map(|change| match *change {
            Change::Clear { zone, depth_mm } if walls_reach => Change::Clear {
                zone,
                depth_mm: rounded_up_mm(depth_mm + STEP_MM * 0.5),
            },
            Change::Retaper {
                coping,
                side,
                by_rad,
                ..
            } if !walls_reach => {
                let grown = by_rad.signum() * rounded_up_rad(by_rad.abs() + STEP_RAD * 0.5);
                retapered(problem.copings, coping, side, grown).map_or(*change, |made| made.0)
            }
            other => other,
        })
        .collect()
}
