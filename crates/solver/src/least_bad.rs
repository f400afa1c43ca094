//! When no tilt is acceptable: the tilt that misses by least, metal before mucosa, mucosa before taste.
//!
//! Each overrun is divided by its scale, so that a degree of draft and a tenth of a millimetre of metal
//! weigh the same. If some draw of the search window meets all rigid limits, only such are looked at;
//! else those whose worst rigid overrun comes within [`ALIKE`] of the least there is. Among them the same
//! goes for the limits of the seat, then for the preferences; then the least total tilt. So metal is never
//! given up to save wax.
//!
//! The worst rigid overrun has a closed form and is minimised globally. The ridge's is looked for on its
//! map, on a grid and downhill from the best places of it, and is read where the walk ends.

use crate::compass::{Found, descend};
use crate::control::Cancelled;
use crate::evaluation::{limit_value, total_tilt_rad};
use crate::field::Field;
use crate::limit::{Limit, LimitClass, LimitKind, OverrunScales, Place};
use crate::polish::sharpen;
use crate::ridge_map::RidgeMap;
use crate::search::minimise;
use crate::sphere::{between, chart_grid};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Overruns, scaled, that come so near to the least count as least.
const ALIKE: f64 = 0.05;
/// Gap to the lower bound at which the search over walls stops, in scaled overrun: a thousandth of
/// a degree of draft.
const GAP: f64 = 1e-3;
/// Spacing of the draws compared on the map: half a degree.
const START_SPACING_RAD: f64 = 0.5 * DEGREE;
/// First and last step of walks downhill.
const FIRST_STEP_RAD: f64 = DEGREE;
const LAST_STEP_RAD: f64 = 1e-4 * DEGREE;
/// First and last step of the walk that reads the ridge.
const READ_FIRST_STEP_RAD: f64 = 0.25 * DEGREE;
const READ_LAST_STEP_RAD: f64 = 0.06 * DEGREE;
/// Places of the grid from which walks start: the best of them.
const STARTS: usize = 4;
/// Steps back from a flatter tilt to the one whose ridge was read.
const STEPS_BACK: u32 = 8;

/// The tilt that misses by least.
pub(crate) struct LeastOverrun {
    /// Its draw.
    pub(crate) direction: UnitVector3<f64>,
    /// The first class of limits that no draw of the window meets together with those before it.
    pub(crate) forbidden_by: LimitClass,
}

/// The worst overruns of a draw by class, scaled; 0 where all of a class are met.
#[derive(Debug, Clone, Copy)]
struct Worst {
    rigid: f64,
    seat: f64,
    preference: f64,
}

impl Worst {
    fn of(self, class: LimitClass) -> f64 {
        match class {
            LimitClass::Rigid => self.rigid,
            LimitClass::Seat => self.seat,
            LimitClass::Preference => self.preference,
        }
    }
}

/// What is asked of draws before something else is made least of.
#[derive(Debug, Clone, Copy)]
struct Most {
    rigid: f64,
    seat: f64,
    preference: f64,
}

impl Most {
    const ANY: Self = Self {
        rigid: f64::INFINITY,
        seat: f64::INFINITY,
        preference: f64::INFINITY,
    };

    fn allows(&self, worst: &Worst) -> bool {
        worst.rigid <= self.rigid && worst.seat <= self.seat && worst.preference <= self.preference
    }
}

/// What counts as least, where the least is so much.
fn alike(least: f64) -> f64 {
    if least > 0.0 { least + ALIKE } else { 0.0 }
}

struct Search<'s, 'a> {
    field: &'s Field<'a>,
    map: &'s RidgeMap,
    scales: &'s OverrunScales,
}

/// The draw that misses by least. `map` covers the search window.
pub(crate) fn least_bad(
    field: &Field<'_>,
    map: &RidgeMap,
    scales: &OverrunScales,
) -> Result<LeastOverrun, Cancelled> {
    let search = Search { field, map, scales };
    field
        .control
        .progress("searching the tilt that misses by least", 0.0);
    let start = search.least_rigid()?;
    let mut most = Most::ANY;
    most.rigid = alike(search.closed(&start).rigid);
    let mut draws: Vec<UnitVector3<f64>> = chart_grid(field.window_rad, START_SPACING_RAD)
        .filter(|d| search.closed(d).rigid <= most.rigid)
        .collect();
    draws.push(start);
    let mut best = search.least(&draws, &most, &|worst, _| worst.seat)?;
    if field.is_limited_by_ridge() {
        field
            .control
            .progress("searching the tilt that misses by least", 0.5);
        best = search.least_seat_read(&best, &most)?;
    }
    let seat_read = search.read(&best)?.seat;
    let read_most = Most {
        seat: alike(seat_read),
        ..most
    };
    // The map may be off where the ridge was read: what it says there counts as what was read.
    most.seat = read_most
        .seat
        .max(search.on_map(&best).map_or(0.0, |worst| worst.seat));
    draws.push(best);
    let liked = search.least(&draws, &most, &|worst, _| worst.preference)?;
    let liked_most = Most {
        preference: alike(search.closed(&liked).preference),
        ..most
    };
    draws.push(liked);
    let flattest = search.least(&draws, &liked_most, &|_, d| total_tilt_rad(d))?;
    let mut direction = best;
    for step in 0..=STEPS_BACK {
        let there = between(&flattest, &best, f64::from(step) / f64::from(STEPS_BACK));
        let worst = search.read(&there)?;
        if read_most.allows(&worst) {
            direction = there;
            break;
        }
    }
    let worst = search.read(&direction)?;
    let classes = [LimitClass::Rigid, LimitClass::Seat];
    let forbidden_by = classes.into_iter().find(|class| worst.of(*class) > 0.0);
    Ok(LeastOverrun {
        direction,
        forbidden_by: forbidden_by.unwrap_or(LimitClass::Preference),
    })
}

impl Search<'_, '_> {
    /// The worst overruns of limits with a closed form.
    fn closed(&self, d: &UnitVector3<f64>) -> Worst {
        let mut worst = Worst {
            rigid: 0.0,
            seat: 0.0,
            preference: 0.0,
        };
        for (limit, value) in self.values(d) {
            let scaled = if limit.is_met(value) {
                0.0
            } else {
                limit.overrun(value) / self.scales.of(limit.kind)
            };
            match limit.kind.class() {
                LimitClass::Rigid => worst.rigid = worst.rigid.max(scaled),
                _ => worst.preference = worst.preference.max(scaled),
            }
        }
        worst
    }

    /// The limits with a closed form, and what they look at.
    fn values(&self, d: &UnitVector3<f64>) -> impl Iterator<Item = (&Limit, f64)> {
        let limits = self.field.limits.iter();
        limits
            .filter(|limit| !limit.kind.is_of_ridge())
            .map(|limit| (limit, limit_value(&self.field.problem, limit, d, &[])))
    }

    fn with_ridge(&self, d: &UnitVector3<f64>, overruns_mm: &[f64]) -> Worst {
        let broken = overruns_mm.iter().filter(|mm| **mm > MET_MM);
        Worst {
            seat: broken.fold(0.0, |worst, mm| worst.max(mm / self.scales.zone_mm)),
            ..self.closed(d)
        }
    }

    /// By the map; `None` where it does not reach.
    fn on_map(&self, d: &UnitVector3<f64>) -> Option<Worst> {
        if !self.field.is_limited_by_ridge() {
            return Some(self.closed(d));
        }
        Some(self.with_ridge(d, &self.map.overruns_mm(d)?))
    }

    /// As read.
    fn read(&self, d: &UnitVector3<f64>) -> Result<Worst, Cancelled> {
        Ok(self.with_ridge(d, &self.field.read_overruns_mm(d)?))
    }

    /// A draw of the window with the least worst rigid overrun.
    fn least_rigid(&self) -> Result<UnitVector3<f64>, Cancelled> {
        let worst = |d: &UnitVector3<f64>| {
            self.values(d)
                .filter(|(limit, _)| limit.kind.class() == LimitClass::Rigid)
                .map(|(limit, value)| limit.overrun(value) / self.scales.of(limit.kind))
                .fold(f64::NEG_INFINITY, f64::max)
        };
        let window = self.field.window_rad;
        let slope = self.steepest();
        let (found, _) = minimise(window, slope, GAP, 0.0, self.field.control, worst)?;
        let start = Found {
            direction: found,
            value: worst(&found),
        };
        if start.value <= 0.0 {
            return Ok(found);
        }
        // Walls that are just parallel share a single draw, or an arc of them.
        let (sharper, _) = sharpen(self.field, &found);
        if self.closed(&sharper).rigid <= 0.0 {
            return Ok(sharper);
        }
        let within = |d: &UnitVector3<f64>| total_tilt_rad(d) <= window + MET_RAD;
        let down = |d: &UnitVector3<f64>, _| Ok(Some(worst(d)).filter(|_| within(d)));
        Ok(descend(start, FIRST_STEP_RAD, LAST_STEP_RAD, down)?.direction)
    }

    /// The draw of the least value among those that are allowed, by the map: the best of some, and downhill
    /// from the best few.
    fn least(
        &self,
        draws: &[UnitVector3<f64>],
        most: &Most,
        value: &dyn Fn(&Worst, &UnitVector3<f64>) -> f64,
    ) -> Result<UnitVector3<f64>, Cancelled> {
        let within_rad = self.field.window_rad + MET_RAD;
        let at = |d: &UnitVector3<f64>| {
            let worst = self.on_map(d).filter(|worst| most.allows(worst))?;
            (total_tilt_rad(d) <= within_rad).then(|| value(&worst, d))
        };
        let mut starts: Vec<Found> = draws
            .iter()
            .filter_map(|direction| {
                Some(Found {
                    direction: *direction,
                    value: at(direction)?,
                })
            })
            .collect();
        let flatter = |a: &Found, b: &Found| {
            total_tilt_rad(&a.direction).total_cmp(&total_tilt_rad(&b.direction))
        };
        starts.sort_by(|a, b| a.value.total_cmp(&b.value).then(flatter(a, b)));
        let mut best: Option<Found> = None;
        for start in starts.into_iter().take(STARTS) {
            let found = descend(start, FIRST_STEP_RAD, LAST_STEP_RAD, |d, _| Ok(at(d)))?;
            if best.is_none_or(|best| found.value < best.value) {
                best = Some(found);
            }
        }
        let last = draws.last().copied();
        Ok(best
            .map(|found| found.direction)
            .or(last)
            .unwrap_or_else(|| UnitVector3::new_unchecked(tiltbench_geometry::Vector3::z())))
    }

    /// Downhill from a draw in what the seat misses by, as skimmed.
    fn least_seat_read(
        &self,
        from: &UnitVector3<f64>,
        most: &Most,
    ) -> Result<UnitVector3<f64>, Cancelled> {
        let within_rad = self.field.window_rad + MET_RAD;
        let skim = |d: &UnitVector3<f64>| {
            let overruns = self.field.skimmed_overruns_mm(d)?;
            Ok::<f64, Cancelled>(self.with_ridge(d, &overruns).seat)
        };
        let start = Found {
            direction: *from,
            value: skim(from)?,
        };
        if start.value <= 0.0 {
            return Ok(*from);
        }
        let down = |d: &UnitVector3<f64>, _| {
            let is_allowed = self.closed(d).rigid <= most.rigid && total_tilt_rad(d) <= within_rad;
            if is_allowed {
                skim(d).map(Some)
            } else {
                Ok(None)
            }
        };
        Ok(descend(start, READ_FIRST_STEP_RAD, READ_LAST_STEP_RAD, down)?.direction)
    }

    /// Upper bound of the slope of the worst rigid overrun, per radian of draw.
    ///
    /// Derivation: a draft changes by at most the angle of the draw. The thickness
    /// `t0 + L sin(psi - mu) / cos(mu)` changes by at most `L / cos(mu)` per radian of `psi`, and
    /// slower through `mu`; twice `L` covers both for mill tapers and leans a table can hold.
    fn steepest(&self) -> f64 {
        let rigid = self.field.limits.iter();
        let slopes = rigid
            .filter(|limit| limit.kind.class() == LimitClass::Rigid)
            .map(|limit| {
                let raw = match (limit.kind, limit.place) {
                    (LimitKind::MetalMin, Place::Wall(coping, side)) => self.field.problem.copings
                        [coping]
                        .wall(side)
                        .map_or(0.0, |wall| 2.0 * wall.height_mm / wall.taper_rad.cos()),
                    _ => 1.0,
                };
                raw / self.scales.of(limit.kind)
            });
        slopes.fold(0.0, f64::max)
    }
}
