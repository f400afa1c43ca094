//! When no tilt is acceptable: the tilt with the smallest worst overrun.
//!
//! Each overrun is divided by its scale, so that a degree of draft, a tenth of a millimetre of metal
//! and half a millimetre of ridge weigh the same. The worst decides, then the sum, then the total
//! tilt; the three are ranked by adding the later ones with weights too small to matter to the
//! earlier. The rank is minimised over all draws by branch and bound, walls by their slopes and the ridge by
//! its bounds over cells; from the best, to sort out what ties within the gap, it is walked down.

use crate::best_first::{Extent, Goal, Judgement, least};
use crate::cell::Cell;
use crate::compass::{Found, Steps, descend};
use crate::context::Context;
use crate::control::Cancelled;
use crate::evaluation::limit_value;
use crate::limit::{Limit, LimitKind, OverrunScales, Place};
use crate::sphere::angle_between;
use tiltbench_geometry::coping::WallBasis;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::{UnitVector3, Vector3};

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Weight of the sum of overruns beside the worst: a difference of 0.001 in the worst outweighs one
/// of 1 in the sum.
const SUM_WEIGHT: f64 = 1e-3;
/// Weight of the total tilt (radians) beside the worst.
const TILT_WEIGHT: f64 = 1e-5;

/// Gap to the lower bound at which the search stops, in scaled overrun, by whether the ridge has to be
/// read: a thousandth of a degree of draft; 0.02 mm of depth, more than a gauge tells. Tuned: smaller costs
/// cells where two limits balance along a line, larger shows in the worst overrun (`survey`).
const GAP: [f64; 2] = [1e-3, 4e-2];

/// The same as a part of the worst overrun, where that is large.
const GAP_SHARE: f64 = 2e-3;

/// Cells at the most, by the same. Tuned: several times what a single tilt of least overrun takes. Where two
/// zones balance over a whole field of tilts more would be read to no use: the bound says what is left.
const CELLS_AT_MOST: [usize; 2] = [60_000, 400];

/// Radians. Cells are cut down to this: 0.002 degree, and where the ridge has to be read 0.05.
const FINEST_RAD: [f64; 2] = [0.002 * DEGREE, 0.05 * DEGREE];

/// The walk that follows, by the same.
const WALK: [Steps; 2] = [
    Steps {
        first_rad: 0.1 * DEGREE,
        last_rad: 1e-4 * DEGREE,
        directions: 16,
    },
    Steps {
        first_rad: 0.1 * DEGREE,
        last_rad: 0.02 * DEGREE,
        directions: 8,
    },
];

/// Radians. How far beyond the tilt limit the search goes: there the overrun of the tilt itself is 15 of its
/// scales, and no other limit is worth it. Never past the horizon of a table.
const BEYOND_RAD: f64 = 30.0 * DEGREE;

/// Overruns at one draw, scaled.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Overrun {
    worst: f64,
    sum: f64,
}

impl Overrun {
    const NONE: Self = Self {
        worst: 0.0,
        sum: 0.0,
    };

    fn add(self, scaled: f64) -> Self {
        // What is not a number has no bound: it counts as none.
        let scaled = scaled.max(0.0);
        Self {
            worst: self.worst.max(scaled),
            sum: self.sum + scaled,
        }
    }

    fn rank(self, tilt_rad: f64) -> f64 {
        self.worst + SUM_WEIGHT * self.sum + TILT_WEIGHT * tilt_rad
    }
}

/// The tilt that misses by least, as found.
pub(crate) struct Missing {
    /// The draw.
    pub direction: UnitVector3<f64>,
    /// Proved: the worst overrun of no tilt is less, scaled.
    pub worst_at_least: f64,
}

/// The draw of the smallest worst overrun.
pub(crate) fn least_bad(
    context: &mut Context<'_, '_, '_>,
    scales: &OverrunScales,
) -> Result<Missing, Cancelled> {
    let control = context.field.control;
    control.progress("searching the tilt that misses by least", 0.0);
    let by_ridge = usize::from(context.field.is_limited_by_ridge());
    let extent = Extent {
        reach_rad: (context.field.reach_rad() + BEYOND_RAD).min(Tilt::LIMIT_RAD - DEGREE),
        gap: GAP[by_ridge],
        gap_share: GAP_SHARE,
        finest_rad: FINEST_RAD[by_ridge],
        cells_at_most: CELLS_AT_MOST[by_ridge],
    };
    let flat = Tilt::FLAT.direction();
    let mut goal = LeastBad { context, scales };
    let seed = (flat, goal.rank(&flat)?);
    let found = least(&mut goal, &extent, Some(seed), control)?;
    goal.context.cells += found.cells;
    let bound = found.bound;
    control.progress("searching the tilt that misses by least", 0.7);
    let (direction, value) = found.best.unwrap_or(seed);
    let start = Found { direction, value };
    let found = descend(start, &WALK[by_ridge], |d, known| {
        // The ridge only adds to what walls, metal and table miss.
        if goal.analytic(d).rank(total_tilt_rad(d)) >= known {
            Ok(None)
        } else {
            goal.rank(d).map(Some)
        }
    })?;
    Ok(Missing {
        direction: found.direction,
        worst_at_least: goal.worst_at_least(bound, extent.reach_rad),
    })
}

fn total_tilt_rad(d: &UnitVector3<f64>) -> f64 {
    angle_between(d, &UnitVector3::new_unchecked(Vector3::z()))
}

/// Minimises the rank.
struct LeastBad<'s, 'c, 'a, 't> {
    context: &'s mut Context<'c, 'a, 't>,
    scales: &'s OverrunScales,
}

impl LeastBad<'_, '_, '_, '_> {
    fn scaled(&self, limit: &Limit, d: &UnitVector3<f64>) -> f64 {
        let problem = &self.context.field.problem;
        limit.overrun(limit_value(problem, limit, d, &[])) / self.scales.of(limit.kind)
    }

    /// What no tilt misses by less than, given a bound of the rank within a total tilt.
    ///
    /// Derivation: of `n` limits the sum of overruns is at most `n` times the worst; beyond that tilt the
    /// tilt itself misses by as much as there.
    fn worst_at_least(&self, rank: f64, reach_rad: f64) -> f64 {
        let of_sum = 1.0 + SUM_WEIGHT * self.context.field.limits.len() as f64;
        let within = (rank - TILT_WEIGHT * reach_rad) / of_sum;
        let beyond = (reach_rad - self.context.field.reach_rad()) / self.scales.tilt_rad;
        within.min(beyond).max(0.0)
    }

    /// Overruns of the limits with a closed form.
    fn analytic(&self, d: &UnitVector3<f64>) -> Overrun {
        let limits = self.context.field.limits.iter();
        limits
            .filter(|limit| !limit.kind.is_of_ridge())
            .fold(Overrun::NONE, |sum, limit| sum.add(self.scaled(limit, d)))
    }

    fn rank(&mut self, d: &UnitVector3<f64>) -> Result<f64, Cancelled> {
        let walls = self.analytic(d);
        let ridge = self.context.overruns_mm(d)?;
        let all = ridge
            .iter()
            .fold(walls, |sum, mm| sum.add(mm / self.scales.zone_mm));
        Ok(all.rank(total_tilt_rad(d)))
    }

    /// The least that limits with a closed form can miss by within an angle of a draw.
    fn analytic_least(&self, d: &UnitVector3<f64>, radius_rad: f64) -> Overrun {
        let limits = self.context.field.limits.iter();
        limits
            .filter(|limit| !limit.kind.is_of_ridge())
            .fold(Overrun::NONE, |sum, limit| {
                let slope = self.steepest(limit, d, radius_rad);
                let drop = slope * radius_rad / self.scales.of(limit.kind);
                let anywhere = self.at_margin(limit) / self.scales.of(limit.kind);
                sum.add((self.scaled(limit, d) - drop).max(anywhere))
            })
    }

    /// What a limit of metal is overrun by at the margin line, where no draw changes the metal: the least and
    /// the most over the wall are no better. Minus infinity for other limits.
    fn at_margin(&self, limit: &Limit) -> f64 {
        let Place::Wall(coping, _) = limit.place else {
            return f64::NEG_INFINITY;
        };
        match (limit.kind, self.context.field.problem.copings[coping].basis) {
            (LimitKind::MetalMin | LimitKind::MetalMax, WallBasis::Prep(plan)) => {
                limit.overrun(plan.margin_thickness_mm)
            }
            _ => f64::NEG_INFINITY,
        }
    }

    /// Upper bound of the slope of a limit's value within an angle of a draw, per radian; infinite where there
    /// is none.
    ///
    /// Derivation: a draft and the total tilt change by at most the angle of the draw. The metal at the top of
    /// a wall is `t0 + L (sin psi - cos psi tan mu)` with `sin mu = sin(mill) / P`, `P` the length of the
    /// draw's part in the plane across the margin line, which is no less than its part `p` along the axis. `psi`
    /// turns by at most `1 / P` and `P` by at most 1 per radian, so with `s = sin(mill) / p` the slope is at
    /// most `L (sqrt(1 + T²) / p + (1 + T²)^(3/2) s / p)`, `T = s / sqrt(1 - s²)`. Least and most over a sector
    /// change no faster.
    fn steepest(&self, limit: &Limit, d: &UnitVector3<f64>, radius_rad: f64) -> f64 {
        let (LimitKind::MetalMin | LimitKind::MetalMax, Place::Wall(coping, side)) =
            (limit.kind, limit.place)
        else {
            return 1.0;
        };
        let coping = &self.context.field.problem.copings[coping];
        let (Some(wall), WallBasis::Prep(plan)) = (coping.wall(side), coping.basis) else {
            return 0.0;
        };
        let upright_rad = coping.axis.dot(d).clamp(-1.0, 1.0).asin() - radius_rad;
        let along = upright_rad.sin();
        let share = plan.taper_rad.sin().abs() / along;
        if upright_rad <= 0.0 || share >= 1.0 {
            return f64::INFINITY;
        }
        let secant = (1.0 - share * share).sqrt().recip();
        let line_mm = wall.height_mm / wall.taper_rad.cos();
        line_mm * (secant + secant.powi(3) * share) / along
    }
}

impl Goal for LeastBad<'_, '_, '_, '_> {
    fn outline(&mut self, cell: Cell) -> f64 {
        let (d, radius_rad) = (cell.centre(), cell.radius_rad());
        let least_tilt_rad = (total_tilt_rad(&d) - radius_rad).max(0.0);
        (self.analytic_least(&d, radius_rad)).rank(least_tilt_rad)
    }

    fn prepare(&mut self, cells: &[Cell], best: f64) -> Result<(), Cancelled> {
        if !self.context.field.is_limited_by_ridge() {
            return Ok(());
        }
        let worth: Vec<Cell> = (cells.iter().copied())
            .filter(|cell| self.outline(*cell) < best)
            .collect();
        self.context.tree.read(&worth, self.context.field.control)
    }

    fn judge(&mut self, cell: Cell, best: f64) -> Result<Judgement, Cancelled> {
        let (d, radius_rad) = (cell.centre(), cell.radius_rad());
        let least_tilt_rad = (total_tilt_rad(&d) - radius_rad).max(0.0);
        let mut bound = self.analytic_least(&d, radius_rad);
        let walls = bound.rank(least_tilt_rad);
        if walls >= best {
            return Ok(Judgement {
                bound: walls,
                found: None,
            });
        }
        let mut at_centre = self.analytic(&d);
        let field = self.context.field;
        if field.is_limited_by_ridge() {
            self.context.tree.read(&[cell], field.control)?;
            let zones = self.context.tree.bounds(cell);
            let least_mm: Vec<f64> = zones.iter().map(|zone| zone.least_mm).collect();
            let depth_mm: Vec<f64> = zones.iter().map(|zone| zone.depth_mm).collect();
            for (least, centre) in field
                .overruns_mm(&least_mm)
                .into_iter()
                .zip(field.overruns_mm(&depth_mm))
            {
                bound = bound.add(least / self.scales.zone_mm);
                at_centre = at_centre.add(centre / self.scales.zone_mm);
            }
        }
        let value = at_centre.rank(total_tilt_rad(&d));
        Ok(Judgement {
            bound: bound.rank(least_tilt_rad),
            found: value.is_finite().then_some((d, value)),
        })
    }
}
