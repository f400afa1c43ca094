//! Folds and borders of a view, cut where what is above them changes.

use super::plan::Plan;
use super::sight::Sight;
use super::surface::Edge;
use super::tolerance::{BEYOND_RIM_MM, CHANGE_MM, RIM_PIECE_MM};
use super::undersides::NONE;

/// A straight piece of a fold or a border with one ceiling.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Span {
    /// Plan and height of both ends.
    pub(crate) ends: [[f64; 3]; 2],
    /// The facet whose underside goes on past the piece.
    pub(crate) from: u32,
    /// The facet next above just outside the piece; `NONE` if that is the sky.
    pub(crate) above: u32,
}

/// The nearest place of a segment, and the square of its distance in plan.
pub(crate) fn nearest([a, b]: &[[f64; 3]; 2], x: Plan) -> ([f64; 3], f64) {
    let way = [b[0] - a[0], b[1] - a[1]];
    let length2 = way[0] * way[0] + way[1] * way[1];
    let t = if length2 > 0.0 {
        (((x[0] - a[0]) * way[0] + (x[1] - a[1]) * way[1]) / length2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let foot = [0, 1, 2].map(|k| a[k] + t * (b[k] - a[k]));
    let away = [foot[0] - x[0], foot[1] - x[1]];
    (foot, away[0] * away[0] + away[1] * away[1])
}

/// Millimetres. The ends of an edge are looked at this far inside it: beside them, the facets around the
/// end itself are in the way.
const INSET_MM: f64 = 1e-3;

/// Steps along one edge. A metre of it has 7000; the rest is for what is above.
const MOST_STEPS: usize = 100_000;

/// An edge with its facets at one side.
struct Fold<'v> {
    sight: &'v Sight<'v>,
    ends: [[f64; 3]; 2],
    length: f64,
    /// Unit, in plan, away from the facets.
    out: Plan,
}

/// The pieces of a fold or border past which the underside of a facet goes on.
pub(crate) fn spans(sight: &Sight<'_>, edge: &Edge, from: u32) -> Vec<Span> {
    let [a, b] = edge.ends.map(|v| sight.point(v));
    let way = [b[0] - a[0], b[1] - a[1]];
    let length = way[0].hypot(way[1]);
    if length <= 0.0 {
        return Vec::new();
    }
    let corners = sight.surface.triangles[from as usize];
    let third = corners.iter().find(|v| !edge.ends.contains(v));
    let c = third.map_or(a, |&v| sight.point(v));
    let left = way[0] * (c[1] - a[1]) - way[1] * (c[0] - a[0]);
    let turn = if left > 0.0 { 1.0 } else { -1.0 };
    let fold = Fold {
        sight,
        ends: [a, b],
        length,
        out: [turn * way[1] / length, -turn * way[0] / length],
    };
    fold.cut(from)
}

impl Fold<'_> {
    fn at(&self, t: f64) -> [f64; 3] {
        let [a, b] = self.ends;
        [0, 1, 2].map(|k| a[k] + t * (b[k] - a[k]))
    }

    fn beside(&self, t: f64) -> Plan {
        let p = self.at(t);
        [0, 1].map(|k| p[k] + BEYOND_RIM_MM * self.out[k])
    }

    /// What is next above just outside.
    fn above(&self, t: f64) -> u32 {
        let next = self.sight.next_above(self.beside(t), self.at(t)[2], NONE);
        next.map_or(NONE, |(facet, _)| facet)
    }

    /// How far along the edge a facet stays above it.
    fn leaves(&self, facet: u32) -> f64 {
        let corners = self.sight.corners(facet);
        let (from, to) = (self.beside(0.0), self.beside(1.0));
        let turn = side(corners[0], corners[1], [corners[2][0], corners[2][1]]);
        (0..3)
            .map(|i| {
                let (p, q) = (corners[i], corners[(i + 1) % 3]);
                let (start, end) = (side(p, q, from) * turn, side(p, q, to) * turn);
                if end < start {
                    start / (start - end)
                } else {
                    f64::INFINITY
                }
            })
            .fold(f64::INFINITY, f64::min)
    }

    /// Walks along the edge: a facet above ends at its own border, or sooner where another comes in
    /// between, which is looked for in steps and found by halving.
    fn cut(&self, from: u32) -> Vec<Span> {
        let inset = (INSET_MM / self.length).min(0.02);
        let step = RIM_PIECE_MM / self.length;
        let least = CHANGE_MM / self.length;
        let end = 1.0 - inset;
        let (mut t, mut start, mut found) = (inset, 0.0, Vec::new());
        let mut above = self.above(t);
        for _ in 0..MOST_STEPS {
            let leaves = if above == NONE {
                f64::INFINITY
            } else {
                self.leaves(above)
            };
            let next = (t + step).min(end);
            // A rounding error past where it leaves, but always on.
            let beyond = leaves.max(t) + 1e-3 * least;
            let (to, border) = if beyond < next {
                (beyond, leaves.max(start))
            } else {
                (next, f64::NAN)
            };
            let seen = self.above(to);
            let mut change = border;
            let mut now = seen;
            if border.is_nan() && seen != above {
                let (mut same, mut other) = (t, to);
                while other - same > least {
                    let middle = 0.5 * (same + other);
                    let there = self.above(middle);
                    if there == above {
                        same = middle;
                    } else {
                        (other, now) = (middle, there);
                    }
                }
                change = other;
                t = other;
            } else {
                t = to;
            }
            if now != above {
                found.push(self.span(from, above, [start, change]));
                start = change;
                above = now;
            }
            if t >= end {
                break;
            }
        }
        found.push(self.span(from, above, [start, 1.0]));
        found
    }

    fn span(&self, from: u32, above: u32, ends: [f64; 2]) -> Span {
        Span {
            ends: ends.map(|t| self.at(t)),
            from,
            above,
        }
    }
}

/// Twice the signed area of p, q, x.
fn side(p: [f64; 3], q: [f64; 3], x: Plan) -> f64 {
    (q[0] - p[0]) * (x[1] - p[1]) - (q[1] - p[1]) * (x[0] - p[0])
}
