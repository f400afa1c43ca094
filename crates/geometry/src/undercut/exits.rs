//! Places where covered air ends under the sky, nearest first.

use super::plan::{Frame, Plan};
use super::spans::{Span, nearest};
use super::tolerance::DEPTH_CAP_MM;
use super::undersides::NONE;

/// A place where a way may come out.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Exit {
    pub(crate) foot: [f64; 3],
    /// Square of its distance in plan.
    pub(crate) distance2: f64,
}

/// Pieces of spans under the sky, in the cells of a grid.
#[derive(Debug)]
pub(crate) struct Exits {
    /// In the order of their cells.
    pieces: Vec<[[f64; 3]; 2]>,
    frame: Frame,
    cell_mm: f64,
    columns: i64,
    rows: i64,
    starts: Vec<u32>,
    /// Of each cell: how many rings around it, and itself, hold nothing.
    empty: Vec<u16>,
}

/// Millimetres. Side of the cells; more where exits lie very far apart.
const CELL_MM: f64 = 0.5;

/// Cells at most: those of a square of half a metre.
const MOST_CELLS: f64 = 1e6;

impl Exits {
    pub(crate) fn new(spans: &[Span]) -> Self {
        let mut pieces = Vec::new();
        for span in spans.iter().filter(|span| span.above == NONE) {
            let [a, b] = span.ends;
            let count = whole((b[0] - a[0]).hypot(b[1] - a[1]) / CELL_MM) + 1;
            let at = |i: usize| {
                let t = i as f64 / count as f64;
                [0, 1, 2].map(|k| a[k] + t * (b[k] - a[k]))
            };
            pieces.extend((0..count).map(|i| [at(i), at(i + 1)]));
        }
        Self::sort(pieces)
    }

    fn sort(pieces: Vec<[[f64; 3]; 2]>) -> Self {
        let frame = Frame::around(pieces.iter().map(middle));
        let size = [0, 1].map(|k| (frame.high[k] - frame.low[k]).max(0.0));
        let mut cell_mm = CELL_MM;
        while (size[0] / cell_mm + 1.0) * (size[1] / cell_mm + 1.0) > MOST_CELLS {
            cell_mm *= 2.0;
        }
        let count = |k: usize| 1 + floor(size[k] / cell_mm).max(0);
        let mut exits = Self {
            columns: count(0),
            rows: count(1),
            frame,
            cell_mm,
            pieces,
            starts: Vec::new(),
            empty: Vec::new(),
        };
        let cells: Vec<usize> = exits
            .pieces
            .iter()
            .map(|piece| {
                let [column, row] = exits.cell(middle(piece));
                exits.slot(column, row).unwrap_or(0)
            })
            .collect();
        let slots = usize::try_from(exits.columns * exits.rows).unwrap_or(0);
        let mut starts = vec![0_u32; slots + 1];
        for &cell in &cells {
            starts[cell + 1] += 1;
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut order: Vec<(usize, usize)> = cells.into_iter().zip(0..).collect();
        order.sort_unstable();
        exits.pieces = order.iter().map(|&(_, i)| exits.pieces[i]).collect();
        exits.starts = starts;
        exits.count_empty();
        exits
    }

    /// How far the next cell that holds something is, for all cells: by two passes over the grid, each of
    /// which hands on what neighbours know.
    ///
    /// Source: Rosenfeld and Pfaltz, "Distance functions on digital pictures", Pattern Recognition 1
    /// (1968), 33-61: with steps to all eight neighbours the distance is that of the rings.
    fn count_empty(&mut self) {
        let (columns, rows) = (self.columns, self.rows);
        let mut empty: Vec<u16> = self
            .starts
            .windows(2)
            .map(|range| if range[0] < range[1] { 0 } else { u16::MAX - 1 })
            .collect();
        let before = [[-1, 0], [-1, -1], [0, -1], [1, -1]];
        let mut pass = |column: i64, row: i64, sign: i64| {
            let Some(slot) = self.slot(column, row) else {
                return;
            };
            for [right, ahead] in before {
                if let Some(other) = self.slot(column + sign * right, row + sign * ahead) {
                    empty[slot] = empty[slot].min(empty[other] + 1).min(u16::MAX - 1);
                }
            }
        };
        for row in 0..rows {
            for column in 0..columns {
                pass(column, row, 1);
            }
        }
        for row in (0..rows).rev() {
            for column in (0..columns).rev() {
                pass(column, row, -1);
            }
        }
        self.empty = empty;
    }

    /// Cell of a place, which may lie beside the grid.
    fn cell(&self, x: Plan) -> [i64; 2] {
        [0, 1].map(|k| floor((x[k] - self.frame.low[k]) / self.cell_mm))
    }

    /// Place of a cell's list; `None` beside the grid.
    fn slot(&self, column: i64, row: i64) -> Option<usize> {
        let within = (0..self.columns).contains(&column) && (0..self.rows).contains(&row);
        let slot = usize::try_from(row * self.columns + column).ok()?;
        within.then_some(slot)
    }

    /// The nearest exit within 10 mm, whatever lies between: looked for in square rings of cells.
    pub(crate) fn nearest(&self, x: Plan) -> Option<Exit> {
        if self.pieces.is_empty() {
            return None;
        }
        let mut best = Exit {
            foot: [0.0; 3],
            distance2: DEPTH_CAP_MM * DEPTH_CAP_MM,
        };
        let mut found = false;
        let [column, row] = self.cell(x);
        let margin = (0..2)
            .map(|k| {
                let within = (x[k] - self.frame.low[k]) / self.cell_mm - [column, row][k] as f64;
                within.min(1.0 - within) * self.cell_mm
            })
            .fold(f64::INFINITY, f64::min);
        let first = self.slot(column, row).map_or(0, |slot| self.empty[slot]);
        for ring in i64::from(first)..=floor(DEPTH_CAP_MM / self.cell_mm) + 2 {
            self.visit(column, row, ring, |piece| {
                let (foot, distance2) = nearest(piece, x);
                if distance2 < best.distance2 {
                    best = Exit { foot, distance2 };
                    found = true;
                }
            });
            // Pieces are listed by their middles, and are no longer than a cell was at first.
            let away = ring as f64 * self.cell_mm + margin - 0.5 * CELL_MM;
            if away > 0.0 && away * away >= best.distance2 {
                break;
            }
        }
        found.then_some(best)
    }

    fn visit(&self, column: i64, row: i64, ring: i64, mut each: impl FnMut(&[[f64; 3]; 2])) {
        for r in row - ring..=row + ring {
            let whole_row = r == row - ring || r == row + ring;
            let step = if whole_row { 1 } else { 2 * ring };
            let mut c = column - ring;
            while c <= column + ring {
                if let Some(slot) = self.slot(c, r) {
                    let these = self.starts[slot] as usize..self.starts[slot + 1] as usize;
                    self.pieces[these].iter().for_each(&mut each);
                }
                c += step;
            }
        }
    }
}

fn middle([a, b]: &[[f64; 3]; 2]) -> Plan {
    [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "never negative, and saturates"
)]
fn whole(x: f64) -> usize {
    x as usize
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "saturates; far cells are empty"
)]
fn floor(x: f64) -> i64 {
    (x.floor() as i64).clamp(-1_000_000_000, 1_000_000_000)
}
