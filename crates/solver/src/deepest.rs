//! By how much a limit of the ridge is overrun at the most, over all draws within an angle of one.
//!
//! The same cells, and the same way through them, as for a distance ([`crate::distance`]); here the bound is
//! on the value.

use crate::cell::{Cell, Ranked};
use crate::control::Cancelled;
use crate::depth_tree::{DepthTree, ZoneBounds};
use crate::distance::take;
use crate::field::Field;
use crate::sphere::angle_between;
use std::collections::BinaryHeap;
use tiltbench_geometry::UnitVector3;

/// mm. How closely it is told: what a hand can step. Tuned: smaller reads more cells, larger asks for a step
/// more than is needed, which is then taken back.
const GAP_MM: f64 = 0.1;

/// Cells that one question takes up at the most; where it ends there it says more than is true.
const CELLS_AT_MOST: usize = 120;

/// Radians. Cells are cut down to this: a sixth of a degree.
const FINEST_RAD: f64 = std::f64::consts::PI / 180.0 / 6.0;

/// No draw within `radius_rad` of `d` overruns a limit of the ridge (an index into the field's) by more
/// than this, mm; and some draw does by no more than a little less. Where it is overrun by nothing: 0.
pub(crate) fn overrun_within_mm(
    field: &Field<'_>,
    tree: &mut DepthTree<'_>,
    limit: usize,
    d: &UnitVector3<f64>,
    radius_rad: f64,
) -> Result<f64, Cancelled> {
    let limit = &field.limits[limit];
    let overrun = |zones: &[ZoneBounds], of: fn(&ZoneBounds) -> f64| {
        let depths: Vec<f64> = zones.iter().map(of).collect();
        limit.overrun(field.ridge_value(limit, &depths))
    };
    let deepest = Cell::level_of(FINEST_RAD);
    let tiles = Cell::tiles_about(d, radius_rad).into_iter();
    let mut open: BinaryHeap<Ranked> = tiles
        .map(|cell| Ranked {
            rank: f64::NEG_INFINITY,
            cell,
        })
        .collect();
    let (mut found_mm, mut left_mm, mut taken) = (0.0_f64, 0.0_f64, 0);
    loop {
        let most_mm = open.peek().map_or(0.0, |next| 0.0 - next.rank);
        // Whether it is overrun at all is told as closely as cells are cut.
        let gap_mm = if found_mm > 0.0 { GAP_MM } else { 0.0 };
        if most_mm <= found_mm + gap_mm || taken >= CELLS_AT_MOST {
            return Ok(most_mm.max(found_mm).max(left_mm));
        }
        let batch = take(&mut open, -found_mm - gap_mm);
        taken += batch.len();
        let cells: Vec<Cell> = batch.iter().map(|ranked| ranked.cell).collect();
        tree.read(&cells, field.control)?;
        for Ranked { rank, cell } in batch {
            let zones = tree.bounds(cell);
            let most_mm = overrun(&zones, |zone| zone.most_mm).min(0.0 - rank);
            if angle_between(d, &cell.centre()) <= radius_rad {
                found_mm = found_mm.max(overrun(&zones, |zone| zone.surely_mm));
            }
            found_mm = found_mm.max(overrun(&zones, |zone| zone.least_mm));
            let gap_mm = if found_mm > 0.0 { GAP_MM } else { 0.0 };
            if most_mm <= found_mm + gap_mm || cell.level() >= deepest {
                left_mm = left_mm.max(most_mm);
            } else {
                let children = cell.children().into_iter();
                let near = children.filter(|child| child.least_angle_rad(d) <= radius_rad);
                open.extend(near.map(|cell| Ranked {
                    rank: 0.0 - most_mm,
                    cell,
                }));
            }
        }
    }
}
