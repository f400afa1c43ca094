//! Other tilts worth comparing with the recommended one. Each is searched from the most forgiving tilt.

use crate::allowance::{Judged, judge_found};
use crate::compass::{Found, descend};
use crate::control::Cancelled;
use crate::evaluation::{is_prep, total_tilt_rad};
use crate::field::Field;
use crate::most_forgiving::TIE_RAD;
use crate::polish::sharpen;
use crate::problem::Problem;
use crate::ridge_map::RidgeMap;
use crate::search::{Chart, SEARCH_GAP_RAD};
use crate::sphere::{angle_between, between, chart_grid};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::tolerance::MET_RAD;
use tiltbench_geometry::work::Standing;

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Allowance that the tilts of least blockout and of most parallel axes must keep: 0.5 degree.
const KEPT_ALLOWANCE_RAD: f64 = 0.5 * DEGREE;

/// What an alternative is the best at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlternativeName {
    /// Acceptable, largest setting allowance, ties within 0.05 degree to the smaller total.
    MostForgiving,
    /// Acceptable, allowance at least 0.5 degree, least total blockout.
    LeastBlockout,
    /// Within the limit of tilt, largest least draft beyond what is required over the guiding finished walls,
    /// whatever the ridge pays for it.
    BestForCopings,
    /// Acceptable, allowance at least 0.5 degree, least root mean square of the angles between the draw and
    /// the axes of the finished copings.
    MostParallel,
    /// Zero tilt, acceptable or not.
    Flat,
    /// The user's own tilt, acceptable or not.
    Held,
}

impl AlternativeName {
    /// The name in machine-readable answers.
    pub fn key(self) -> &'static str {
        match self {
            Self::MostForgiving => "most_forgiving",
            Self::LeastBlockout => "least_blockout",
            Self::BestForCopings => "best_for_copings",
            Self::MostParallel => "most_parallel",
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

/// Root mean square of the angles between a draw and the axes of the finished copings that stay, radians;
/// `None` without one: before waxing every outer wall is milled to the draw anyway.
pub fn parallelism_rad(copings: &[Coping], d: &UnitVector3<f64>) -> Option<f64> {
    let finished = copings
        .iter()
        .filter(|coping| !is_prep(coping) && coping.standing == Standing::Stays);
    let (mut sum, mut count) = (0.0, 0_u32);
    for coping in finished {
        sum += angle_between(&coping.axis, d).powi(2);
        count += 1;
    }
    (count > 0).then(|| (sum / f64::from(count)).sqrt())
}

/// Steps back from where the map says to the most forgiving tilt. Tuned: 8. Fewer step back farther than
/// the map is off; more take readings.
const STEPS_BACK: u32 = 8;

/// The first draw that keeps its allowance, from one that a search found back to the most forgiving
/// tilt, which is known to: the map may be a little generous.
fn first_kept(
    field: &Field<'_>,
    map: &mut RidgeMap,
    from: &UnitVector3<f64>,
    best: &Judged,
) -> Result<Judged, Cancelled> {
    for step in 0..=STEPS_BACK {
        let part = f64::from(step) / f64::from(STEPS_BACK);
        let judged = judge_found(field, map, &between(from, best.direction(), part))?;
        if let Some(judged) = judged.filter(|judged| judged.allowance_rad >= KEPT_ALLOWANCE_RAD) {
            return Ok(judged);
        }
    }
    Ok(best.clone())
}

/// Whether a draw keeps its allowance by walls, metal, table and the ridge's map, with a little more, so
/// that what the map allows is allowed when it is read.
fn is_kept(field: &Field<'_>, map: &RidgeMap, d: &UnitVector3<f64>) -> bool {
    let kept = KEPT_ALLOWANCE_RAD
        + if field.is_limited_by_ridge() {
            MAP_SLACK_RAD
        } else {
            0.0
        };
    field.setting_margin(d) >= kept
        && field.preference_margin(d) >= -MET_RAD
        && map.clearance_rad(d) >= kept
}

/// The tilt whose draw lies nearest to the axes of the finished copings, of those that keep their allowance.
pub(crate) fn most_parallel(
    field: &Field<'_>,
    map: &mut RidgeMap,
    best: &Judged,
) -> Result<Option<Judged>, Cancelled> {
    let value = |d: &UnitVector3<f64>| parallelism_rad(field.problem.copings, d);
    if value(best.direction()).is_none() {
        return Ok(None);
    }
    least_of(field, map, best, |_, d| value(d))
}

/// The tilt of least total blockout of those that keep their allowance.
pub(crate) fn least_blockout(
    field: &Field<'_>,
    map: &mut RidgeMap,
    best: &Judged,
) -> Result<Option<Judged>, Cancelled> {
    if field.problem.zones().is_empty() {
        return Ok(None);
    }
    least_of(field, map, best, RidgeMap::blockout_mm3)
}

/// The tilt of the least value of those that keep their allowance: on the map first, which costs nothing;
/// then as read, from where the map says.
fn least_of(
    field: &Field<'_>,
    map: &mut RidgeMap,
    best: &Judged,
    value: impl Fn(&RidgeMap, &UnitVector3<f64>) -> Option<f64>,
) -> Result<Option<Judged>, Cancelled> {
    if best.allowance_rad < KEPT_ALLOWANCE_RAD {
        return Ok(None);
    }
    let kept = |d: &UnitVector3<f64>| value(map, d).filter(|_| is_kept(field, map, d));
    let start = std::iter::once(*best.direction())
        .chain(chart_grid(field.reach_rad(), START_SPACING_RAD))
        .filter_map(|direction| Some((kept(&direction)?, direction)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((value, direction)) = start else {
        return Ok(Some(best.clone()));
    };
    let start = Found { direction, value };
    let found = descend(start, FIRST_STEP_RAD, LAST_STEP_RAD, |d, _| Ok(kept(d)))?;
    first_kept(field, map, &found.direction, best).map(Some)
}

/// The draw within the limit of tilt that gives the guiding finished walls the largest least draft beyond
/// what each requires, ties to the flatter; `None` without such a wall.
pub(crate) fn best_for_copings(field: &Field<'_>) -> Result<Option<UnitVector3<f64>>, Cancelled> {
    let mut copings: Vec<Coping> = field.problem.copings.to_vec();
    copings.retain(|coping| !is_prep(coping) && coping.existing_walls().any(|(_, w)| w.guides));
    if copings.is_empty() {
        return Ok(None);
    }
    for wall in copings
        .iter_mut()
        .flat_map(|coping| coping.walls.iter_mut().flatten())
    {
        // Never broken: what a wall's greatest draft may be is not asked here.
        wall.draft_max_rad = std::f64::consts::PI;
    }
    let problem = Problem {
        copings: &copings,
        ridge: None,
        ..field.problem
    };
    let mut alone = Field::new(problem, field.control);
    // No rim is to count as a wall.
    alone.window_rad = std::f64::consts::TAU;
    let (mut chart, map) = (Chart::default(), RidgeMap::default());
    let (widest, _) = chart.widest(&alone, &map)?;
    let (mut d, mut margin) = sharpen(&alone, &widest);
    if alone.preference_margin(&d) < -MET_RAD {
        (d, margin) = (widest, alone.setting_margin(&widest));
    }
    let flattest = chart.flattest(&alone, &map, margin - SEARCH_GAP_RAD)?;
    let is_flatter =
        |other: &UnitVector3<f64>| total_tilt_rad(other) < total_tilt_rad(&d) - TIE_RAD;
    Ok(Some(flattest.filter(is_flatter).unwrap_or(d)))
}
