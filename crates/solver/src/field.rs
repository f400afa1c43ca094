//! What every search asks of a problem: how far the walls allow, and how the ridge stands.
//!
//! Two kinds of limit meet here. Those of walls, metal and table have a closed form: their *margin*
//! at a draw is the signed angle on the sphere to the nearest draw that breaks them. Those of the
//! ridge are only known where the ridge is read, and there with bounds over a cell of draws.

use crate::control::Control;
use crate::depth_tree::ZoneBounds;
use crate::evaluation::wall_margin_rad;
use crate::limit::{Limit, LimitKind, Place, limits_of};
use crate::problem::Problem;
use crate::sphere::angle_between;
use tiltbench_geometry::tolerance::MET_MM;
use tiltbench_geometry::{UnitVector3, Vector3};

/// A problem with its limits listed.
pub(crate) struct Field<'a> {
    /// The problem.
    pub problem: Problem<'a>,
    /// All limits, in the order of [`limits_of`].
    pub limits: Vec<Limit>,
    /// Indices of the limits that come from the ridge.
    pub ridge_limits: Vec<usize>,
    /// Where progress goes and cancelling comes from.
    pub control: &'a dyn Control,
}

/// How some limits of the ridge stand over a cell of draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Standing {
    /// Proved: all are met by every draw of the cell.
    Met,
    /// Met at its centre, undecided elsewhere.
    MetAtCentre,
    /// Undecided, at its centre too.
    Undecided,
    /// One is broken at its centre, undecided elsewhere.
    BrokenAtCentre,
    /// Proved: one of them is broken by every draw of the cell.
    Broken,
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
        match (limit.kind, limit.place) {
            (LimitKind::TiltMax, _) => {
                Some(limit.bound - angle_between(d, &UnitVector3::new_unchecked(Vector3::z())))
            }
            (kind, Place::Wall(coping, side)) => {
                wall_margin_rad(&self.problem.copings[coping], side, kind, limit.bound, d)
            }
            _ => None,
        }
    }

    /// Least margin over all limits with a closed form. 1-Lipschitz in the angle of `d`.
    pub(crate) fn analytic_margin(&self, d: &UnitVector3<f64>) -> f64 {
        self.limits
            .iter()
            .filter_map(|limit| self.margin_of(limit, d))
            .fold(f64::INFINITY, f64::min)
    }

    /// What a limit of the ridge looks at, given the depths of all zones as they are on the cast: what is
    /// left of them after clearing.
    pub(crate) fn ridge_value(&self, limit: &Limit, depths_mm: &[f64]) -> f64 {
        ridge_value(&self.problem, limit, depths_mm)
    }

    /// Overruns of the ridge's limits for the depths of all zones.
    pub(crate) fn overruns_mm(&self, depths_mm: &[f64]) -> Vec<f64> {
        self.ridge_limits
            .iter()
            .map(|&index| &self.limits[index])
            .map(|limit| limit.overrun(self.ridge_value(limit, depths_mm)))
            .collect()
    }

    /// Whether one of the ridge limits `asked` is broken by depths of all zones.
    pub(crate) fn is_broken(&self, depths_mm: &[f64], asked: &[usize]) -> bool {
        let mut limits = asked.iter().map(|&index| &self.limits[index]);
        limits.any(|limit| limit.overrun(self.ridge_value(limit, depths_mm)) > MET_MM)
    }

    /// How the ridge limits `asked` stand over a cell, given its bounds.
    pub(crate) fn standing(&self, bounds: &[ZoneBounds], asked: &[usize]) -> Standing {
        let is_broken = |depth_mm: fn(&ZoneBounds) -> f64| {
            let depths_mm: Vec<f64> = bounds.iter().map(depth_mm).collect();
            self.is_broken(&depths_mm, asked)
        };
        if !is_broken(|zone| zone.most_mm) {
            Standing::Met
        } else if is_broken(|zone| zone.least_mm) {
            Standing::Broken
        } else if is_broken(|zone| zone.surely_mm) {
            Standing::BrokenAtCentre
        } else if is_broken(|zone| zone.depth_mm) {
            Standing::Undecided
        } else {
            Standing::MetAtCentre
        }
    }
}

/// The largest overrun; minus infinity where nothing is limited.
pub(crate) fn worst(overruns: &[f64]) -> f64 {
    overruns.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

/// What a ridge limit looks at, given the depths of all zones as they are on the cast: what is left of
/// them after clearing.
pub(crate) fn ridge_value(problem: &Problem<'_>, limit: &Limit, depths_mm: &[f64]) -> f64 {
    let left_mm = |zone: usize| (depths_mm[zone] - problem.cleared_mm(zone)).max(0.0);
    match limit.place {
        Place::Zone(zone) => left_mm(zone),
        Place::Zones([a, b]) => left_mm(a) + left_mm(b),
        Place::Wall(..) | Place::Table => f64::NEG_INFINITY,
    }
}
