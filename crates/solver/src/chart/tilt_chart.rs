//! Everything a tilt chart shows at a tilt: walls, metal and table exactly, the ridge as read.

use super::{RidgeChart, ZoneFigures};
use crate::control::Quiet;
use crate::field::{Field, worst};
use crate::limit::{Limit, Place};
use crate::problem::Problem;
use crate::sphere::chart_grid;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};

/// Steps from the middle of the chart to its rim, for its list of points: with flat, 2,233 tilts.
/// Tuned: fewer than 25.5 make less than 2,000 of them (`chart`: acceptable tilts told from others), more
/// make files larger.
const STEPS: f64 = 26.65;

/// mm per radian. A ridge depth that is over by this much counts like an angle of one radian when
/// ridge and walls are drawn as one border: a ridge 5 mm high. It shapes nothing but how lines run
/// between two points of a grid. Tuned: much smaller or larger leaves a step in the drawn line where the
/// border of a wall meets that of a zone.
const RIDGE_MM_PER_RAD: f64 = 5.0;

/// A tilt on the chart.
#[derive(Debug, Clone, PartialEq)]
pub struct TiltFigures {
    /// The draw.
    pub direction: UnitVector3<f64>,
    /// Signed angle to the nearest draw that walls, metal or the table forbid, radians; negative
    /// where they forbid this one.
    pub margin_rad: f64,
    /// The ridge's figures, zone by zone; empty where the ridge was not read.
    pub zones: Vec<ZoneFigures>,
    /// By how much the worst limit of the ridge is broken, mm; negative where all are met, minus
    /// infinity where there is none, not a number where the ridge is limited and was not read.
    pub ridge_overrun_mm: f64,
    /// Whether every limit is met, as far as the chart tells. Where the ridge is limited and was not
    /// read it does not tell, so there no tilt is.
    pub acceptable: bool,
}

/// The chart of one problem.
pub struct TiltChart<'a> {
    field: Field<'a>,
    ridge: Option<&'a RidgeChart>,
}

impl std::fmt::Debug for TiltChart<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("TiltChart")
            .field("problem", &self.field.problem)
            .field("ridge", &self.ridge.map(RidgeChart::stage))
            .finish()
    }
}

/// Radians. Room where nothing is acceptable since there is nothing to judge: any negative figure will do.
const NOTHING_TO_JUDGE_RAD: f64 = -1.0;

impl<'a> TiltChart<'a> {
    /// The chart of a problem, with what was read of its ridge. Without that, only walls, metal and
    /// table show.
    pub fn new(problem: Problem<'a>, ridge: Option<&'a RidgeChart>) -> Self {
        Self {
            field: Field::new(problem, &Quiet),
            ridge,
        }
    }

    /// Greatest total tilt the ridge was read at, radians; `None` without a chart of it.
    pub fn ridge_reach_rad(&self) -> Option<f64> {
        self.ridge.map(RidgeChart::reach_rad)
    }

    /// What the chart shows at a draw. Beyond the reach of the ridge's chart the ridge counts as
    /// not read.
    pub fn at(&self, d: &UnitVector3<f64>) -> TiltFigures {
        let zones = self.ridge.and_then(|ridge| ridge.at(d));
        let ridge_overrun_mm = self.ridge_overrun_mm(zones.as_deref());
        let margin_rad = self.field.analytic_margin(d);
        TiltFigures {
            direction: *d,
            margin_rad,
            ridge_overrun_mm,
            // Nothing is at most a limit that is not a number.
            acceptable: self.field.is_judged()
                && margin_rad >= -MET_RAD
                && ridge_overrun_mm <= MET_MM,
            zones: zones.unwrap_or_default(),
        }
    }

    /// Tilts of an even grid over the chart, at least 2,000 of them, in a fixed order.
    pub fn points(&self, reach_rad: f64) -> impl Iterator<Item = TiltFigures> {
        chart_grid(reach_rad, reach_rad / STEPS).map(|d| self.at(&d))
    }

    /// Room to every limit as one figure, radians: not negative exactly where the chart shows the
    /// draw to be acceptable, not a number where walls, metal and table allow it and the ridge, which
    /// is limited, was not read. For drawing the border.
    pub fn room_rad(&self, d: &UnitVector3<f64>) -> f64 {
        if !self.field.is_judged() {
            return NOTHING_TO_JUDGE_RAD;
        }
        let margin_rad = self.field.analytic_margin(d);
        let zones = self.ridge.and_then(|ridge| ridge.at(d));
        let ridge_rad = -self.ridge_overrun_mm(zones.as_deref()) / RIDGE_MM_PER_RAD;
        if ridge_rad.is_nan() && margin_rad >= 0.0 {
            return f64::NAN;
        }
        // The least of two, of which one may not be a number.
        margin_rad.min(ridge_rad)
    }

    /// Signed angle to the nearest draw that one coping's walls and metal forbid, radians; infinite
    /// if none of them is limited.
    pub fn coping_margin_rad(&self, coping: usize, d: &UnitVector3<f64>) -> f64 {
        self.field
            .limits
            .iter()
            .filter(|limit| matches!(limit.place, Place::Wall(owner, _) if owner == coping))
            .filter_map(|limit| self.field.margin_of(limit, d))
            .fold(f64::INFINITY, f64::min)
    }

    /// Room to every limit at one place as one figure, radians, as [`TiltChart::room_rad`]; not a
    /// number where nothing is limited there, or the ridge was not read.
    pub fn room_at_rad(&self, place: Place, d: &UnitVector3<f64>) -> f64 {
        let limits = self.field.limits.iter().enumerate();
        let mut here = limits.filter(|(_, limit)| limit.place == place).peekable();
        if here.peek().is_none() {
            return f64::NAN;
        }
        let overruns = match place {
            Place::Zone(_) | Place::Zones(_) => {
                let zones = self.ridge.and_then(|ridge| ridge.at(d));
                let Some(overruns) = zones.and_then(|zones| self.overruns_mm(&zones)) else {
                    return f64::NAN;
                };
                overruns
            }
            Place::Wall(..) | Place::Table => Vec::new(),
        };
        let room = |(index, limit): (usize, &Limit)| {
            let of_ridge = self.field.ridge_limits.iter().zip(&overruns);
            let over = of_ridge.filter(|(of, _)| **of == index).map(|(_, mm)| mm);
            let ridge = over.map(|mm| -mm / RIDGE_MM_PER_RAD).next();
            self.field.margin_of(limit, d).or(ridge)
        };
        here.filter_map(room).fold(f64::INFINITY, f64::min)
    }

    /// Whether what was read of the ridge is that of the problem's zones: there is as much of it.
    pub fn knows_its_ridge(&self) -> bool {
        self.ridge.is_some_and(|ridge| {
            let flat = UnitVector3::new_unchecked(tiltbench_geometry::Vector3::z());
            let zones = ridge.at(&flat).map_or(0, |zones| zones.len());
            zones == self.field.problem.zones().len()
        })
    }

    /// The depth of the deepest zone, mm; `None` without a ridge, or beyond its chart.
    pub fn worst_depth_mm(&self, d: &UnitVector3<f64>) -> Option<f64> {
        let zones = self.ridge?.at(d)?;
        zones.iter().map(|zone| zone.depth_mm).reduce(f64::max)
    }

    /// By how much the worst limit of the ridge is broken, given the figures of all zones if they were
    /// read; not a number where it cannot be told.
    fn ridge_overrun_mm(&self, zones: Option<&[ZoneFigures]>) -> f64 {
        match zones {
            _ if !self.field.is_limited_by_ridge() => f64::NEG_INFINITY,
            Some(zones) => self.overruns_mm(zones).map_or(f64::NAN, |mm| worst(&mm)),
            None => f64::NAN,
        }
    }

    /// `None` of figures that are not those of the problem's zones.
    fn overruns_mm(&self, zones: &[ZoneFigures]) -> Option<Vec<f64>> {
        let depths: Vec<f64> = zones.iter().map(|zone| zone.depth_mm).collect();
        let is_of_them = depths.len() == self.field.problem.zones().len();
        is_of_them.then(|| self.field.overruns_mm(&depths))
    }
}
