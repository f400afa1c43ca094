//! When no tilt is acceptable: the tilt with the smallest worst overrun.
//!
//! Each overrun is divided by its scale, so that a degree of draft, a tenth of a millimetre of metal
//! and half a millimetre of ridge weigh the same. The worst decides, then the sum, then the total
//! tilt; the three are ranked by adding the later ones with weights too small to matter to the
//! earlier. The worst of walls, metal and table is minimised globally; from there, and from the
//! ridge's map, the rank is walked down.

use crate::compass::{Found, descend};
use crate::control::Cancelled;
use crate::evaluation::limit_value;
use crate::field::Field;
use crate::limit::{LimitKind, OverrunScales, Place};
use crate::ridge_map::RidgeMap;
use crate::search::minimise;
use crate::sphere::{angle_between, chart_grid};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::{UnitVector3, Vector3};

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Weight of the sum of overruns beside the worst: a difference of 0.001 in the worst outweighs one
/// of 1 in the sum.
const SUM_WEIGHT: f64 = 1e-3;
/// Weight of the total tilt (radians) beside the worst.
const TILT_WEIGHT: f64 = 1e-5;
/// Gap to the lower bound at which the search over walls stops, in scaled overrun: a thousandth of
/// a degree of draft.
const GAP: f64 = 1e-3;
/// Spacing of the draws compared on the map: half a degree.
const START_SPACING_RAD: f64 = 0.5 * DEGREE;
/// Last step on the map, and first and last step of the walk that looks at the ridge.
const LAST_STEP_RAD: f64 = 1e-4 * DEGREE;
const READ_FIRST_STEP_RAD: f64 = 0.25 * DEGREE;
const READ_LAST_STEP_RAD: f64 = 0.06 * DEGREE;

/// Overruns at one draw, scaled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Overrun {
    /// The worst.
    pub worst: f64,
    /// The sum.
    pub sum: f64,
}

impl Overrun {
    const NONE: Self = Self {
        worst: 0.0,
        sum: 0.0,
    };

    fn add(self, scaled: f64) -> Self {
        let scaled = scaled.max(0.0);
        Self {
            worst: self.worst.max(scaled),
            sum: self.sum + scaled,
        }
    }

    fn rank(self, d: &UnitVector3<f64>) -> f64 {
        let tilt = angle_between(d, &UnitVector3::new_unchecked(Vector3::z()));
        self.worst + SUM_WEIGHT * self.sum + TILT_WEIGHT * tilt
    }
}

/// The draw of the smallest worst overrun. `map` covers the tilts up to the limit.
pub(crate) fn least_bad(
    field: &Field<'_>,
    map: &RidgeMap,
    scales: &OverrunScales,
) -> Result<UnitVector3<f64>, Cancelled> {
    field
        .control
        .progress("searching the tilt that misses by least", 0.0);
    // Beyond the tilt limit the overrun of the tilt itself grows; 30 degrees past it, no other
    // limit is worth it. Never past the horizon of a table.
    let reach = (field.reach_rad() + 30.0 * DEGREE).min(Tilt::LIMIT_RAD - DEGREE);
    let slope = steepest(field, scales);
    let walls =
        |d: &UnitVector3<f64>| scaled_analytic(field, scales, d).fold(Overrun::NONE, Overrun::add);
    let signed =
        |d: &UnitVector3<f64>| scaled_analytic(field, scales, d).fold(f64::NEG_INFINITY, f64::max);
    let (mut start, _) = minimise(reach, slope, GAP, 0.0, field.control, signed)?;
    let on_map = |d: &UnitVector3<f64>| match map.overruns_mm(d) {
        // Past the map the ridge is not known; only what it covers is proposed.
        None if field.is_limited_by_ridge() => f64::INFINITY,
        known => with_ridge(walls(d), scales, &known.unwrap_or_default()).rank(d),
    };
    if field.is_limited_by_ridge() {
        for d in chart_grid(field.reach_rad(), START_SPACING_RAD) {
            if on_map(&d) < on_map(&start) {
                start = d;
            }
        }
    }
    let start = Found {
        direction: start,
        value: on_map(&start),
    };
    let found = descend(start, DEGREE, LAST_STEP_RAD, |d, _| Ok(Some(on_map(d))))?;
    if !field.is_limited_by_ridge() {
        return Ok(found.direction);
    }
    field
        .control
        .progress("searching the tilt that misses by least", 0.5);
    let read = |d: &UnitVector3<f64>| {
        let overruns = field.skimmed_overruns_mm(d)?;
        Ok::<f64, Cancelled>(with_ridge(walls(d), scales, &overruns).rank(d))
    };
    let start = Found {
        direction: found.direction,
        value: read(&found.direction)?,
    };
    let found = descend(
        start,
        READ_FIRST_STEP_RAD,
        READ_LAST_STEP_RAD,
        |d, known| {
            if walls(d).rank(d) >= known {
                Ok(None)
            } else {
                read(d).map(Some)
            }
        },
    )?;
    Ok(found.direction)
}

/// Scaled overruns of the limits with a closed form, negative where they are met.
fn scaled_analytic<'f>(
    field: &'f Field<'_>,
    scales: &'f OverrunScales,
    d: &'f UnitVector3<f64>,
) -> impl Iterator<Item = f64> + 'f {
    field
        .limits
        .iter()
        .filter(|limit| !limit.kind.is_of_ridge())
        .map(|limit| {
            limit.overrun(limit_value(&field.problem, limit, d, &[])) / scales.of(limit.kind)
        })
}

fn with_ridge(walls: Overrun, scales: &OverrunScales, overruns_mm: &[f64]) -> Overrun {
    overruns_mm
        .iter()
        .map(|mm| mm / scales.zone_mm)
        .fold(walls, Overrun::add)
}

/// Upper bound of the slope of the worst analytic overrun, per radian of draw.
///
/// Derivation: a draft and the total tilt change by at most the angle of the draw. The thickness
/// `t0 + L sin(psi - mu) / cos(mu)` changes by at most `L / cos(mu)` per radian of `psi`, and
/// slower through `mu`; twice `L` covers both for mill tapers and leans a table can hold.
fn steepest(field: &Field<'_>, scales: &OverrunScales) -> f64 {
    let slopes = field.limits.iter().map(|limit| {
        let raw = match (limit.kind, limit.place) {
            (LimitKind::MetalMin | LimitKind::MetalMax, Place::Wall(coping, side)) => {
                field.problem.copings[coping]
                    .wall(side)
                    .map_or(0.0, |wall| 2.0 * wall.height_mm / wall.taper_rad.cos())
            }
            _ => 1.0,
        };
        raw / scales.of(limit.kind)
    });
    slopes.fold(0.0, f64::max)
}
