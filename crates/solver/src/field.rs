//! What every search asks of a problem: how far the walls allow, and what the ridge pays.
//!
//! Two kinds of limit meet here. Those of walls, metal and table have a closed form: their *margin*
//! at a draw is the signed angle on the sphere to the nearest draw that breaks them. Those of the
//! ridge are only known where the ridge is read.

use crate::control::{Cancelled, Control};
use crate::evaluation::margin_of;
use crate::limit::{Limit, LimitClass, LimitKind, Place, anything_to_judge, limits_of};
use crate::problem::{Problem, RidgeReader};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::SeatZone;

/// A problem with its limits listed.
pub(crate) struct Field<'a> {
    /// The problem.
    pub problem: Problem<'a>,
    /// All limits, in the order of [`limits_of`].
    pub limits: Vec<Limit>,
    /// Indices of the limits that come from the ridge.
    pub ridge_limits: Vec<usize>,
    /// Total tilt up to which draws are looked at, radians.
    pub window_rad: f64,
    /// Where progress goes and cancelling comes from.
    pub control: &'a dyn Control,
}

impl<'a> Field<'a> {
    /// Lists the limits; reads nothing yet.
    pub(crate) fn new(problem: Problem<'a>, control: &'a dyn Control) -> Self {
        let limits = limits_of(&problem);
        let ridge_limits = (0..limits.len())
            .filter(|&i| limits[i].kind.is_of_ridge())
            .collect();
        Self {
            problem,
            limits,
            ridge_limits,
            window_rad: problem.limits.window_rad(),
            control,
        }
    }

    /// Whether any limit comes from the ridge.
    pub(crate) fn is_limited_by_ridge(&self) -> bool {
        !self.ridge_limits.is_empty()
    }

    /// Greatest total tilt, radians.
    pub(crate) fn reach_rad(&self) -> f64 {
        self.problem.limits.tilt_max_rad
    }

    /// Signed angle from `d` to the nearest draw that breaks `limit`; `None` for a ridge limit.
    pub(crate) fn margin_of(&self, limit: &Limit, d: &UnitVector3<f64>) -> Option<f64> {
        margin_of(&self.problem, limit, d)
    }

    /// The rim of the search window, as a limit.
    pub(crate) fn window(&self) -> Limit {
        Limit {
            kind: LimitKind::Window,
            place: Place::Table,
            bound: self.window_rad,
        }
    }

    /// Whether some limit is rigid or of the seat; without one there is nothing to judge.
    pub(crate) fn is_judged(&self) -> bool {
        anything_to_judge(self.limits.iter().map(|limit| limit.kind))
    }

    /// Least margin over the rigid limits and to the rim of the window: what a setting allowance is made
    /// of, but for the ridge. 1-Lipschitz in the angle of `d`.
    pub(crate) fn setting_margin(&self, d: &UnitVector3<f64>) -> f64 {
        let window = self.margin_of(&self.window(), d).unwrap_or(f64::INFINITY);
        window.min(self.margin_of_class(LimitClass::Rigid, d))
    }

    /// Least margin over the preferences. 1-Lipschitz in the angle of `d`.
    pub(crate) fn preference_margin(&self, d: &UnitVector3<f64>) -> f64 {
        self.margin_of_class(LimitClass::Preference, d)
    }

    fn margin_of_class(&self, class: LimitClass, d: &UnitVector3<f64>) -> f64 {
        let of_class = self
            .limits
            .iter()
            .filter(|limit| limit.kind.class() == class);
        of_class
            .filter_map(|limit| self.margin_of(limit, d))
            .fold(f64::INFINITY, f64::min)
    }

    /// Least margin over all limits with a closed form. 1-Lipschitz in the angle of `d`.
    pub(crate) fn analytic_margin(&self, d: &UnitVector3<f64>) -> f64 {
        self.setting_margin(d).min(self.preference_margin(d))
    }

    /// The limits of the ridge, in order.
    pub(crate) fn seat_limits(&self) -> impl Iterator<Item = &Limit> {
        self.ridge_limits.iter().map(|&index| &self.limits[index])
    }

    /// Overruns of the ridge's limits for the depths of all zones.
    pub(crate) fn overruns_mm(&self, depths: &[f64]) -> Vec<f64> {
        overruns_mm(self.problem.zones(), self.seat_limits(), depths)
    }

    /// Depths of all zones at `d`, mm. Skims the ridge: for searches. Empty where it limits nothing.
    pub(crate) fn skimmed_depths_mm(&self, d: &UnitVector3<f64>) -> Result<Vec<f64>, Cancelled> {
        let Some(ridge) = self.ridge_to_read()? else {
            return Ok(Vec::new());
        };
        let zones = ridge
            .skim(d, None, &|| self.control.cancelled())
            .ok_or(Cancelled)?;
        Ok(zones.iter().map(|zone| zone.depth_mm.max(0.0)).collect())
    }

    /// As [`Field::skimmed_depths_mm`], read accurately: for what is reported.
    pub(crate) fn read_depths_mm(&self, d: &UnitVector3<f64>) -> Result<Vec<f64>, Cancelled> {
        let Some(ridge) = self.ridge_to_read()? else {
            return Ok(Vec::new());
        };
        let zones = ridge.read(d);
        Ok(zones.iter().map(|zone| zone.undercut_depth_mm).collect())
    }

    /// Overruns of the ridge's limits at `d`, mm, in the order of [`Field::ridge_limits`], skimmed.
    pub(crate) fn skimmed_overruns_mm(&self, d: &UnitVector3<f64>) -> Result<Vec<f64>, Cancelled> {
        Ok(self.overruns_mm(&self.skimmed_depths_mm(d)?))
    }

    /// As [`Field::skimmed_overruns_mm`], read accurately.
    pub(crate) fn read_overruns_mm(&self, d: &UnitVector3<f64>) -> Result<Vec<f64>, Cancelled> {
        Ok(self.overruns_mm(&self.read_depths_mm(d)?))
    }

    /// The ridge, if it limits anything and somebody still waits for it.
    fn ridge_to_read(&self) -> Result<Option<&'a dyn RidgeReader>, Cancelled> {
        if self.control.cancelled() {
            return Err(Cancelled);
        }
        Ok(self.problem.ridge.filter(|_| self.is_limited_by_ridge()))
    }

    /// Overruns of the ridge's limits at the worst, if a depth may be deeper by what `off_mm` says of it:
    /// a pair adds up two.
    pub(crate) fn at_worst_mm(&self, overruns_mm: &[f64], off_mm: impl Fn(f64) -> f64) -> Vec<f64> {
        let off = |limit: &Limit| match limit.place {
            Place::Zones(_) => 2.0 * off_mm(0.5 * limit.bound),
            _ => off_mm(limit.bound),
        };
        self.seat_limits()
            .zip(overruns_mm)
            .map(|(limit, overrun_mm)| overrun_mm + off(limit))
            .collect()
    }
}

/// Overruns of limits of the ridge for the depths of all zones; none where no depths are given. Of a zone
/// that is blocked out down to its limit, a depth that wax still covers is below it by what more wax would.
pub(crate) fn overruns_mm<'l>(
    zones: &[SeatZone],
    limits: impl Iterator<Item = &'l Limit>,
    depths_mm: &[f64],
) -> Vec<f64> {
    if depths_mm.is_empty() {
        return Vec::new();
    }
    limits
        .map(|limit| match limit.place {
            Place::Zone(zone) if zones[zone].is_blocked_out_to(limit.bound) => {
                depths_mm[zone] - zones[zone].allowed_mm().unwrap_or(limit.bound)
            }
            _ => limit.overrun(depth_value(zones, limit, depths_mm)),
        })
        .collect()
}

/// The largest overrun; minus infinity where nothing is limited.
pub(crate) fn worst(overruns: &[f64]) -> f64 {
    overruns.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

/// What a ridge limit looks at, given the depths of all zones: what is left of them once the planned
/// blockout is in place. Of depths that are interpolated, some may be below 0; they stay so.
pub(crate) fn depth_value(zones: &[SeatZone], limit: &Limit, depths_mm: &[f64]) -> f64 {
    let left = |zone: usize| zones[zone].left_of_mm(depths_mm[zone]);
    match limit.place {
        Place::Zone(zone) => left(zone),
        Place::Zones([a, b]) => left(a) + left(b),
        Place::Wall(..) | Place::Table => f64::NEG_INFINITY,
    }
}
