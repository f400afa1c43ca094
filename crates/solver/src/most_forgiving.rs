//! The most forgiving tilt, that of the widest setting allowance; and what governs an allowance.

use crate::allowance::{CALIBRATIONS, Judged, NEAR_RAD, judge_found};
use crate::control::Cancelled;
use crate::evaluation::total_tilt_rad;
use crate::field::Field;
use crate::limit::{LimitClass, LimitReading};
use crate::polish::sharpen;
use crate::ridge_map::{Closeness, RidgeMap};
use crate::search::{Chart, SEARCH_GAP_RAD};
use crate::sphere::{angle_between, between, travel};
use std::f64::consts::TAU;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Radians. Allowances closer than this count as equal, and the flatter tilt wins: 0.05 degree.
pub(crate) const TIE_RAD: f64 = 0.05 * DEGREE;

/// Radians. A limit touches the allowance circle if it is broken within this beyond it: 0.15
/// degree. The flatter tilt of a tie may near one limit and leave the opposite one by 0.05 each.
const TOUCH_RAD: f64 = 0.15 * DEGREE;

/// Searches at the most, each after the last was found short of what the map promised.
/// Tuned: 4. Fewer may end on a tilt whose allowance another one beats; more take readings.
const SEARCHES: usize = 4;

/// The acceptable tilt with the largest setting allowance, ties to the flatter; `None` if no tilt is
/// acceptable. `map` must cover every draw with a margin.
pub(crate) fn most_forgiving(
    field: &Field<'_>,
    chart: &mut Chart,
    map: &mut RidgeMap,
) -> Result<Option<Judged>, Cancelled> {
    let Some(widest) = widest_allowed(field, chart, map)? else {
        return Ok(None);
    };
    let wanted = widest.allowance_rad - TIE_RAD;
    if wanted <= 0.0 {
        return Ok(Some(widest));
    }
    Ok(flattest_allowed(field, chart, map, wanted)?.or(Some(widest)))
}

/// The acceptable tilt with the largest setting allowance, as read. Where readings show less than the
/// map promised, it has learnt from them, and the search steps back.
fn widest_allowed(
    field: &Field<'_>,
    chart: &mut Chart,
    map: &mut RidgeMap,
) -> Result<Option<Judged>, Cancelled> {
    let mut best: Option<Judged> = None;
    for _ in 0..SEARCHES {
        let (d, promised) = widest_on_map(field, chart, map)?;
        let reached = best.as_ref().map_or(0.0, |best| best.allowance_rad);
        if best.is_some() && promised <= reached + TIE_RAD {
            break;
        }
        let found = judge_found(field, map, &d)?;
        let falls_short = found
            .as_ref()
            .is_none_or(|found| found.allowance_rad < promised - TIE_RAD);
        if let Some(found) = found
            && best
                .as_ref()
                .is_none_or(|best| found.allowance_rad > best.allowance_rad)
        {
            best = Some(found);
        }
        if !falls_short || promised <= 0.0 {
            break;
        }
    }
    Ok(best)
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
    for round in 1..=CALIBRATIONS {
        if !map.calibrate(field, &d, bound.max(0.0) + NEAR_RAD)? {
            break;
        }
        let done = f64::from(round) / f64::from(CALIBRATIONS);
        field
            .control
            .progress("searching the widest setting allowance", done);
        (d, bound) = chart.widest(field, map)?;
    }
    // Where only limits with a closed form decide, the last thousandths are to be had.
    let (sharper, margin) = sharpen(field, &d);
    let is_liked = field.preference_margin(&sharper) >= -MET_RAD;
    if is_liked && margin <= map.clearance_rad(&sharper) {
        (d, bound) = (sharper, margin);
    }
    Ok((d, bound))
}

/// Tries at the flattest draw, each aiming higher by what the last was found short of. Tuned: 4. Fewer
/// give up a flatter tilt of a tie; more take readings.
const AIMS: usize = 4;

/// The tilt of least total tilt whose setting allowance, as read, reaches `wanted_rad`.
pub(crate) fn flattest_allowed(
    field: &Field<'_>,
    chart: &mut Chart,
    map: &mut RidgeMap,
    wanted_rad: f64,
) -> Result<Option<Judged>, Cancelled> {
    let mut aim = wanted_rad;
    for _ in 0..AIMS {
        let Some(d) = flattest_on_map(field, chart, map, aim)? else {
            return Ok(None);
        };
        let found = judge_found(field, map, &d)?;
        let allowance_rad = found.as_ref().map_or(0.0, |found| found.allowance_rad);
        if allowance_rad >= wanted_rad {
            return Ok(found);
        }
        aim += wanted_rad - allowance_rad + SEARCH_GAP_RAD;
    }
    Ok(None)
}

fn flattest_on_map(
    field: &Field<'_>,
    chart: &mut Chart,
    map: &mut RidgeMap,
    wanted_rad: f64,
) -> Result<Option<UnitVector3<f64>>, Cancelled> {
    let mut found = chart.flattest(field, map, wanted_rad)?;
    for _ in 0..CALIBRATIONS {
        let Some(d) = found else { break };
        if !map.calibrate(field, &d, wanted_rad + NEAR_RAD)? {
            break;
        }
        found = chart.flattest(field, map, wanted_rad)?;
    }
    Ok(found)
}

/// Draws read around the circle for what touches it. Tuned: 24. Fewer miss a limit that touches it
/// between two of them (`open_scans`: what governs is named), more take readings.
const TOUCH_READINGS: usize = 24;

/// The limits that touch the allowance circle of a draw, in order, the rim of the search window last. The
/// ridge's are read just outside the circle, evenly around it and where the map has their borders nearest.
pub(crate) fn governing(
    field: &Field<'_>,
    map: &mut RidgeMap,
    judged: &Judged,
) -> Result<Vec<LimitReading>, Cancelled> {
    let reach = judged.allowance_rad + TOUCH_RAD;
    let d = judged.direction();
    let touches = |i: &usize| {
        let limit = &field.limits[*i];
        let margin = field.margin_of(limit, d);
        limit.kind.class() == LimitClass::Rigid && margin.is_some_and(|margin| margin <= reach)
    };
    let mut touching: Vec<usize> = (0..field.limits.len()).filter(touches).collect();
    if field.is_limited_by_ridge() {
        let evenly =
            (0..TOUCH_READINGS).map(|i| travel(d, i as f64 / TOUCH_READINGS as f64 * TAU, reach));
        let toward_borders = map
            .nearest_of_each(d)
            .into_iter()
            .filter_map(|(_, border)| {
                let angle = angle_between(d, &border);
                (angle > 0.0 && angle < 2.0 * reach).then(|| between(d, &border, reach / angle))
            });
        let asked = map.in_doubt(field, evenly.chain(toward_borders));
        for overruns in map.read_mm(field, &asked, Closeness::Told)? {
            let broken = overruns.iter().zip(&field.ridge_limits);
            touching.extend(broken.filter(|(mm, _)| **mm > MET_MM).map(|(_, &i)| i));
        }
    }
    touching.sort_unstable();
    touching.dedup();
    let limits = &judged.evaluation.limits;
    let mut governing: Vec<LimitReading> = touching.into_iter().map(|i| limits[i]).collect();
    let window = field.window();
    if field
        .margin_of(&window, d)
        .is_some_and(|margin| margin <= reach)
    {
        governing.push(LimitReading {
            limit: window,
            value: total_tilt_rad(d),
            met: true,
        });
    }
    Ok(governing)
}
