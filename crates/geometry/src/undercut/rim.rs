//! Rims: the edges of the cast beside which, seen along the draw, there is nothing of their own.
//!
//! Where the top of the cast, seen along the draw, drops from one height to another it does so at an
//! edge that has no facet on one of its sides in plan: a fold, where a facet that faces the draw
//! meets one that does not, or an open border. Only what can be seen along the draw counts. Rims are
//! cut into short pieces, since a long edge may be seen in part.

use super::stop::Stop;
use super::tolerance::{BEYOND_RIM_MM, DEPTH_CAP_MM};
use super::view::{Frame, Plan, View};
use rayon::prelude::*;

/// A short straight piece of a rim, seen along the draw.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RimPiece {
    pub(crate) ends: [Plan; 2],
    /// Unit, across the piece, away from its facets.
    pub(crate) out: Plan,
    /// Greatest height of the piece.
    pub(crate) top: f64,
    /// Height of the lowest that is seen just beside the piece: beside its middle or its ends.
    pub(crate) floor: f64,
}

impl RimPiece {
    /// The nearest place on the piece, and the square of how far it is. The very ends are left out, since beside
    /// them it is the next piece that decides what is free.
    pub(crate) fn nearest(&self, x: Plan) -> (Plan, f64) {
        let [a, b] = self.ends;
        let way = [b[0] - a[0], b[1] - a[1]];
        let length2 = way[0] * way[0] + way[1] * way[1];
        let t = ((x[0] - a[0]) * way[0] + (x[1] - a[1]) * way[1]) / length2;
        let t = t.clamp(0.02, 0.98);
        let foot = [a[0] + t * way[0], a[1] + t * way[1]];
        let away = [foot[0] - x[0], foot[1] - x[1]];
        (foot, away[0] * away[0] + away[1] * away[1])
    }
}

/// The rims of a view, in the cells of a grid.
#[derive(Debug)]
pub(crate) struct Rims {
    /// In the order of their cells.
    pub(crate) pieces: Vec<RimPiece>,
    frame: Frame,
    piece_mm: f64,
    cell_mm: f64,
    columns: i64,
    rows: i64,
    starts: Vec<u32>,
}

/// Millimetres. Side of the cells rims are sorted into; more where the rims lie very far apart.
const CELL_MM: f64 = 0.5;

/// Cells rims are at most sorted into: those of a square of half a metre.
const MOST_CELLS: f64 = 1e6;

impl Rims {
    /// The rims inside a rectangle of the plan.
    ///
    /// Rims below `lowest` are left out: no gauge starts there.
    ///
    /// `None` if it was stopped.
    pub(crate) fn try_new(
        view: &View<'_>,
        wanted: Frame,
        lowest: f64,
        piece_mm: f64,
        stop: &Stop<'_>,
    ) -> Option<Self> {
        let chunks: Vec<Vec<RimPiece>> = view
            .surface
            .edges
            .par_chunks(2048)
            .map(|edges| {
                let mut found = Vec::new();
                if stop() {
                    return found;
                }
                for edge in edges {
                    let mut taken = [false; 2];
                    for beside in view.surface.beside(edge) {
                        let facing = view.facing[beside.facet as usize];
                        if facing != 0 {
                            taken[usize::from((facing > 0) == beside.along)] = true;
                        }
                    }
                    let ends = edge.ends.map(|v| view.points[v as usize]);
                    if taken != [true; 2]
                        && ends[0][2].max(ends[1][2]) >= lowest
                        && Frame::around(ends.map(|p| [p[0], p[1]])).meets(&wanted)
                    {
                        // `taken[1]`: something lies to the left of the edge.
                        if !taken[1] {
                            cut(view, [ends[0], ends[1]], wanted, piece_mm, &mut found);
                        }
                        if !taken[0] {
                            cut(view, [ends[1], ends[0]], wanted, piece_mm, &mut found);
                        }
                    }
                }
                found
            })
            .collect();
        (!stop()).then(|| Self::sort(chunks.concat(), piece_mm))
    }

    fn sort(pieces: Vec<RimPiece>, piece_mm: f64) -> Self {
        let frame = Frame::around(pieces.iter().map(RimPiece::middle));
        let size = [0, 1].map(|k| (frame.high[k] - frame.low[k]).max(0.0));
        let mut cell_mm = CELL_MM;
        while (size[0] / cell_mm + 1.0) * (size[1] / cell_mm + 1.0) > MOST_CELLS {
            cell_mm *= 2.0;
        }
        let count = |k: usize| 1 + floor(size[k] / cell_mm).max(0);
        let mut rims = Self {
            columns: count(0),
            rows: count(1),
            frame,
            piece_mm,
            cell_mm,
            pieces,
            starts: Vec::new(),
        };
        let cells: Vec<usize> = rims
            .pieces
            .iter()
            .map(|piece| {
                let [column, row] = rims.cell(piece.middle());
                rims.slot(column, row).unwrap_or(0)
            })
            .collect();
        let slots = usize::try_from(rims.columns * rims.rows).unwrap_or(0);
        let mut starts = vec![0_u32; slots + 1];
        for &cell in &cells {
            starts[cell + 1] += 1;
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut order: Vec<(usize, usize)> = cells.into_iter().zip(0..).collect();
        order.sort_unstable();
        rims.pieces = order.iter().map(|&(_, i)| rims.pieces[i]).collect();
        rims.starts = starts;
        rims
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

    /// Visits the pieces in square rings of cells around `x`, nearest ring first. After each ring
    /// `go_on` hears the distance that every piece not yet visited is at least away, and says
    /// whether to go on.
    pub(crate) fn rings<S>(
        &self,
        x: Plan,
        state: &mut S,
        mut visit: impl FnMut(&mut S, u32),
        mut go_on: impl FnMut(&mut S, f64) -> bool,
    ) {
        if self.pieces.is_empty() {
            return;
        }
        let [column, row] = self.cell(x);
        let most = floor(DEPTH_CAP_MM / self.cell_mm) + 2;
        let margin = (0..2)
            .map(|k| {
                let within = (x[k] - self.frame.low[k]) / self.cell_mm - [column, row][k] as f64;
                within.min(1.0 - within) * self.cell_mm
            })
            .fold(f64::INFINITY, f64::min);
        for ring in 0..=most {
            for r in row - ring..=row + ring {
                let whole_row = r == row - ring || r == row + ring;
                let step = if whole_row { 1 } else { 2 * ring };
                let mut c = column - ring;
                while c <= column + ring {
                    if let Some(slot) = self.slot(c, r) {
                        for piece in self.starts[slot]..self.starts[slot + 1] {
                            visit(state, piece);
                        }
                    }
                    c += step;
                }
            }
            // Pieces are listed by their middles.
            let away = ring as f64 * self.cell_mm + margin - 0.5 * self.piece_mm;
            if !go_on(state, away) {
                return;
            }
        }
    }
}

impl RimPiece {
    /// Both ends, as far as they count.
    pub(crate) fn ends_inside(&self) -> [Plan; 2] {
        let [a, b] = self.ends;
        [0.02, 0.98].map(|t| [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])])
    }

    /// The place just beside a place of the piece.
    pub(crate) fn beyond(&self, foot: Plan) -> Plan {
        [0, 1].map(|k| foot[k] + BEYOND_RIM_MM * self.out[k])
    }

    fn middle(&self) -> Plan {
        let [a, b] = self.ends;
        [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]
    }
}

/// Millimetres. What lies this far over the middle of a piece lies over all of it: twice the length
/// of a piece of a scan, so that it would have to rise more steeply than 60 degrees to show an end.
/// Tuned: 0.3. Smaller loses ends of rims that run into a wall; larger asks after more hidden folds.
const DEEP_UNDER_MM: f64 = 0.3;

/// Cuts an edge with nothing at its left into pieces, and keeps those that are seen.
fn cut(
    view: &View<'_>,
    [a, b]: [[f64; 3]; 2],
    wanted: Frame,
    piece_mm: f64,
    found: &mut Vec<RimPiece>,
) {
    let way = [b[0] - a[0], b[1] - a[1]];
    let length = way[0].hypot(way[1]);
    if length <= BEYOND_RIM_MM * 1e-3 {
        // Seen end on: its neighbours carry its ends.
        return;
    }
    let out = [-way[1] / length, way[0] / length];
    let count = whole(length / piece_mm) + 1;
    let at = |i: usize| {
        let t = i as f64 / count as f64;
        [0, 1, 2].map(|k| a[k] + t * (b[k] - a[k]))
    };
    let beside = |p: &[f64; 3]| [0, 1].map(|k| p[k] + BEYOND_RIM_MM * out[k]);
    for i in 0..count {
        let (p, q) = (at(i), at(i + 1));
        let within = |t: f64| [0, 1, 2].map(|k| p[k] + t * (q[k] - p[k]));
        if !wanted.contains(beside(&within(0.5))) {
            continue;
        }
        // Most folds lie deep under something, and then all of the piece does.
        let middle = within(0.5);
        if view.covered(beside(&middle), middle[2] + DEEP_UNDER_MM, None) {
            continue;
        }
        // Seen at the middle or at an end.
        let floor = [0.5, 0.02, 0.98]
            .map(within)
            .iter()
            .map(|place: &[f64; 3]| (place[2], view.top(beside(place), place[2])))
            .filter(|(height, floor)| floor < height)
            .fold(f64::INFINITY, |low, (_, floor)| low.min(floor));
        if floor < f64::INFINITY {
            found.push(RimPiece {
                ends: [[p[0], p[1]], [q[0], q[1]]],
                out,
                top: p[2].max(q[2]),
                floor,
            });
        }
    }
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
