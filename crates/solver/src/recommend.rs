//! The recommended tilt: the widest setting allowance, ties to the flatter.
//!
//! An allowance is 1-Lipschitz in the angle of the draw: the circle about one draw holds the circle about
//! another, smaller by the angle between them. So no draw of a cell has an allowance above that of its centre
//! plus its radius, and one branch and bound finds the widest there is, another the flattest that has enough,
//! and both find out where no draw is acceptable at all.

use crate::allowance::{Judged, judge_found};
use crate::best_first::{Extent, Goal, Judgement, Least, least};
use crate::cell::Cell;
use crate::context::Context;
use crate::control::Cancelled;
use crate::distance::Ask;
use crate::field::Standing;
use crate::nearest::nearest_allowed;
use crate::polish::sharpen;
use crate::sphere::angle_between;
use tiltbench_geometry::tolerance::MET_RAD;
use tiltbench_geometry::{UnitVector3, Vector3};

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Radians. Allowances closer than this count as equal, and the flatter tilt wins: 0.05 degree.
pub(crate) const TIE_RAD: f64 = 0.05 * DEGREE;

/// Radians. How closely the widest allowance is found where only closed forms decide: 0.004 degree. Tuned:
/// well below [`TIE_RAD`]; smaller costs cells along plateaus, larger shows in allowances (`survey`).
const GAP_RAD: f64 = 0.004 * DEGREE;

/// Radians. The same where the ridge has to be read: 0.05 degree. Tuned: as much as a tie; each halving
/// doubles the readings (the test of work counts them).
const RIDGE_GAP_RAD: f64 = TIE_RAD;

/// Cells of one search at the most, by whether the ridge has to be read. Tuned: several times what any case
/// of the tests takes; a bound on work for any input. What is left then is in the bound of the answer.
pub(crate) const CELLS_AT_MOST: [usize; 2] = [60_000, 2000];

/// Where a search looks, and how closely.
pub(crate) fn extent(context: &Context<'_, '_, '_>, gap: f64, finest_rad: f64) -> Extent {
    let by_ridge = usize::from(context.field.is_limited_by_ridge());
    Extent {
        reach_rad: context.field.reach_rad(),
        gap,
        gap_share: 0.0,
        finest_rad,
        cells_at_most: CELLS_AT_MOST[by_ridge],
    }
}

/// The gap of searches of this problem.
pub(crate) fn gap_rad(context: &Context<'_, '_, '_>) -> f64 {
    if context.field.is_limited_by_ridge() {
        RIDGE_GAP_RAD
    } else {
        GAP_RAD
    }
}

/// Pure number. Cells are cut down to this part of the gap, by whether the ridge has to be read.
const FINEST: [f64; 2] = [1.0 / 8.0, 1.0 / 4.0];

/// The radius down to which cells are cut for a gap.
pub(crate) fn finest_rad(context: &Context<'_, '_, '_>, gap: f64) -> f64 {
    gap * FINEST[usize::from(context.field.is_limited_by_ridge())]
}

/// Part of the gap that the pair of a cell's centre may take up. Tuned: more leaves too little for the cell
/// itself, a quarter doubles the readings of each pair.
const PAIR_SHARE: f64 = 0.5;

/// The widest setting allowance there is.
pub(crate) struct Best {
    /// The acceptable tilt that has it, ties to the flatter; `None` if none was found.
    pub judged: Option<Judged>,
    /// Proved: no tilt has a larger one. Minus infinity where none is acceptable.
    pub at_most_rad: f64,
}

/// The acceptable tilt with the largest setting allowance, ties to the flatter.
pub(crate) fn recommend(context: &mut Context<'_, '_, '_>) -> Result<Best, Cancelled> {
    let progress = |done| {
        (context.field.control).progress("searching the widest setting allowance", done);
    };
    progress(0.0);
    let found = widest(context)?;
    let at_most_rad = 0.0 - found.bound;
    let Some((widest, value)) = found.best else {
        return Ok(Best {
            judged: None,
            at_most_rad,
        });
    };
    let reached_rad = 0.0 - value;
    progress(0.6);
    // Measured from the proved bound, so that a tie never adds to the gap of the search.
    let wanted_rad = (at_most_rad - TIE_RAD).min(reached_rad).max(0.0);
    let flattest = flattest(context, &Wanted::of(wanted_rad), Some(widest))?.unwrap_or(widest);
    let judged = match judge_found(context, &flattest)? {
        Some(judged) => Some(judged),
        None => judge_found(context, &widest)?,
    };
    Ok(Best {
        judged,
        at_most_rad,
    })
}

/// A draw with the largest setting allowance, to within the gap, and minus that allowance.
fn widest(context: &mut Context<'_, '_, '_>) -> Result<Least, Cancelled> {
    let gap = gap_rad(context);
    let extent = extent(context, gap, finest_rad(context, gap));
    let control = context.field.control;
    let mut found = least(&mut Widest { context, gap }, &extent, None, control)?;
    context.cells += found.cells;
    let Some((d, value)) = found.best else {
        return Ok(found);
    };
    // Where only limits with a closed form decide, the last thousandths are to be had.
    let (sharper, margin_rad) = sharpen(context.field, &d);
    if -margin_rad < value {
        let ask = Ask::pair(margin_rad, gap * PAIR_SHARE);
        let there = context.ridge_distance(&sharper, &ask)?;
        if -there.lower_rad < value && context.is_acceptable(&sharper)? {
            found.best = Some((sharper, 0.0 - there.lower_rad));
        }
    }
    Ok(found)
}

/// Minimises minus the allowance.
struct Widest<'s, 'c, 'a, 't> {
    context: &'s mut Context<'c, 'a, 't>,
    gap: f64,
}

impl Goal for Widest<'_, '_, '_, '_> {
    fn outline(&mut self, cell: Cell) -> f64 {
        let most_rad = self.context.margin_rad(cell) + cell.radius_rad();
        if most_rad < -MET_RAD {
            f64::INFINITY
        } else {
            -most_rad
        }
    }

    fn prepare(&mut self, cells: &[Cell], best: f64) -> Result<(), Cancelled> {
        let worth: Vec<Cell> = (cells.iter().copied())
            .filter(|cell| self.outline(*cell) < best - self.gap)
            .collect();
        self.context.settle(&worth).map(drop)
    }

    fn judge(&mut self, cell: Cell, best: f64) -> Result<Judgement, Cancelled> {
        let (d, radius_rad) = (cell.centre(), cell.radius_rad());
        let margin_rad = self.context.margin_rad(cell);
        let outline = self.outline(cell);
        if outline == f64::INFINITY || outline >= best - self.gap {
            return Ok(Judgement {
                bound: outline,
                found: None,
            });
        }
        let standing = self.context.standing(cell)?;
        let at_centre_rad = match standing {
            Standing::Broken => return Ok(Judgement::NONE),
            // Its own draw is broken, so no other of the cell is farther from one than it.
            Standing::BrokenAtCentre => 0.0,
            _ if margin_rad < -MET_RAD => margin_rad,
            _ => {
                let ask = Ask {
                    hopeless_rad: self.gap - best - radius_rad,
                    ..Ask::pair(margin_rad.max(0.0), self.gap.max(radius_rad) * PAIR_SHARE)
                };
                let pair = self.context.ridge_distance(&d, &ask)?;
                return Ok(Judgement {
                    bound: -(pair.upper_rad.min(margin_rad) + radius_rad),
                    found: Some((d, 0.0 - pair.lower_rad)),
                });
            }
        };
        // The set may have no inside, so that no centre ever lies in it: the nearest draw of it does.
        let found = if best == f64::INFINITY && margin_rad <= MET_RAD {
            acceptable_near(self.context, cell)?
        } else {
            None
        };
        Ok(Judgement {
            bound: -(at_centre_rad.min(margin_rad) + radius_rad),
            found: found.map(|d| (d, 0.0)),
        })
    }
}

/// The draw nearest to a cell's centre that walls, metal and table allow, if it lies in the cell's circle and
/// the ridge allows it too.
pub(crate) fn acceptable_near(
    context: &mut Context<'_, '_, '_>,
    cell: Cell,
) -> Result<Option<UnitVector3<f64>>, Cancelled> {
    let near = nearest_allowed(context.field, &cell.centre(), 0.0, cell.radius_rad());
    match near {
        Some(d) if context.is_acceptable(&d)? => Ok(Some(d)),
        _ => Ok(None),
    }
}

/// What a flat draw has to have.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted {
    /// The allowance.
    pub allowance_rad: f64,
    /// What the ridge has to leave beyond that, so that a pair tells it without being narrowed.
    pub beyond_rad: f64,
}

impl Wanted {
    /// An allowance, and no more.
    pub(crate) fn of(allowance_rad: f64) -> Self {
        Self {
            allowance_rad,
            beyond_rad: 0.0,
        }
    }
}

/// The draw of least total tilt, to within the gap, that is acceptable with the allowance that is wanted;
/// `None` if no draw is. `seed` is one that is known to be.
pub(crate) fn flattest(
    context: &mut Context<'_, '_, '_>,
    wanted: &Wanted,
    seed: Option<UnitVector3<f64>>,
) -> Result<Option<UnitVector3<f64>>, Cancelled> {
    let gap = gap_rad(context);
    let extent = extent(context, gap, finest_rad(context, gap));
    let wanted_rad = wanted.allowance_rad;
    let near_rad = if context.field.is_limited_by_ridge() {
        NEAR_RIDGE_RAD
    } else {
        NEAR_RAD
    };
    let control = context.field.control;
    let mut goal = Flattest {
        context,
        wanted_rad,
        ridge_rad: wanted_rad + wanted.beyond_rad,
        near_rad,
    };
    let mut seed = seed.map(|d| (d, total_tilt_rad(&d)));
    // Where the ridge does not decide, the nearest to flat is exact.
    let reach_rad = extent.reach_rad;
    let flat = UnitVector3::new_unchecked(Vector3::z());
    if let Some(d) = nearest_allowed(goal.context.field, &flat, wanted_rad, reach_rad)
        && goal.has_enough(&d)?
    {
        seed = Some((d, total_tilt_rad(&d)));
    }
    let found = least(&mut goal, &extent, seed, control)?;
    goal.context.cells += found.cells;
    Ok(found.best.map(|(d, _)| d))
}

fn total_tilt_rad(d: &UnitVector3<f64>) -> f64 {
    angle_between(d, &UnitVector3::new_unchecked(Vector3::z()))
}

/// Minimises the total tilt among draws with enough allowance.
struct Flattest<'s, 'c, 'a, 't> {
    context: &'s mut Context<'c, 'a, 't>,
    wanted_rad: f64,
    ridge_rad: f64,
    near_rad: f64,
}

impl Flattest<'_, '_, '_, '_> {
    /// Whether a draw that walls, metal and table allow has enough.
    fn has_enough(&mut self, d: &UnitVector3<f64>) -> Result<bool, Cancelled> {
        if self.wanted_rad <= 0.0 {
            return self.context.is_acceptable(d);
        }
        if self.context.field.analytic_margin(d) < self.wanted_rad {
            return Ok(false);
        }
        let ask = Ask::whether(self.ridge_rad, self.near_rad);
        let pair = self.context.ridge_distance(d, &ask)?;
        Ok(pair.lower_rad >= self.ridge_rad)
    }
}

/// Radians. How closely a draw is asked whether it has enough: 0.004 degree, and where the ridge has to be
/// read 0.034.
const NEAR_RAD: f64 = 0.004 * DEGREE;
const NEAR_RIDGE_RAD: f64 = 0.034 * DEGREE;

impl Goal for Flattest<'_, '_, '_, '_> {
    fn outline(&mut self, cell: Cell) -> f64 {
        let most_rad = self.context.margin_rad(cell) + cell.radius_rad();
        if most_rad < self.wanted_rad - MET_RAD {
            f64::INFINITY
        } else {
            (total_tilt_rad(&cell.centre()) - cell.radius_rad()).max(0.0)
        }
    }

    fn prepare(&mut self, cells: &[Cell], best: f64) -> Result<(), Cancelled> {
        let worth: Vec<Cell> = (cells.iter().copied())
            .filter(|cell| self.outline(*cell) < best)
            .collect();
        self.context.settle(&worth).map(drop)
    }

    fn judge(&mut self, cell: Cell, best: f64) -> Result<Judgement, Cancelled> {
        let (d, radius_rad) = (cell.centre(), cell.radius_rad());
        let margin_rad = self.context.margin_rad(cell);
        let bound = self.outline(cell);
        if bound == f64::INFINITY || bound >= best {
            return Ok(Judgement { bound, found: None });
        }
        let standing = self.context.standing(cell)?;
        let hopeless = match standing {
            Standing::Broken => true,
            // No draw of it is farther from its centre, which is broken.
            Standing::BrokenAtCentre => radius_rad < self.wanted_rad,
            _ => false,
        };
        if hopeless {
            return Ok(Judgement::NONE);
        }
        let mut found = None;
        if margin_rad >= self.wanted_rad.max(-MET_RAD) && standing != Standing::BrokenAtCentre {
            if self.wanted_rad > 0.0 {
                let ask = Ask {
                    hopeless_rad: self.ridge_rad - radius_rad,
                    ..Ask::whether(self.ridge_rad, self.near_rad.max(radius_rad * 0.25))
                };
                let pair = self.context.ridge_distance(&d, &ask)?;
                if pair.upper_rad + radius_rad < self.ridge_rad {
                    return Ok(Judgement::NONE);
                }
                found = (pair.lower_rad >= self.ridge_rad).then_some(d);
            } else if standing != Standing::Undecided {
                found = Some(d);
            }
        } else if self.wanted_rad <= 0.0 {
            found = acceptable_near(self.context, cell)?;
        }
        Ok(Judgement {
            bound,
            found: found.map(|d| (d, total_tilt_rad(&d))),
        })
    }
}
