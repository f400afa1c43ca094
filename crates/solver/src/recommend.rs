//! The recommended tilt: the widest setting allowance, and what governs it.

use crate::allowance::{NEAR_RAD, SPLIT_ROUNDS, allowance_on};
use crate::control::Cancelled;
use crate::field::Field;
use crate::polish::sharpen;
use crate::ridge_map::RidgeMap;
use crate::search::{Chart, SEARCH_GAP_RAD};
use tiltbench_geometry::UnitVector3;

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Radians. Allowances closer than this count as equal, and the flatter tilt wins: 0.05 degree.
pub(crate) const TIE_RAD: f64 = 0.05 * DEGREE;

/// Radians. A limit touches the allowance circle if it is broken within this beyond it: 0.15
/// degree. The flatter tilt of a tie may near one limit and leave the opposite one by 0.05 each.
const TOUCH_RAD: f64 = 0.15 * DEGREE;

/// mm per radian. Steepest change of a gauge reading with the tilt that is looked for inside cells
/// with no corner allowed: that of a ridge 12 mm high, since a height `h` changes by `h` per radian.
const READING_SLOPE_MM_PER_RAD: f64 = 12.0;

/// An acceptable draw and its setting allowance.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Allowed {
    /// The draw.
    pub direction: UnitVector3<f64>,
    /// Its setting allowance.
    pub allowance_rad: f64,
}

/// The draw with the largest setting allowance, ties to the flatter; `None` if no draw is
/// acceptable. `map` must cover every draw with a margin.
pub(crate) fn recommend(
    field: &Field<'_>,
    chart: &mut Chart,
    map: &mut RidgeMap,
) -> Result<Option<Allowed>, Cancelled> {
    let (direction, on_map) = widest_on_map(field, chart, map)?;
    let wanted = on_map - TIE_RAD;
    if wanted > 0.0
        && let Some(flattest) = flattest_allowed(field, chart, map, wanted)?
    {
        return Ok(Some(flattest));
    }
    let allowance = allowance_on(field, map, &direction)?;
    Ok(allowance.map(|allowance_rad| Allowed {
        direction,
        allowance_rad,
    }))
}

/// The draw with the largest setting allowance by the walls and the ridge's map, and that
/// allowance.
fn widest_on_map(
    field: &Field<'_>,
    chart: &mut Chart,
    map: &mut RidgeMap,
) -> Result<(UnitVector3<f64>, f64), Cancelled> {
    field
        .control
        .progress("searching the widest setting allowance", 0.0);
    let (mut d, mut bound) = chart.widest(field, map)?;
    for round in 1..=SPLIT_ROUNDS {
        let split = if bound > 0.0 {
            map.split(field, &map.border_leaves(&d, bound + NEAR_RAD))?
        } else {
            map.split(field, &map.nearly_open_leaves(READING_SLOPE_MM_PER_RAD))?
        };
        if !split {
            break;
        }
        let done = round as f64 / SPLIT_ROUNDS as f64;
        field
            .control
            .progress("searching the widest setting allowance", done);
        (d, bound) = chart.widest(field, map)?;
    }
    // Where only limits with a closed form decide, the last thousandths are to be had.
    let (sharper, margin) = sharpen(field, &d);
    if margin <= map.clearance_rad(&sharper) {
        (d, bound) = (sharper, margin);
    }
    Ok((d, bound))
}

/// The draw of least total tilt whose setting allowance reaches `wanted_rad`.
pub(crate) fn flattest_allowed(
    field: &Field<'_>,
    chart: &mut Chart,
    map: &mut RidgeMap,
    wanted_rad: f64,
) -> Result<Option<Allowed>, Cancelled> {
    let Some(mut d) = chart.flattest(field, map, wanted_rad)? else {
        return Ok(None);
    };
    for _ in 0..SPLIT_ROUNDS {
        if !map.split(field, &map.border_leaves(&d, wanted_rad + NEAR_RAD))? {
            break;
        }
        let Some(next) = chart.flattest(field, map, wanted_rad)? else {
            return Ok(None);
        };
        d = next;
    }
    // The map and the readings may differ by a sketch's error, the gap and a border step.
    let least = wanted_rad - TIE_RAD - SEARCH_GAP_RAD;
    Ok(allowance_on(field, map, &d)?
        .filter(|allowance_rad| *allowance_rad >= least)
        .map(|allowance_rad| Allowed {
            direction: d,
            allowance_rad,
        }))
}

/// Indices of the limits that touch the allowance circle of a draw, in order. `map` must have been
/// refined around it.
pub(crate) fn governing(field: &Field<'_>, map: &RidgeMap, allowed: &Allowed) -> Vec<usize> {
    let reach = allowed.allowance_rad + TOUCH_RAD;
    let d = &allowed.direction;
    let touches = |i: &usize| {
        field
            .margin_of(&field.limits[*i], d)
            .is_some_and(|margin| margin <= reach)
    };
    let walls = (0..field.limits.len()).filter(touches);
    let ridge = map
        .limits_within(d, reach)
        .into_iter()
        .map(|k| field.ridge_limits[k]);
    let mut touching: Vec<usize> = walls.chain(ridge).collect();
    touching.sort_unstable();
    touching
}
