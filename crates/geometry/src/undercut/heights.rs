//! How high and how low the scan reaches near a place, roughly and fast: what bounds the ways out of
//! draws that were not read.
//!
//! The facets are sorted, once, into cubes; for a draw the boxes around each cube's facets are laid into
//! the cells of a plane grid. What is told is never less than the truth.

use super::plan::{Axes, Frame, Plan};
use super::surface::Surface;
use nalgebra::Vector3;

/// Millimetres. Side of the cubes, and of the cells.
/// Tuned: 1. Smaller costs time with each draw, larger tells of scan that is not near.
const SIDE_MM: f64 = 1.0;

/// Boxes at most: a scan larger than this is no jaw, and its boxes get larger.
const MOST_BOXES: usize = 100_000;

/// Cells at most.
const MOST_CELLS: f64 = 1e5;

/// A box along the axes of the cast.
#[derive(Debug, Clone, Copy)]
struct Block {
    middle: Vector3<f64>,
    half: Vector3<f64>,
}

/// Boxes that hold all facets.
#[derive(Debug)]
pub(crate) struct Blocks(Vec<Block>);

impl Blocks {
    pub(crate) fn new(surface: &Surface) -> Self {
        let mut side_mm = SIDE_MM;
        loop {
            let blocks = Self::of_side(surface, side_mm);
            if blocks.len() <= MOST_BOXES {
                return Self(blocks);
            }
            side_mm *= 2.0;
        }
    }

    fn of_side(surface: &Surface, side_mm: f64) -> Vec<Block> {
        let mut keyed: Vec<([i32; 3], usize)> = (0..surface.triangles.len())
            .map(|facet| {
                let [a, b, c] = surface.corners(facet);
                let middle = (a.coords + b.coords + c.coords) / 3.0;
                (super::patches::cube(&middle.into(), side_mm), facet)
            })
            .collect();
        keyed.sort_unstable();
        let around = |facets: &[([i32; 3], usize)]| {
            let mut low = Vector3::repeat(f64::INFINITY);
            let mut high = Vector3::repeat(f64::NEG_INFINITY);
            for corner in facets.iter().flat_map(|(_, facet)| surface.corners(*facet)) {
                low = low.inf(&corner.coords);
                high = high.sup(&corner.coords);
            }
            Block {
                middle: 0.5 * (low + high),
                half: 0.5 * (high - low),
            }
        };
        keyed.chunk_by(|a, b| a.0 == b.0).map(around).collect()
    }
}

/// How high and how low the scan reaches over the cells of a plan.
#[derive(Debug)]
pub(crate) struct Heights {
    frame: Frame,
    side_mm: f64,
    columns: i64,
    rows: i64,
    /// Least and greatest height in each cell.
    cells: Vec<[f64; 2]>,
    /// Of all.
    pub(crate) range: [f64; 2],
}

impl Heights {
    /// Of what lies over a rectangle of the plan.
    pub(crate) fn new(blocks: &Blocks, axes: &Axes, wanted: Frame) -> Self {
        let size = [0, 1].map(|k| (wanted.high[k] - wanted.low[k]).max(0.0));
        let mut side_mm = SIDE_MM;
        while (size[0] / side_mm + 1.0) * (size[1] / side_mm + 1.0) > MOST_CELLS {
            side_mm *= 2.0;
        }
        let count = |k: usize| 1 + floor(size[k] / side_mm).max(0);
        let mut heights = Self {
            frame: wanted,
            side_mm,
            columns: count(0),
            rows: count(1),
            cells: Vec::new(),
            range: EMPTY,
        };
        let cells = usize::try_from(heights.columns * heights.rows).unwrap_or(0);
        heights.cells = vec![EMPTY; cells];
        for block in &blocks.0 {
            heights.lay(block, axes);
        }
        heights
    }

    fn lay(&mut self, block: &Block, axes: &Axes) {
        let (at, height) = axes.see(&block.middle);
        // Most lie beside what is asked for.
        let around = block.half.sum();
        let is_beside =
            |k: usize| at[k] + around < self.frame.low[k] || at[k] - around > self.frame.high[k];
        if is_beside(0) || is_beside(1) {
            return;
        }
        let reach = |axis: &Vector3<f64>| axis.abs().dot(&block.half);
        let half = [reach(&axes.right), reach(&axes.ahead)];
        let low = [0, 1].map(|k| floor((at[k] - half[k] - self.frame.low[k]) / self.side_mm));
        let high = [0, 1].map(|k| floor((at[k] + half[k] - self.frame.low[k]) / self.side_mm));
        let up = reach(&axes.up);
        let own = [height - up, height + up];
        for row in low[1].max(0)..=high[1].min(self.rows - 1) {
            for column in low[0].max(0)..=high[0].min(self.columns - 1) {
                if let Some(cell) = self.slot(column, row) {
                    self.cells[cell] = both(self.cells[cell], own);
                    self.range = both(self.range, own);
                }
            }
        }
    }

    fn slot(&self, column: i64, row: i64) -> Option<usize> {
        let within = (0..self.columns).contains(&column) && (0..self.rows).contains(&row);
        let slot = usize::try_from(row * self.columns + column).ok()?;
        within.then_some(slot)
    }

    /// Visits the cells within a distance of a place, with the square of how far each is at least.
    fn near(&self, x: Plan, within_mm: f64, mut visit: impl FnMut(f64, [f64; 2])) {
        let span = |k: usize, most: i64| {
            let low = floor((x[k] - within_mm - self.frame.low[k]) / self.side_mm);
            let high = floor((x[k] + within_mm - self.frame.low[k]) / self.side_mm);
            low.max(0)..=high.min(most - 1)
        };
        let away = |k: usize, cell: i64| {
            let low = self.frame.low[k] + cell as f64 * self.side_mm;
            (low - x[k]).max(x[k] - low - self.side_mm).max(0.0)
        };
        let within2 = within_mm * within_mm;
        for row in span(1, self.rows) {
            let ahead = away(1, row);
            for column in span(0, self.columns) {
                let aside = away(0, column);
                let far2 = ahead * ahead + aside * aside;
                if let Some(cell) = self.slot(column, row)
                    && far2 <= within2
                {
                    visit(far2, self.cells[cell]);
                }
            }
        }
    }

    /// A height over a place, at least `from`, from which no draw within an angle meets the scan.
    ///
    /// Derivation: a line within that angle of the draw that rises by `h` has moved by at most
    /// `h tan(angle)`, so scan at a distance `rho` and a height `top` is out of reach from
    /// `top - rho / tan(angle)` on.
    pub(crate) fn clear(&self, x: Plan, from: f64, angle_rad: f64) -> f64 {
        let tan = tangent(angle_rad);
        let mut clear = from;
        let reach_mm = ((self.range[1] - from).max(0.0) * tan).min(self.reach());
        self.near(x, reach_mm, |far2, [_, top]| {
            if top > clear {
                let lower = if far2 > 0.0 { far2.sqrt() / tan } else { 0.0 };
                clear = clear.max(top - lower);
            }
        });
        clear
    }

    /// Least and greatest height within a distance of a place; the greatest first if there is none.
    pub(crate) fn within(&self, x: Plan, within_mm: f64) -> [f64; 2] {
        let mut range = EMPTY;
        self.near(x, within_mm.min(self.reach()), |_, cell| {
            range = both(range, cell);
        });
        range
    }

    fn reach(&self) -> f64 {
        (self.columns + self.rows) as f64 * self.side_mm
    }
}

const EMPTY: [f64; 2] = [f64::INFINITY, f64::NEG_INFINITY];

fn both(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0].min(b[0]), a[1].max(b[1])]
}

/// Tangent of an angle that is not negative; without bound at a right angle.
pub(crate) fn tangent(angle_rad: f64) -> f64 {
    if angle_rad < std::f64::consts::FRAC_PI_2 {
        angle_rad.tan()
    } else {
        f64::INFINITY
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "saturates; far cells are empty"
)]
fn floor(x: f64) -> i64 {
    (x.floor() as i64).clamp(-1_000_000_000, 1_000_000_000)
}
