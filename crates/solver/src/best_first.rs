//! Branch and bound over cells of draws: the least value of something, with a bound on any lesser one.
//!
//! A cell is taken up by the bound of the cell it was cut from, judged, and cut into four where it may hold
//! a value below the best by more than the gap. So what is found is the least to within the gap, unless cells
//! of the last level are left undecided or there are too many; then the bound says by how much it may be
//! missed. Nothing is random, ties are broken by the cell's place, and cells are taken up in batches of a
//! fixed size, so the answer is the same on every run and on any number of threads.
//!
//! Source: A. H. Land and A. G. Doig, "An automatic method of solving discrete programming problems",
//! Econometrica 28 (1960) 497-520, doi 10.2307/1910129; with Lipschitz bounds as P. Hansen and B. Jaumard,
//! "Lipschitz optimization", in Handbook of Global Optimization, 1995, ISBN 0-7923-3120-6.

use crate::cell::{Cell, Ranked};
use crate::control::{Cancelled, Control};
use crate::distance::take;
use std::collections::BinaryHeap;
use tiltbench_geometry::{UnitVector3, Vector3};

/// What is sought.
pub(crate) trait Goal {
    /// A bound of a cell that costs next to nothing, so that what matters is read first and the rest not at
    /// all.
    fn outline(&mut self, cell: Cell) -> f64;
    /// Looks at several cells before they are judged one by one: reads what they need, in parallel.
    fn prepare(&mut self, cells: &[Cell], best: f64) -> Result<(), Cancelled>;
    /// Judges a cell. `best` is the least value found so far.
    fn judge(&mut self, cell: Cell, best: f64) -> Result<Judgement, Cancelled>;
}

/// What is said of a cell.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Judgement {
    /// No draw of the cell has a lesser value; infinite where none counts at all.
    pub bound: f64,
    /// A draw that counts, and its value.
    pub found: Option<(UnitVector3<f64>, f64)>,
}

impl Judgement {
    /// No draw of the cell counts.
    pub(crate) const NONE: Self = Self {
        bound: f64::INFINITY,
        found: None,
    };
}

/// Where to look, and how closely.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Extent {
    /// Greatest total tilt.
    pub reach_rad: f64,
    /// Values this near are as good as each other.
    pub gap: f64,
    /// As are values that differ by no more than this part of them.
    pub gap_share: f64,
    /// Cells are cut down to this radius.
    pub finest_rad: f64,
    /// Cells taken up at the most.
    pub cells_at_most: usize,
}

/// What was found.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Least {
    /// The draw and its value; `None` where no draw counts, as far as the search went.
    pub best: Option<(UnitVector3<f64>, f64)>,
    /// No draw has a lesser value than this; infinite where it is proved that none counts.
    pub bound: f64,
    /// Cells that were taken up.
    pub cells: usize,
}

/// The least value over all draws within the reach. `seed` is a draw that is known to count.
pub(crate) fn least(
    goal: &mut dyn Goal,
    extent: &Extent,
    seed: Option<(UnitVector3<f64>, f64)>,
    control: &dyn Control,
) -> Result<Least, Cancelled> {
    let flat = UnitVector3::new_unchecked(Vector3::z());
    let within = |cell: &Cell| cell.least_angle_rad(&flat) <= extent.reach_rad;
    let deepest = Cell::level_of(extent.finest_rad);
    let mut open: BinaryHeap<Ranked> = Cell::tiles_about(&flat, extent.reach_rad)
        .into_iter()
        .map(|cell| Ranked {
            rank: goal.outline(cell),
            cell,
        })
        .collect();
    let mut best = seed;
    // No draw of what was laid aside has a lesser value than this.
    let (mut left, mut cells) = (f64::INFINITY, 0);
    let gap_of = |known: f64| {
        let share = extent.gap_share * known.abs();
        extent.gap + if share.is_finite() { share } else { 0.0 }
    };
    loop {
        let known = best.map_or(f64::INFINITY, |(_, value)| value);
        let next = open.peek().map_or(f64::INFINITY, |next| next.rank);
        if next >= known - gap_of(known) || next == f64::INFINITY || cells >= extent.cells_at_most {
            return Ok(Least {
                best,
                bound: next.min(left).min(known),
                cells,
            });
        }
        if control.cancelled() {
            return Err(Cancelled);
        }
        let batch = take(&mut open, known - gap_of(known));
        cells += batch.len();
        let of_batch: Vec<Cell> = batch.iter().map(|ranked| ranked.cell).collect();
        goal.prepare(&of_batch, known)?;
        for Ranked { rank, cell } in batch {
            let known = best.map_or(f64::INFINITY, |(_, value)| value);
            let judged = goal.judge(cell, known)?;
            if let Some((d, value)) = judged.found.filter(|(_, value)| *value < known) {
                best = Some((d, value));
            }
            let known = best.map_or(f64::INFINITY, |(_, value)| value);
            let bound = judged.bound.max(rank);
            if bound >= known - gap_of(known) || bound == f64::INFINITY || cell.level() >= deepest {
                left = left.min(bound);
                continue;
            }
            let children = cell.children().into_iter().filter(within);
            for cell in children {
                let rank = goal.outline(cell).max(bound);
                if rank < known - gap_of(known) && rank < f64::INFINITY {
                    open.push(Ranked { rank, cell });
                } else {
                    left = left.min(rank);
                }
            }
        }
    }
}
