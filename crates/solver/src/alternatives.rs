//! Other tilts worth comparing with the recommended one.

use crate::allowance::{Judged, judge_found};
use crate::compass::{Found, descend};
use crate::control::Cancelled;
use crate::evaluation::read_walls;
use crate::field::{Field, worst};
use crate::recommend::flattest_allowed;
use crate::ridge_map::RidgeMap;
use crate::search::Chart;
use crate::sphere::{between, chart_grid};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Allowance that the tilt of least blockout must keep: 0.5 degree.
const BLOCKOUT_ALLOWANCE_RAD: f64 = 0.5 * DEGREE;

/// Allowance that makes a flatter tilt worth taking: 2 degrees, or half the best if that is less.
const FLAT_ALLOWANCE_RAD: f64 = 2.0 * DEGREE;

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

/// Spacing of the starts that are compared: 1 degree.
const START_SPACING_RAD: f64 = DEGREE;

/// Steps of the compass search: from half a degree down to 0.02 degree, less than a table can be
/// set to.
const FIRST_STEP_RAD: f64 = 0.5 * DEGREE;
const LAST_STEP_RAD: f64 = 0.02 * DEGREE;
/// Room that is kept on the ridge's map beyond what is wanted: 0.05 degree.
const MAP_SLACK_RAD: f64 = 0.05 * DEGREE;

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

/// Steps back from where the map says to the recommended tilt.
/// Tuned: 40. Fewer step back farther than the map is off; more take readings.
const STEPS_BACK: u32 = 40;
/// The same where each step has its allowance read.
const STEPS_BACK_WITH_ALLOWANCE: u32 = 8;

/// Draws from one that a search found back to the recommended tilt, which is known to be right: the
/// map may be a little generous.
fn back(
    from: UnitVector3<f64>,
    to: UnitVector3<f64>,
    steps: u32,
) -> impl Iterator<Item = UnitVector3<f64>> {
    (0..=steps).map(move |step| between(&from, &to, f64::from(step) / f64::from(steps)))
}

/// The acceptable tilt whose guiding walls are most parallel to its draw.
pub(crate) fn most_parallel(
    field: &Field<'_>,
    map: &mut RidgeMap,
    recommended: &Judged,
) -> Result<Option<Judged>, Cancelled> {
    let Some(value) = parallelism_rad(field, recommended.direction()) else {
        return Ok(None);
    };
    let mut best = Found {
        direction: *recommended.direction(),
        value,
    };
    for direction in starts(field, map, 0.0) {
        if let Some(value) = parallelism_rad(field, &direction).filter(|v| *v < best.value) {
            best = Found { direction, value };
        }
    }
    // On the map first, which costs nothing; then as read, from where the map says.
    let found = descend(best, FIRST_STEP_RAD, LAST_STEP_RAD, |d, known| {
        let value = parallelism_rad(field, d).filter(|value| *value < known);
        Ok(value.filter(|_| field.analytic_margin(d) >= -MET_RAD && map.clearance_rad(d) >= 0.0))
    })?;
    for d in back(found.direction, *recommended.direction(), STEPS_BACK) {
        // A skim is never too deep, so what it finds broken need not be read.
        let is_broken = field
            .skimmed_overruns_mm(&d)
            .map(|mm| worst(&mm) > MET_MM)?;
        if is_broken {
            continue;
        }
        if let Some(judged) = judge_found(field, map, &d)? {
            return Ok(Some(judged));
        }
    }
    Ok(Some(recommended.clone()))
}

/// The tilt of least total blockout among those that keep an allowance of 0.5 degree.
pub(crate) fn least_blockout(
    field: &Field<'_>,
    map: &mut RidgeMap,
    recommended: &Judged,
) -> Result<Option<Judged>, Cancelled> {
    let wanted = BLOCKOUT_ALLOWANCE_RAD;
    if field.problem.zones().is_empty() || recommended.allowance_rad < wanted {
        return Ok(None);
    }
    // A little more than is wanted, so that what the map allows is allowed when it is read.
    let kept = wanted + MAP_SLACK_RAD;
    let blockout = |d: &UnitVector3<f64>| {
        let allowed = field.analytic_margin(d) >= kept && map.clearance_rad(d) >= kept;
        map.blockout_mm3(d).filter(|_| allowed)
    };
    let start = std::iter::once(*recommended.direction())
        .chain(chart_grid(field.reach_rad(), START_SPACING_RAD))
        .filter_map(|direction| Some((blockout(&direction)?, direction)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((value, direction)) = start else {
        return Ok(Some(recommended.clone()));
    };
    let start = Found { direction, value };
    let found = descend(start, FIRST_STEP_RAD, LAST_STEP_RAD, |d, _| Ok(blockout(d)))?;
    let steps = STEPS_BACK_WITH_ALLOWANCE;
    for d in back(found.direction, *recommended.direction(), steps) {
        let judged = judge_found(field, map, &d)?;
        if let Some(judged) = judged.filter(|judged| judged.allowance_rad >= wanted) {
            return Ok(Some(judged));
        }
    }
    Ok(Some(recommended.clone()))
}

/// The flattest tilt that keeps a useful allowance.
pub(crate) fn least_tilt(
    field: &Field<'_>,
    chart: &mut Chart,
    map: &mut RidgeMap,
    recommended: &Judged,
) -> Result<Option<Judged>, Cancelled> {
    let wanted = FLAT_ALLOWANCE_RAD.min(recommended.allowance_rad / 2.0);
    flattest_allowed(field, chart, map, wanted)
}

/// Draws on a grid that walls, metal, table and the ridge's map allow with `margin_rad` to spare.
fn starts(field: &Field<'_>, map: &RidgeMap, margin_rad: f64) -> Vec<UnitVector3<f64>> {
    chart_grid(field.reach_rad(), START_SPACING_RAD)
        .filter(|d| field.analytic_margin(d) >= margin_rad && map.clearance_rad(d) >= margin_rad)
        .collect()
}
