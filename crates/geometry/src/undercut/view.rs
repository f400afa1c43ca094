//! The cast seen along one draw: a plan across the draw, heights along it, and the two questions
//! every reading is made of: what lies over a point, and what a straight line across the draw meets.
//!
//! All lines asked about run along the draw or across it. So instead of a tree for lines of any
//! direction the facets are listed, once per draw, in the cells of a plane grid across the draw.
//! A line along the draw needs the one cell it stands on; a line across it the cells it passes.
//! Every facet over a point of a cell is listed in that cell, so nothing is missed, and both
//! questions are answered with the facets themselves, in `f64`.
//!
//! No leak: the side of a shared edge a point lies on, and the place where a shared edge passes a
//! height, are computed from the edge's ends in one fixed order, so two neighbours agree on them to
//! the last bit. Facets own their border: a point on an edge lies on both.

use super::surface::Surface;
use crate::tolerance::MET_RAD;
use nalgebra::{Point3, Vector3};
use rayon::prelude::*;

/// Plan position across the draw.
pub(crate) type Plan = [f64; 2];

/// A rectangle of the plan.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Frame {
    pub(crate) low: Plan,
    pub(crate) high: Plan,
}

impl Frame {
    pub(crate) fn around(points: impl IntoIterator<Item = Plan>) -> Self {
        let mut frame = Self {
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
        };
        for p in points {
            frame.low = [frame.low[0].min(p[0]), frame.low[1].min(p[1])];
            frame.high = [frame.high[0].max(p[0]), frame.high[1].max(p[1])];
        }
        frame
    }

    pub(crate) fn grown(&self, by: f64) -> Self {
        Self {
            low: self.low.map(|x| x - by),
            high: self.high.map(|x| x + by),
        }
    }

    pub(crate) fn meets(&self, other: &Self) -> bool {
        (0..2).all(|k| self.low[k] <= other.high[k] && other.low[k] <= self.high[k])
    }

    pub(crate) fn contains(&self, p: Plan) -> bool {
        (0..2).all(|k| self.low[k] <= p[k] && p[k] <= self.high[k])
    }
}

/// A right-handed frame with the draw as its third axis.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Axes {
    pub(crate) right: Vector3<f64>,
    pub(crate) ahead: Vector3<f64>,
    pub(crate) up: Vector3<f64>,
}

impl Axes {
    pub(crate) fn along(up: Vector3<f64>) -> Self {
        // The axis the draw leans on least gives the best conditioned cross product.
        let least = up.iamin();
        let mut seed = Vector3::zeros();
        seed[(least + 1) % 3] = 1.0;
        if up[(least + 1) % 3].abs() > up[(least + 2) % 3].abs() {
            seed = Vector3::zeros();
            seed[(least + 2) % 3] = 1.0;
        }
        let right = seed.cross(&up);
        let right = right / right.norm();
        Self {
            right,
            ahead: up.cross(&right),
            up,
        }
    }

    /// Plan position and height of a vector.
    pub(crate) fn see(&self, v: &Vector3<f64>) -> (Plan, f64) {
        ([self.right.dot(v), self.ahead.dot(v)], self.up.dot(v))
    }
}

/// A facet in plan, its corners in a fixed order of place.
#[derive(Debug, Clone, Copy)]
struct Tile {
    corners: [[f64; 3]; 3],
    low: f64,
    high: f64,
}

/// What a line across the draw meets first.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Met {
    /// Share of the line before it.
    pub(crate) share: f64,
    pub(crate) facet: u32,
}

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
    columns: usize,
    rows: usize,
    starts: Vec<u32>,
    listed: Vec<u32>,
}

/// Twice the signed area of a, b, x, from the first end of the edge.
fn side(a: &[f64; 3], b: &[f64; 3], x: Plan) -> f64 {
    (b[0] - a[0]) * (x[1] - a[1]) - (b[1] - a[1]) * (x[0] - a[0])
}

impl Tile {
    fn new(mut corners: [[f64; 3]; 3]) -> Self {
        corners.sort_unstable_by(|a, b| {
            a[0].total_cmp(&b[0])
                .then(a[1].total_cmp(&b[1]))
                .then(a[2].total_cmp(&b[2]))
        });
        let [a, b, c] = corners.map(|p| p[2]);
        Self {
            corners,
            low: a.min(b).min(c),
            high: a.max(b).max(c),
        }
    }

    /// Height over a plan position; `None` beside the facet, or if it has no area in plan.
    fn height_over(&self, x: Plan) -> Option<f64> {
        let [a, b, c] = &self.corners;
        let (ab, bc, ca) = (side(a, b, x), side(b, c, x), -side(a, c, x));
        let inside = (ab >= 0.0 && bc >= 0.0 && ca >= 0.0) || (ab <= 0.0 && bc <= 0.0 && ca <= 0.0);
        let whole = ab + bc + ca;
        if !inside || whole == 0.0 {
            return None;
        }
        let height = (bc * a[2] + ca * b[2] + ab * c[2]) / whole;
        Some(height.clamp(self.low, self.high))
    }

    /// The piece of the facet at a height.
    fn slice(&self, height: f64) -> Option<[Plan; 2]> {
        if self.low > height || self.high <= height {
            return None;
        }
        let [a, b, c] = &self.corners;
        let cut = |p: &[f64; 3], q: &[f64; 3]| {
            ((p[2] > height) != (q[2] > height)).then(|| {
                let t = (height - p[2]) / (q[2] - p[2]);
                [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]
            })
        };
        match (cut(a, b), cut(b, c), cut(a, c)) {
            (Some(p), Some(q), None) | (Some(p), None, Some(q)) | (None, Some(p), Some(q)) => {
                Some([p, q])
            }
            _ => None,
        }
    }
}

impl<'a> View<'a> {
    /// The whole surface along `up`, or what of it matters inside a rectangle of the plan.
    pub(crate) fn new(surface: &'a Surface, axes: Axes, wanted: Option<Frame>) -> Self {
        let points: Vec<[f64; 3]> = surface
            .vertices()
            .iter()
            .map(|p| {
                let ([x, y], h) = axes.see(&p.coords);
                [x, y, h]
            })
            .collect();
        let parallel = MET_RAD.sin();
        let facing = surface
            .normals
            .iter()
            .map(|n| {
                let lean = n.dot(&axes.up);
                i8::from(lean > parallel) - i8::from(lean < -parallel)
            })
            .collect();
        let tiles: Vec<Tile> = surface
            .triangles
            .iter()
            .map(|t| Tile::new(t.map(|v| points[v as usize])))
            .collect();
        let all = Frame::around(points.iter().map(|p| [p[0], p[1]]));
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
            columns: 0,
            rows: 0,
            starts: vec![0],
            listed: Vec::new(),
        };
        view.list();
        view
    }

    pub(crate) fn see_point(&self, p: &Point3<f64>) -> (Plan, f64) {
        self.axes.see(&p.coords)
    }

    /// Lists the facets in the cells of the grid. The cells grow until they are few enough beside
    /// the facets: stray vertices and needles cost speed, not memory.
    fn list(&mut self) {
        let count = self.tiles.len();
        let size = [0, 1].map(|k| self.frame.high[k] - self.frame.low[k]);
        if count == 0 || !(size[0] >= 0.0 && size[1] >= 0.0) {
            return;
        }
        let most_cells = 4.0 * count as f64 + 64.0;
        let least = size[0].max(size[1]) * 1e-6;
        let mut cell = self.surface.grain_mm().max(least).max(1e-9);
        loop {
            let cells = (size[0] / cell + 1.0) * (size[1] / cell + 1.0);
            if cells <= most_cells {
                self.cell = cell;
                self.columns = index(size[0] / cell) + 1;
                self.rows = index(size[1] / cell) + 1;
                if self.entries_bound() <= 64.0 * count as f64 + 1024.0 {
                    break;
                }
            }
            cell *= 1.5;
        }
        let view = &*self;
        let chunks: Vec<Vec<(u32, u32)>> = (0..count.div_ceil(CHUNK))
            .into_par_iter()
            .map(|chunk| {
                let first = chunk * CHUNK;
                let mut found = Vec::with_capacity(4 * CHUNK);
                for tile in first..(first + CHUNK).min(count) {
                    view.cells_under(tile, |cell| found.push((cell, small(tile))));
                }
                found
            })
            .collect();
        let mut starts = vec![0_u32; self.columns * self.rows + 1];
        for &(cell, _) in chunks.iter().flatten() {
            starts[cell as usize + 1] += 1;
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut next = starts.clone();
        let mut listed = vec![0_u32; starts[starts.len() - 1] as usize];
        for &(cell, tile) in chunks.iter().flatten() {
            let place = &mut next[cell as usize];
            listed[*place as usize] = tile;
            *place += 1;
        }
        self.starts = starts;
        self.listed = listed;
    }

    /// At most how many list entries the present cells would give.
    fn entries_bound(&self) -> f64 {
        self.tiles
            .iter()
            .map(|tile| {
                let frame = Frame::around(tile.corners.map(|p| [p[0], p[1]]));
                if !frame.meets(&self.frame) {
                    return 0.0;
                }
                let spans = [0, 1].map(|k| {
                    (frame.high[k].min(self.frame.high[k]) - frame.low[k].max(self.frame.low[k]))
                        / self.cell
                });
                // A triangle passes about half of its box's cells, a needle those along it.
                2.0 + 2.0 * (spans[0] + spans[1]) + 0.5 * spans[0] * spans[1]
            })
            .sum()
    }

    fn column(&self, x: f64) -> usize {
        index((x - self.frame.low[0]) / self.cell).min(self.columns.saturating_sub(1))
    }

    fn row(&self, y: f64) -> usize {
        index((y - self.frame.low[1]) / self.cell).min(self.rows.saturating_sub(1))
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

    fn in_cell(&self, column: usize, row: usize) -> &[u32] {
        let cell = row * self.columns + column;
        &self.listed[self.starts[cell] as usize..self.starts[cell + 1] as usize]
    }

    fn at(&self, x: Plan) -> &[u32] {
        if self.cell > 0.0 && self.frame.contains(x) {
            self.in_cell(self.column(x[0]), self.row(x[1]))
        } else {
            &[]
        }
    }

    /// Whether some facet but `own` lies over `x` above `height`.
    pub(crate) fn covered(&self, x: Plan, height: f64, own: Option<u32>) -> bool {
        self.at(x).iter().any(|&f| {
            let tile = &self.tiles[f as usize];
            tile.high > height
                && Some(f) != own
                && self.facing[f as usize] != 0
                && tile.height_over(x).is_some_and(|h| h > height)
        })
    }

    /// Height of the highest facet over `x`; minus infinity if there is none.
    pub(crate) fn top(&self, x: Plan) -> f64 {
        let mut best = f64::NEG_INFINITY;
        for &f in self.at(x) {
            let tile = &self.tiles[f as usize];
            if tile.high > best
                && self.facing[f as usize] != 0
                && let Some(h) = tile.height_over(x)
            {
                best = best.max(h);
            }
        }
        best
    }

    /// Height of the next facet but `own` below `height`; minus infinity if there is none.
    pub(crate) fn next_below(&self, x: Plan, height: f64, own: u32) -> f64 {
        let mut best = f64::NEG_INFINITY;
        for &f in self.at(x) {
            let tile = &self.tiles[f as usize];
            if tile.high > best
                && tile.low < height
                && f != own
                && self.facing[f as usize] != 0
                && let Some(h) = tile.height_over(x)
                && h < height
            {
                best = best.max(h);
            }
        }
        best
    }

    /// The first facet that the straight line from one plan position to another, at one height,
    /// meets, among those that `counts` lets count.
    pub(crate) fn first_across(
        &self,
        from: Plan,
        to: Plan,
        height: f64,
        counts: impl Fn(u32) -> bool,
    ) -> Option<Met> {
        if self.cell <= 0.0 {
            return None;
        }
        let way = [to[0] - from[0], to[1] - from[1]];
        let (mut column, mut row) = (self.column(from[0]), self.row(from[1]));
        let (last_column, last_row) = (self.column(to[0]), self.row(to[1]));
        // Share of the line at which it next leaves the column, the row.
        let leave = |k: usize, cell: usize| {
            let border = if way[k] > 0.0 { cell + 1 } else { cell };
            let share = (self.frame.low[k] + border as f64 * self.cell - from[k]) / way[k];
            if way[k] == 0.0 { f64::INFINITY } else { share }
        };
        let mut best: Option<Met> = None;
        loop {
            for &f in self.in_cell(column, row) {
                let Some(ends) = self.tiles[f as usize].slice(height) else {
                    continue;
                };
                if let Some(share) = cross_share(from, way, ends)
                    && best.is_none_or(|b| share < b.share || (share <= b.share && f < b.facet))
                    && counts(f)
                {
                    best = Some(Met { share, facet: f });
                }
            }
            let left = [
                if column == last_column {
                    f64::INFINITY
                } else {
                    leave(0, column)
                },
                if row == last_row {
                    f64::INFINITY
                } else {
                    leave(1, row)
                },
            ];
            let next = left[0].min(left[1]);
            if next == f64::INFINITY || best.is_some_and(|b| b.share < next) {
                return best;
            }
            // A last column or row is never left, so the walk ends in at most as many steps as
            // there are columns and rows between the ends.
            if left[0] <= left[1] {
                column = if way[0] > 0.0 { column + 1 } else { column - 1 };
            } else {
                row = if way[1] > 0.0 { row + 1 } else { row - 1 };
            }
        }
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

/// Least and greatest x of a triangle between two y.
fn span_in_band(corners: &[[f64; 3]; 3], bottom: f64, top: f64) -> (f64, f64) {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut take = |x: f64| {
        low = low.min(x);
        high = high.max(x);
    };
    for i in 0..3 {
        let (p, q) = (&corners[i], &corners[(i + 1) % 3]);
        if (bottom..=top).contains(&p[1]) {
            take(p[0]);
        }
        for y in [bottom, top] {
            if (p[1] < y) != (q[1] < y) {
                take(p[0] + (y - p[1]) / (q[1] - p[1]) * (q[0] - p[0]));
            }
        }
    }
    (low, high)
}

/// Share of the line before it crosses a segment, if it does.
fn cross_share(from: Plan, way: Plan, [p, q]: [Plan; 2]) -> Option<f64> {
    let across = |a: Plan| way[0] * (a[1] - from[1]) - way[1] * (a[0] - from[0]);
    let (sp, sq) = (across(p), across(q));
    if (sp >= 0.0) == (sq >= 0.0) {
        return None;
    }
    let t = sp / (sp - sq);
    let meet = [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])];
    let along = (meet[0] - from[0]) * way[0] + (meet[1] - from[1]) * way[1];
    let share = along / (way[0] * way[0] + way[1] * way[1]);
    (0.0..=1.0).contains(&share).then_some(share)
}
