//! Other tilts worth comparing with the recommended one.

use crate::allowance::{Judged, judge_found};
use crate::best_first::{Extent, Goal, Judgement, least};
use crate::cell::Cell;
use crate::compass::{Found, Steps, descend};
use crate::context::Context;
use crate::control::Cancelled;
use crate::distance::Ask;
use crate::evaluation::read_walls;
use crate::field::{Field, Standing};
use crate::recommend::{Wanted, acceptable_near, extent, finest_rad, flattest};
use crate::sphere::chart_grid;
use rayon::prelude::*;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tolerance::MET_RAD;

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Allowance that the tilt of least blockout must keep: 0.5 degree.
const BLOCKOUT_ALLOWANCE_RAD: f64 = 0.5 * DEGREE;

/// Allowance that makes a flatter tilt worth taking: 2 degrees, or half the best if that is less.
const FLAT_ALLOWANCE_RAD: f64 = 2.0 * DEGREE;

/// Radians. How closely the most parallel tilt is found: 0.02 degree, less than a table can be set to.
const PARALLEL_GAP_RAD: f64 = 0.02 * DEGREE;

/// The same as a part of its root mean square: a hundredth.
const PARALLEL_GAP_SHARE: f64 = 0.01;

/// What an alternative is the best at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlternativeName {
    /// Acceptable, allowance at least 0.5 degree, least total blockout.
    LeastBlockout,
    /// Acceptable, least root mean square of centre drafts over guiding walls.
    MostParallel,
    /// Smallest total tilt with an allowance of 2 degrees, or half the best if that is less.
    LeastTilt,
    /// Zero tilt, acceptable or not.
    Flat,
    /// The user's own tilt, acceptable or not.
    Held,
}

impl AlternativeName {
    /// The name in machine-readable answers.
    pub fn key(self) -> &'static str {
        match self {
            Self::LeastBlockout => "least_blockout",
            Self::MostParallel => "most_parallel",
            Self::LeastTilt => "least_tilt",
            Self::Flat => "flat",
            Self::Held => "held",
        }
    }
}

/// Root mean square of the centre drafts over guiding walls, radians; `None` if no wall guides.
pub(crate) fn parallelism_rad(field: &Field<'_>, d: &UnitVector3<f64>) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0_u32);
    for wall in read_walls(field.problem.copings, d)
        .iter()
        .filter(|wall| wall.guides)
    {
        sum += wall.draft.centre_rad.powi(2);
        count += 1;
    }
    (count > 0).then(|| (sum / f64::from(count)).sqrt())
}

/// The acceptable tilt whose guiding walls are most parallel to its draw.
pub(crate) fn most_parallel(
    context: &mut Context<'_, '_, '_>,
    recommended: &Judged,
) -> Result<Option<Judged>, Cancelled> {
    let d = *recommended.direction();
    let Some(value) = parallelism_rad(context.field, &d) else {
        return Ok(None);
    };
    let extent = Extent {
        gap_share: PARALLEL_GAP_SHARE,
        ..extent(
            context,
            PARALLEL_GAP_RAD,
            finest_rad(context, PARALLEL_GAP_RAD),
        )
    };
    let control = context.field.control;
    let found = least(
        &mut MostParallel { context },
        &extent,
        Some((d, value)),
        control,
    )?;
    context.cells += found.cells;
    let found = match found.best {
        Some((there, _)) if there != d => judge_found(context, &there)?,
        _ => None,
    };
    Ok(Some(found.unwrap_or_else(|| recommended.clone())))
}

/// Minimises the root mean square of centre drafts among acceptable draws. It is 1-Lipschitz, as each
/// draft is.
struct MostParallel<'s, 'c, 'a, 't> {
    context: &'s mut Context<'c, 'a, 't>,
}

impl Goal for MostParallel<'_, '_, '_, '_> {
    fn outline(&mut self, cell: Cell) -> f64 {
        if self.context.margin_rad(cell) + cell.radius_rad() < -MET_RAD {
            return f64::INFINITY;
        }
        let at_centre = parallelism_rad(self.context.field, &cell.centre());
        at_centre.map_or(f64::INFINITY, |rad| (rad - cell.radius_rad()).max(0.0))
    }

    fn prepare(&mut self, cells: &[Cell], best: f64) -> Result<(), Cancelled> {
        let worth: Vec<Cell> = (cells.iter().copied())
            .filter(|cell| self.outline(*cell) < best)
            .collect();
        self.context.settle(&worth).map(drop)
    }

    fn judge(&mut self, cell: Cell, best: f64) -> Result<Judgement, Cancelled> {
        let d = cell.centre();
        let margin_rad = self.context.margin_rad(cell);
        let bound = self.outline(cell);
        if bound == f64::INFINITY || bound >= best {
            return Ok(Judgement { bound, found: None });
        }
        let found = match self.context.standing(cell)? {
            Standing::Broken => return Ok(Judgement::NONE),
            Standing::BrokenAtCentre | Standing::Undecided => None,
            _ if margin_rad >= -MET_RAD => Some(d),
            _ => acceptable_near(self.context, cell)?,
        };
        let field = self.context.field;
        let found = found.and_then(|d| Some((d, parallelism_rad(field, &d)?)));
        Ok(Judgement { bound, found })
    }
}

/// Spacing of the draws whose blockout is compared: 4 degrees. Tuned: 45 blockouts; fewer may start in
/// another valley than the least, more cost time.
const START_SPACING_RAD: f64 = 4.0 * DEGREE;

/// The walk from the best of them: down to a quarter of a degree, half of what a hand reads off a protractor.
const WALK: Steps = Steps {
    first_rad: 2.0 * DEGREE,
    last_rad: 0.24 * DEGREE,
    directions: 8,
};

/// Radians. How closely a draw is asked whether it keeps its allowance: 0.05 degree.
const KEEPS_GAP_RAD: f64 = 0.05 * DEGREE;

/// The tilt of least total blockout among those that keep an allowance of 0.5 degree. Not proved to be the least: blockout has no bound over a cell.
pub(crate) fn least_blockout(
    context: &mut Context<'_, '_, '_>,
    recommended: &Judged,
) -> Result<Option<Judged>, Cancelled> {
    let wanted_rad = BLOCKOUT_ALLOWANCE_RAD;
    let field = context.field;
    if field.problem.zones().is_empty() || recommended.allowance.lower_rad < wanted_rad {
        return Ok(None);
    }
    let mut starts = vec![*recommended.direction()];
    for d in chart_grid(field.reach_rad(), START_SPACING_RAD) {
        if keeps(context, &d, wanted_rad)? {
            starts.push(d);
        }
    }
    let values: Vec<f64> = starts
        .par_iter()
        .with_max_len(1)
        .map(|d| blockout_mm3(field, d))
        .collect::<Result<_, Cancelled>>()?;
    let start = starts.into_iter().zip(values);
    let Some((direction, value)) = start.min_by(|a, b| a.1.total_cmp(&b.1)) else {
        return Ok(None);
    };
    let start = Found { direction, value };
    let found = descend(start, &WALK, |d, best| {
        let value = blockout_mm3(field, d)?;
        let counts = value < best && keeps(context, d, wanted_rad)?;
        Ok(counts.then_some(value))
    })?;
    let judged = judge_found(context, &found.direction)?;
    let judged = judged.filter(|judged| judged.allowance.lower_rad >= wanted_rad - KEEPS_GAP_RAD);
    Ok(Some(judged.unwrap_or_else(|| recommended.clone())))
}

/// Whether a draw is acceptable with an allowance.
fn keeps(
    context: &mut Context<'_, '_, '_>,
    d: &UnitVector3<f64>,
    wanted_rad: f64,
) -> Result<bool, Cancelled> {
    if context.field.analytic_margin(d) < wanted_rad {
        return Ok(false);
    }
    let pair = context.ridge_distance(d, &Ask::whether(wanted_rad, KEEPS_GAP_RAD))?;
    Ok(pair.lower_rad >= wanted_rad)
}

/// Total blockout at a draw.
fn blockout_mm3(field: &Field<'_>, d: &UnitVector3<f64>) -> Result<f64, Cancelled> {
    let Some(ridge) = field.problem.ridge else {
        return Ok(0.0);
    };
    let zones = ridge
        .blockouts_mm3(d, &|| field.control.cancelled())
        .filter(|_| !field.control.cancelled())
        .ok_or(Cancelled)?;
    Ok(zones.iter().sum())
}

/// The flattest tilt that keeps a useful allowance.
pub(crate) fn least_tilt(
    context: &mut Context<'_, '_, '_>,
    recommended: &Judged,
) -> Result<Option<Judged>, Cancelled> {
    let wanted_rad = FLAT_ALLOWANCE_RAD.min(recommended.allowance.lower_rad / 2.0);
    let seed = Some(*recommended.direction());
    match flattest(context, &Wanted::of(wanted_rad), seed)? {
        Some(d) => judge_found(context, &d),
        None => Ok(None),
    }
}
