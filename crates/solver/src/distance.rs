//! How far a draw is from the nearest one that breaks a limit of the ridge, as a proved pair.
//!
//! Cells are taken up by their least angle to the draw. One that is proved to meet all limits is done; one
//! whose centre breaks a limit bounds the distance from above; what is left undecided is cut into four. No
//! draw nearer than the first cell that is left breaks a limit, so the pair closes from both sides.
//!
//! The answer depends on the problem and the draw alone, not on what was asked before: cells are the same
//! for every question, and here each question goes down from the tiles by itself.

use crate::cell::{Cell, Ranked};
use crate::control::Cancelled;
use crate::depth_tree::{BATCH, DepthTree};
use crate::field::{Field, Standing};
use crate::sphere::angle_between;
use std::collections::BinaryHeap;
use tiltbench_geometry::UnitVector3;

/// Cells that one question takes up at the most; where it ends there the pair is wider. Tuned: a border that
/// runs once around the draw takes some hundred; a bound on readings for any input.
const CELLS_AT_MOST: usize = 1500;

/// Pure number. Cells are cut until their radius is this part of the gap that is asked for; what is
/// undecided then (a depth that stands at its limit over an area) stays so. Tuned: 16, which lets a bound be
/// several times as steep as the depth itself; more is cells where a depth stands at its limit.
const PARTS: f64 = 16.0;

/// Pure number. Cells whose radius is this part of the gap are read by themselves.
/// Tuned: 2. Smaller reads cells that larger ones would have decided, larger cuts them further than it needs.
const CLOSE_PARTS: f64 = 2.0;

/// Two angles with the true one between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pair {
    /// Proved: no draw nearer breaks a limit.
    pub lower_rad: f64,
    /// Some draw at this angle breaks one, or it is all that was asked.
    pub upper_rad: f64,
}

/// What is asked of a distance.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_field_names, reason = "names carry their unit")]
pub(crate) struct Ask {
    /// Nothing beyond this matters.
    pub cap_rad: f64,
    /// The pair may be this far apart.
    pub gap_rad: f64,
    /// A lower figure of this much will do.
    pub enough_rad: f64,
    /// An upper figure of no more than this will do.
    pub hopeless_rad: f64,
}

impl Ask {
    /// A pair, nothing else.
    pub(crate) fn pair(cap_rad: f64, gap_rad: f64) -> Self {
        Self {
            cap_rad,
            gap_rad,
            enough_rad: f64::INFINITY,
            hopeless_rad: f64::NEG_INFINITY,
        }
    }

    /// Whether the distance reaches an angle.
    pub(crate) fn whether(reaches_rad: f64, gap_rad: f64) -> Self {
        Self {
            cap_rad: reaches_rad + gap_rad,
            gap_rad,
            enough_rad: reaches_rad,
            hopeless_rad: f64::NEG_INFINITY,
        }
    }
}

/// Distance from `d` to the nearest draw that breaks one of the ridge limits `asked` (indices into the
/// field's), at most the cap.
pub(crate) fn ridge_distance(
    field: &Field<'_>,
    tree: &mut DepthTree<'_>,
    asked: &[usize],
    d: &UnitVector3<f64>,
    ask: &Ask,
) -> Result<Pair, Cancelled> {
    let whole = Pair {
        lower_rad: ask.cap_rad,
        upper_rad: ask.cap_rad,
    };
    if asked.is_empty() || ask.cap_rad <= 0.0 {
        return Ok(whole);
    }
    let ranked = |cell: Cell| Ranked {
        rank: cell.least_angle_rad(d),
        cell,
    };
    let tiles = Cell::tiles_about(d, ask.cap_rad);
    let mut open: BinaryHeap<Ranked> = tiles.into_iter().map(ranked).collect();
    let deepest = Cell::level_of(ask.gap_rad / PARTS);
    let close = Cell::level_of(ask.gap_rad / CLOSE_PARTS);
    // No draw nearer than this breaks a limit, as far as undecided cells of the last level go.
    let (mut upper_rad, mut stuck_rad, mut taken) = (f64::INFINITY, f64::INFINITY, 0);
    loop {
        let next_rad = open.peek().map_or(f64::INFINITY, |next| next.rank);
        let known = upper_rad.min(ask.cap_rad);
        let lower_rad = next_rad.min(stuck_rad).min(known);
        let decided = lower_rad >= known - ask.gap_rad
            || lower_rad >= ask.enough_rad
            || known <= ask.hopeless_rad;
        if decided || stuck_rad <= next_rad || taken >= CELLS_AT_MOST {
            return Ok(Pair {
                lower_rad,
                upper_rad: known,
            });
        }
        let batch = take(&mut open, known - ask.gap_rad);
        taken += batch.len();
        let cells: Vec<Cell> = batch.iter().map(|ranked| ranked.cell).collect();
        tree.read(&cells, field.control)?;
        // Few of the smaller are worth a reading: most are met by what is known of the cell they lie in. Those
        // are whose centre seems to be broken nearer than any that is known, and the smallest.
        let is_near = |cell: &Cell| match field.standing(&tree.bounds(*cell), asked) {
            Standing::Met => false,
            Standing::Undecided if angle_between(d, &cell.centre()) < known => true,
            _ => cell.level() >= close,
        };
        let near: Vec<Cell> = cells.iter().copied().filter(is_near).collect();
        tree.read_close(&near, field.control)?;
        for Ranked { rank, cell } in batch {
            let standing = if near.contains(&cell) {
                field.standing(tree.bounds_close(cell), asked)
            } else {
                field.standing(&tree.bounds(cell), asked)
            };
            match standing {
                Standing::Met => continue,
                Standing::Broken => {
                    upper_rad = upper_rad.min(cell.least_angle_rad(d));
                    continue;
                }
                Standing::BrokenAtCentre => {
                    let off_rad = angle_between(d, &cell.centre());
                    let broken_rad = broken_about(field, tree, asked, cell);
                    upper_rad = upper_rad.min((off_rad - broken_rad).max(0.0));
                }
                Standing::MetAtCentre | Standing::Undecided => {}
            }
            if cell.level() >= deepest {
                stuck_rad = stuck_rad.min(rank);
                continue;
            }
            let children = cell.children().map(ranked);
            let near = children.into_iter().filter(|child| child.rank < known);
            open.extend(near.map(|child| Ranked {
                rank: child.rank.max(rank),
                ..child
            }));
        }
    }
}

/// Halvings of a cell's radius by which it is told how far about its centre a limit is broken. Tuned: 3, to an
/// eighth of the radius; more looks at the samples oftener than it saves readings.
const HALVINGS: u32 = 3;

/// An angle about a cell's centre within which every draw breaks a limit, given that the centre does.
fn broken_about(field: &Field<'_>, tree: &DepthTree<'_>, asked: &[usize], cell: Cell) -> f64 {
    let (mut broken_rad, mut step_rad) = (0.0, cell.radius_rad());
    for _ in 0..HALVINGS {
        step_rad *= 0.5;
        let within_rad = broken_rad + step_rad;
        let Some(least_mm) = tree.least_within_mm(cell, within_rad) else {
            return broken_rad;
        };
        if field.is_broken(&least_mm, asked) {
            broken_rad = within_rad;
        }
    }
    broken_rad
}

/// Takes the first few cells below a rank, one at least.
pub(crate) fn take(open: &mut BinaryHeap<Ranked>, below: f64) -> Vec<Ranked> {
    let mut batch: Vec<Ranked> = open.pop().into_iter().collect();
    while batch.len() < BATCH && open.peek().is_some_and(|next| next.rank < below) {
        batch.extend(open.pop());
    }
    batch
}
