//! The cast seen along one draw: a plan across the draw, heights along it, and the question every
//! reading is made of: what lies over a point, and under it.
//!
//! All lines asked about run along the draw. So instead of a tree for lines of any direction the facets
//! are listed, once per draw, in the cells of a plane grid across the draw, and a line needs the one
//! cell it stands on. Every facet over a point of a cell is listed in that cell, so nothing is missed,
//! and questions are answered with the facets themselves, in `f64`.
//!
//! No leak: the side of a shared edge a point lies on is computed from the edge's ends in one fixed
//! order, so two neighbours agree on it to the last bit. Facets own their border: a point on an edge
//! lies on both.

mod plan;
mod tile;

pub(crate) use plan::{Axes, Frame, Plan};

use super::stop::{Stop, never};
use super::surface::Surface;
use crate::tolerance::MET_RAD;
use nalgebra::Point3;
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed};
pub(crate) use tile::Tile;
use tile::{Listed, span_in_band};

/// The cast along one draw.
#[derive(Debug)]
pub(crate) struct View<'a> {
    pub(crate) surface: &'a Surface,
    pub(crate) axes: Axes,
    /// Plan position and height of each vertex.
    pub(crate) points: Vec<[f64; 3]>,
    /// 1 toward the draw, -1 away from it, 0 parallel to it or without area.
    pub(crate) facing: Vec<i8>,
    tiles: Vec<Tile>,
    /// The part of the plan that is listed.
    pub(crate) frame: Frame,
    cell: f64,
    per_cell: f64,
    columns: usize,
    rows: usize,
    starts: Vec<u32>,
    listed: Vec<Listed>,
}

impl<'a> View<'a> {
    /// The whole surface along `up`, or what of it matters inside a rectangle of the plan.
    pub(crate) fn new(surface: &'a Surface, axes: Axes, wanted: Option<Frame>) -> Self {
        Self::try_new(surface, axes, wanted, &never)
            .unwrap_or_else(|| unreachable!("nothing stops it"))
    }

    /// As [`View::new`]; `None` if it was stopped.
    pub(crate) fn try_new(
        surface: &'a Surface,
        axes: Axes,
        wanted: Option<Frame>,
        stop: &Stop<'_>,
    ) -> Option<Self> {
        let points: Vec<[f64; 3]> = surface
            .vertices()
            .par_iter()
            .map(|p| {
                let ([x, y], h) = axes.see(&p.coords);
                [x, y, h]
            })
            .collect();
        let parallel = MET_RAD.sin();
        let facing = surface
            .normals
            .par_iter()
            .map(|n| {
                let lean = n.dot(&axes.up);
                i8::from(lean > parallel) - i8::from(lean < -parallel)
            })
            .collect();
        if stop() {
            return None;
        }
        let halted = AtomicBool::new(false);
        let tiles: Vec<Tile> = surface
            .triangles
            .par_iter()
            .enumerate()
            .map(|(facet, t)| {
                if facet % CHUNK == 0 && stop() {
                    halted.store(true, Relaxed);
                }
                if halted.load(Relaxed) {
                    Tile::default()
                } else {
                    Tile::new(t.map(|v| points[v as usize]))
                }
            })
            .collect();
        if stop() {
            return None;
        }
        // A vertex that no facet has may lie anywhere.
        let finite = points.iter().filter(|p| p.iter().all(|x| x.is_finite()));
        let all = Frame::around(finite.map(|p| [p[0], p[1]]));
        let frame = match wanted {
            Some(wanted) => Frame {
                low: [0, 1].map(|k| all.low[k].max(wanted.low[k])),
                high: [0, 1].map(|k| all.high[k].min(wanted.high[k])),
            },
            None => all,
        };
        let mut view = Self {
            surface,
            axes,
            points,
            facing,
            tiles,
            frame,
            cell: 0.0,
            per_cell: 0.0,
            columns: 0,
            rows: 0,
            starts: vec![0],
            listed: Vec::new(),
        };
        view.list(stop)?;
        Some(view)
    }

    pub(crate) fn see_point(&self, p: &Point3<f64>) -> (Plan, f64) {
        self.axes.see(&p.coords)
    }

    /// Lists the facets in the cells of the grid. The cells grow until they are few enough beside
    /// the facets: stray vertices and needles cost speed, not memory. `None` if it was stopped.
    fn list(&mut self, stop: &Stop<'_>) -> Option<()> {
        let count = self.tiles.len();
        let size = [0, 1].map(|k| self.frame.high[k] - self.frame.low[k]);
        if count == 0 || !(size[0] >= 0.0 && size[1] >= 0.0) {
            return Some(());
        }
        let most_cells = 4.0 * count as f64 + 64.0;
        let least = size[0].max(size[1]) * 1e-6;
        let mut cell = self.surface.grain_mm().max(least).max(1e-9);
        let chunks = loop {
            let cells = (size[0] / cell + 1.0) * (size[1] / cell + 1.0);
            if cells <= most_cells {
                self.cell = cell;
                self.per_cell = 1.0 / cell;
                self.columns = index(size[0] * self.per_cell) + 1;
                self.rows = index(size[1] * self.per_cell) + 1;
                let chunks = self.cells_under_all(64 * count + 1024, stop);
                if stop() {
                    return None;
                }
                if let Some(chunks) = chunks {
                    break chunks;
                }
            }
            cell *= 1.5;
        };
        let mut starts = vec![0_u32; self.columns * self.rows + 1];
        for &(cell, _) in chunks.iter().flatten() {
            starts[cell as usize + 1] += 1;
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut next = starts.clone();
        let mut listed = vec![Listed::default(); starts[starts.len() - 1] as usize];
        for chunk in &chunks {
            if stop() {
                return None;
            }
            for &(cell, facet) in chunk {
                let place = &mut next[cell as usize];
                listed[*place as usize] = facet;
                *place += 1;
            }
        }
        self.starts = starts;
        self.listed = listed;
        Some(())
    }

    /// Every cell and facet to be listed, in the order of the facets; `None` if there are more than
    /// `most`.
    fn cells_under_all(&self, most: usize, stop: &Stop<'_>) -> Option<Vec<Vec<(u32, Listed)>>> {
        let count = self.tiles.len();
        let total = AtomicUsize::new(0);
        let chunks: Vec<Vec<(u32, Listed)>> = (0..count.div_ceil(CHUNK))
            .into_par_iter()
            .map(|chunk| {
                if stop() {
                    return Vec::new();
                }
                let first = chunk * CHUNK;
                let mut found = Vec::with_capacity(6 * CHUNK);
                let mut told = 0;
                for tile in first..(first + CHUNK).min(count) {
                    let listed = Listed::new(small(tile), &self.tiles[tile]);
                    self.cells_under(tile, |cell| found.push((cell, listed)));
                    // No facet has more cells than there are, which are few beside the facets; so
                    // asking after each facet keeps the memory bounded.
                    if found.len() - told > CHUNK {
                        total.fetch_add(found.len() - told, Relaxed);
                        told = found.len();
                        if total.load(Relaxed) > most {
                            break;
                        }
                    }
                }
                total.fetch_add(found.len() - told, Relaxed);
                found
            })
            .collect();
        (total.into_inner() <= most).then_some(chunks)
    }

    fn column(&self, x: f64) -> usize {
        index((x - self.frame.low[0]) * self.per_cell).min(self.columns.saturating_sub(1))
    }

    fn row(&self, y: f64) -> usize {
        index((y - self.frame.low[1]) * self.per_cell).min(self.rows.saturating_sub(1))
    }

    /// Every cell that some point of the facet lies in, a little generously.
    fn cells_under(&self, tile: usize, mut visit: impl FnMut(u32)) {
        let corners = &self.tiles[tile].corners;
        let pad = 1e-6 * self.cell;
        let around = Frame::around(corners.map(|p| [p[0], p[1]])).grown(pad);
        if !around.meets(&self.frame) {
            return;
        }
        let (first, last) = (self.row(around.low[1]), self.row(around.high[1]));
        let compact =
            self.column(around.high[0]) - self.column(around.low[0]) < 2 || last - first < 1;
        for row in first..=last {
            let (mut low, mut high) = (around.low[0], around.high[0]);
            if !compact {
                let bottom = self.frame.low[1] + row as f64 * self.cell - pad;
                let top = bottom + self.cell + 2.0 * pad;
                (low, high) = span_in_band(corners, bottom, top);
                low -= pad;
                high += pad;
                if low > high {
                    continue;
                }
            }
            if high < self.frame.low[0] || low > self.frame.high[0] {
                continue;
            }
            for column in self.column(low)..=self.column(high) {
                visit(small(row * self.columns + column));
            }
        }
    }

    fn in_cell(&self, column: usize, row: usize) -> &[Listed] {
        let cell = row * self.columns + column;
        &self.listed[self.starts[cell] as usize..self.starts[cell + 1] as usize]
    }

    fn at(&self, x: Plan) -> &[Listed] {
        if self.cell > 0.0 && self.frame.contains(x) {
            self.in_cell(self.column(x[0]), self.row(x[1]))
        } else {
            &[]
        }
    }

    /// Height of a listed facet over `x`; `None` beside it or if it is parallel to the draw.
    fn height_over(&self, listed: Listed, x: Plan) -> Option<f64> {
        let facet = listed.facet as usize;
        let height = self.tiles[facet].height_over(x)?;
        (self.facing[facet] != 0).then_some(height)
    }

    /// Whether some facet but `own` lies over `x` above `height`.
    pub(crate) fn covered(&self, x: Plan, height: f64, own: Option<u32>) -> bool {
        self.at(x).iter().any(|&listed| {
            listed.reaches_above(height)
                && Some(listed.facet) != own
                && self.height_over(listed, x).is_some_and(|h| h > height)
        })
    }

    /// The next facet but `own` above `height`, a copy told as the first of its kind, and its height
    /// there.
    pub(crate) fn next_above(&self, x: Plan, height: f64, own: u32) -> Option<(u32, f64)> {
        let mut best = f64::INFINITY;
        let mut next = None;
        for &listed in self.at(x) {
            if listed.reaches_above(height)
                && listed.reaches_below(best)
                && listed.facet != own
                && let Some(h) = self.height_over(listed, x)
                && h > height
                && h < best
            {
                best = h;
                next = Some(listed.facet);
            }
        }
        let first = &self.surface.seams.first;
        next.map(|facet| (first[facet as usize], best))
    }

    /// Height of the next facet but `own` below `height`; minus infinity if there is none.
    pub(crate) fn next_below(&self, x: Plan, height: f64, own: u32) -> f64 {
        let mut best = f64::NEG_INFINITY;
        for &listed in self.at(x) {
            if listed.reaches_above(best)
                && listed.reaches_below(height)
                && listed.facet != own
                && let Some(h) = self.height_over(listed, x)
                && h < height
            {
                best = best.max(h);
            }
        }
        best
    }
}

/// Facets listed by one task.
const CHUNK: usize = 4096;

/// Whole part of a number that is not negative; 0 below.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "saturates, and is clamped to the grid"
)]
fn index(x: f64) -> usize {
    x.max(0.0) as usize
}

/// A count that is known to fit: facets are numbered by `u32`, cells are at most a few per facet.
fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests;
