//! Other tilts worth comparing with the recommended one.

use crate::allowance::allowance_on;
use crate::compass::{Found, descend};
use crate::control::Cancelled;
use crate::evaluation::read_walls;
use crate::field::Field;
use crate::recommend::{Allowed, flattest_allowed};
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

/// The acceptable draw whose guiding walls are most parallel to it.
pub(crate) fn most_parallel(
    field: &Field<'_>,
    map: &RidgeMap,
    recommended: &Allowed,
) -> Result<Option<UnitVector3<f64>>, Cancelled> {
    let Some(value) = parallelism_rad(field, &recommended.direction) else {
        return Ok(None);
    };
    let mut best = Found {
        direction: recommended.direction,
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
    let acceptable = |d: &UnitVector3<f64>| {
        Ok::<bool, Cancelled>(
            field.analytic_margin(d) >= -MET_RAD
                && (!field.is_limited_by_ridge() || field.ridge_excess_mm(d)? <= MET_MM),
        )
    };
    // The map may be a little generous: step back toward the recommended tilt until it is right.
    for step in 0..=40 {
        let d = between(
            &found.direction,
            &recommended.direction,
            f64::from(step) / 40.0,
        );
        if acceptable(&d)? {
            return Ok(Some(d));
        }
    }
    Ok(Some(recommended.direction))
}

/// The draw of least total blockout among those that keep an allowance of 0.5 degree.
pub(crate) fn least_blockout(
    field: &Field<'_>,
    map: &mut RidgeMap,
    recommended: &Allowed,
) -> Result<Option<Allowed>, Cancelled> {
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
    let start = std::iter::once(recommended.direction)
        .chain(chart_grid(field.reach_rad(), START_SPACING_RAD))
        .filter_map(|direction| Some((blockout(&direction)?, direction)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((value, direction)) = start else {
        return Ok(Some(*recommended));
    };
    let start = Found { direction, value };
    let found = descend(start, FIRST_STEP_RAD, LAST_STEP_RAD, |d, _| Ok(blockout(d)))?;
    for step in 0..=8 {
        let direction = between(
            &found.direction,
            &recommended.direction,
            f64::from(step) / 8.0,
        );
        match allowance_on(field, map, &direction)? {
            Some(allowance_rad) if allowance_rad >= wanted => {
                return Ok(Some(Allowed {
                    direction,
                    allowance_rad,
                }));
            }
            _ => {}
        }
    }
    Ok(Some(*recommended))
}

/// The flattest draw that keeps a useful allowance.
pub(crate) fn least_tilt(
    field: &Field<'_>,
    chart: &mut Chart,
    map: &mut RidgeMap,
    recommended: &Allowed,
) -> Result<Option<Allowed>, Cancelled> {
    let wanted = FLAT_ALLOWANCE_RAD.min(recommended.allowance_rad / 2.0);
    flattest_allowed(field, chart, map, wanted)
}

/// Draws on a grid that walls, metal, table and the ridge's map allow with `margin_rad` to spare.
fn starts(field: &Field<'_>, map: &RidgeMap, margin_rad: f64) -> Vec<UnitVector3<f64>> {
    chart_grid(field.reach_rad(), START_SPACING_RAD)
        .filter(|d| field.analytic_margin(d) >= margin_rad && map.clearance_rad(d) >= margin_rad)
        .collect()
}
