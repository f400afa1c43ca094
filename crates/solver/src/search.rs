//! Global search over the chart of tilts, by branch and bound.
//!
//! Every quantity searched for is a distance on the sphere, so it is 1-Lipschitz in the angle of
//! the draw: a chart cell of circumscribed radius `r` cannot hold a value more than `r` above the
//! value at its centre. Cells are split best first until the bound meets the value found. Nothing
//! is random and ties are broken by the cell's place, so the answer is the same on every run.

use crate::control::{Cancelled, Control};
use crate::field::Field;
use crate::ridge_map::RidgeMap;
use crate::sphere::from_chart;
use std::cmp::Ordering;
use std::collections::{BinaryHeap, HashMap};
use tiltbench_geometry::tolerance::MET_RAD;
use tiltbench_geometry::{UnitVector3, Vector2};

/// Radians. Gap between the value found and its upper bound at which a search stops. Tuned: 0.004
/// degree, well below the 0.05 degree within which allowances count as equal; smaller costs cells
/// along plateaus, larger shows in allowances (`survey` would notice).
pub(crate) const SEARCH_GAP_RAD: f64 = 0.004 * std::f64::consts::PI / 180.0;

/// Halvings of the chart at the most; its cells are then far below any angle that is judged.
const DEEPEST: u32 = 24;

/// A square cell of the chart disc, as `2^level` by `2^level` of them.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Cell {
    level: u32,
    at: [i32; 2],
    /// The largest is split first.
    promise: f64,
}

impl Eq for Cell {}

impl Ord for Cell {
    fn cmp(&self, other: &Self) -> Ordering {
        self.promise
            .total_cmp(&other.promise)
            .then(other.level.cmp(&self.level))
            .then(other.at.cmp(&self.at))
    }
}

impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// The square about flat that holds every tilt up to a reach.
#[derive(Debug, Clone, Copy)]
struct Square {
    side: f64,
}

impl Square {
    fn centre(self, level: u32, at: [i32; 2]) -> Vector2<f64> {
        let size = self.side / f64::from(1u32 << level);
        Vector2::new(f64::from(at[0]) + 0.5, f64::from(at[1]) + 0.5) * size
            - Vector2::repeat(self.side * 0.5)
    }

    fn radius(self, level: u32) -> f64 {
        self.side / f64::from(1u32 << level) * std::f64::consts::FRAC_1_SQRT_2
    }
}

const ROOT: [i32; 2] = [0, 0];

/// The chart of one problem: wall margins already computed are kept between searches.
#[derive(Debug, Default)]
pub(crate) struct Chart {
    margins: HashMap<(u32, [i32; 2]), Margins>,
}

/// Of limits with a closed form, radians.
#[derive(Debug, Clone, Copy)]
struct Margins {
    setting: f64,
    preference: f64,
}

/// What a draw is worth to a search, radians.
struct Worth {
    /// Its setting allowance.
    allowance: f64,
    /// Negative where a preference is broken.
    preference: f64,
}

impl Worth {
    /// Whether preferences are met.
    fn is_liked(&self) -> bool {
        self.preference >= -MET_RAD
    }

    /// Whether they may be within an angle.
    fn may_be_liked(&self, within_rad: f64) -> bool {
        self.preference >= -MET_RAD - within_rad
    }
}

impl Chart {
    /// What a cell's centre is worth, by wall margins and the ridge's map.
    fn worth(
        &mut self,
        field: &Field<'_>,
        map: &RidgeMap,
        cell: (u32, [i32; 2]),
        d: &UnitVector3<f64>,
    ) -> Worth {
        let Margins {
            setting,
            preference,
        } = *self.margins.entry(cell).or_insert_with(|| Margins {
            setting: field.setting_margin(d),
            preference: field.preference_margin(d),
        });
        Worth {
            allowance: if setting <= 0.0 {
                setting
            } else {
                setting.min(map.clearance_rad(d))
            },
            preference,
        }
    }

    /// The draw with the largest allowance among those that meet all preferences, and that value,
    /// within [`SEARCH_GAP_RAD`] of the upper bound over all of them. Negative when none is allowed.
    pub(crate) fn widest(
        &mut self,
        field: &Field<'_>,
        map: &RidgeMap,
    ) -> Result<(UnitVector3<f64>, f64), Cancelled> {
        let square = Square {
            side: 2.0 * field.reach_rad(),
        };
        let flat = from_chart(Vector2::zeros());
        let worth = self.worth(field, map, (0, ROOT), &flat);
        let mut best = (flat, f64::NEG_INFINITY);
        if worth.is_liked() {
            best.1 = worth.allowance;
        }
        let mut heap = BinaryHeap::from([Cell {
            level: 0,
            at: ROOT,
            promise: f64::INFINITY,
        }]);
        while let Some(cell) = heap.pop() {
            if cell.promise <= best.1 + SEARCH_GAP_RAD {
                break;
            }
            if field.control.cancelled() {
                return Err(Cancelled);
            }
            for (level, at) in children(cell) {
                let d = from_chart(square.centre(level, at));
                let worth = self.worth(field, map, (level, at), &d);
                if worth.is_liked() && worth.allowance > best.1 {
                    best = (d, worth.allowance);
                }
                let radius = square.radius(level);
                let promise = worth.allowance + radius;
                let may_be_better = promise > best.1 + SEARCH_GAP_RAD && worth.may_be_liked(radius);
                if may_be_better && level < DEEPEST {
                    heap.push(Cell { level, at, promise });
                }
            }
        }
        Ok(best)
    }

    /// The draw of least total tilt that meets all preferences and whose allowance reaches `wanted_rad`;
    /// `None` if no draw does.
    pub(crate) fn flattest(
        &mut self,
        field: &Field<'_>,
        map: &RidgeMap,
        wanted_rad: f64,
    ) -> Result<Option<UnitVector3<f64>>, Cancelled> {
        let square = Square {
            side: 2.0 * field.reach_rad(),
        };
        let flat = from_chart(Vector2::zeros());
        let worth = self.worth(field, map, (0, ROOT), &flat);
        if worth.is_liked() && worth.allowance >= wanted_rad {
            return Ok(Some(flat));
        }
        let mut best: Option<(UnitVector3<f64>, f64)> = None;
        let mut heap = BinaryHeap::from([Cell {
            level: 0,
            at: ROOT,
            promise: 0.0,
        }]);
        while let Some(cell) = heap.pop() {
            if best.is_some_and(|(_, tilt)| -cell.promise >= tilt - SEARCH_GAP_RAD) {
                break;
            }
            if field.control.cancelled() {
                return Err(Cancelled);
            }
            for (level, at) in children(cell) {
                let centre = square.centre(level, at);
                let (d, radius) = (from_chart(centre), square.radius(level));
                let worth = self.worth(field, map, (level, at), &d);
                let value = worth.allowance;
                let is_flatter = best.is_none_or(|(_, tilt)| centre.norm() < tilt);
                if worth.is_liked() && value >= wanted_rad && is_flatter {
                    best = Some((d, centre.norm()));
                }
                let may_reach = value + radius >= wanted_rad && worth.may_be_liked(radius);
                if may_reach && radius > SEARCH_GAP_RAD / 2.0 {
                    heap.push(Cell {
                        level,
                        at,
                        promise: radius - centre.norm(),
                    });
                }
            }
        }
        Ok(best.map(|(d, _)| d))
    }
}

/// Least value of a function of the draw over the chart disc of radius `reach_rad`, given the
/// steepest slope it can have per radian, to within `gap`; any value of at most `enough` will do.
pub(crate) fn minimise(
    reach_rad: f64,
    steepest_per_rad: f64,
    gap: f64,
    enough: f64,
    control: &dyn Control,
    mut value: impl FnMut(&UnitVector3<f64>) -> f64,
) -> Result<(UnitVector3<f64>, f64), Cancelled> {
    let square = Square {
        side: 2.0 * reach_rad,
    };
    let flat = from_chart(Vector2::zeros());
    let mut best = (flat, value(&flat));
    let mut heap = BinaryHeap::from([Cell {
        level: 0,
        at: ROOT,
        promise: f64::INFINITY,
    }]);
    while let Some(cell) = heap.pop() {
        if -cell.promise >= best.1 - gap || best.1 <= enough {
            break;
        }
        if control.cancelled() {
            return Err(Cancelled);
        }
        for (level, at) in children(cell) {
            let centre = square.centre(level, at);
            let radius = square.radius(level);
            if centre.norm() - radius > reach_rad {
                continue;
            }
            let d = from_chart(centre);
            let at_centre = value(&d);
            if at_centre < best.1 && centre.norm() <= reach_rad {
                best = (d, at_centre);
            }
            let low = at_centre - steepest_per_rad * radius;
            if low < best.1 - gap && level < DEEPEST {
                heap.push(Cell {
                    level,
                    at,
                    promise: -low,
                });
            }
        }
    }
    Ok(best)
}

fn children(cell: Cell) -> [(u32, [i32; 2]); 4] {
    let [i, j] = cell.at.map(|n| n * 2);
    let level = cell.level + 1;
    [
        (level, [i, j]),
        (level, [i + 1, j]),
        (level, [i, j + 1]),
        (level, [i + 1, j + 1]),
    ]
}
