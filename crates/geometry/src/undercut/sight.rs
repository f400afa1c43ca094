//! The cast along one draw, with nothing made ready for it: places in plan and heights are worked out
//! where they are asked for, and what lies over a place is found with a tree made once.
//!
//! No leak: the side of a shared edge a point lies on is computed from the edge's ends in one fixed
//! order, so two neighbours agree on it to the last bit.

use super::gauge::Probe;
use super::plan::{Axes, Plan};
use super::surface::Surface;
use super::tolerance::START_MM;
use super::tree::{Line, Packed, Tree};
use crate::tolerance::MET_RAD;
use nalgebra::{Point3, Vector3};

/// The cast along one draw.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sight<'a> {
    pub(crate) surface: &'a Surface,
    pub(crate) tree: &'a Tree,
    pub(crate) axes: Axes,
}

impl<'a> Sight<'a> {
    pub(crate) fn new(surface: &'a Surface, tree: &'a Tree, axes: Axes) -> Self {
        Self {
            surface,
            tree,
            axes,
        }
    }

    pub(crate) fn see_point(&self, p: &Point3<f64>) -> (Plan, f64) {
        self.axes.see(&p.coords)
    }

    /// Plan position and height of a vertex.
    pub(crate) fn point(&self, vertex: u32) -> [f64; 3] {
        let ([x, y], h) = self.see_point(&self.surface.vertices()[vertex as usize]);
        [x, y, h]
    }

    /// Of the corners of a facet.
    pub(crate) fn corners(&self, facet: u32) -> [[f64; 3]; 3] {
        self.surface.triangles[facet as usize].map(|v| self.point(v))
    }

    /// Cosine of the angle between a facet's normal and the draw.
    pub(crate) fn lean(&self, facet: u32) -> f64 {
        self.surface.normals[facet as usize].dot(&self.axes.up)
    }

    /// 1 toward the draw, -1 away from it, 0 parallel to it or without area.
    pub(crate) fn facing(&self, facet: u32) -> i8 {
        let (lean, parallel) = (self.lean(facet), MET_RAD.sin());
        i8::from(lean > parallel) - i8::from(lean < -parallel)
    }

    /// A point lifted off its facet.
    pub(crate) fn lifted(&self, probe: &Probe) -> (Plan, f64) {
        let normal = &self.surface.normals[probe.facet as usize];
        let (across, rise) = self.axes.see(normal);
        let at = [0, 1].map(|k| probe.at[k] + START_MM * across[k]);
        (at, probe.height + START_MM * rise)
    }

    fn line(&self, x: Plan, height: f64, turn: f64) -> Line {
        let axes = &self.axes;
        Line {
            from: Point3::from(axes.right * x[0] + axes.ahead * x[1] + axes.up * height),
            along: axes.up * turn,
        }
    }

    /// Height of a facet over a place; `None` beside it or if it is parallel to the draw.
    fn height_over(&self, facet: &Packed, x: Plan) -> Option<f64> {
        let ids = &facet.ids;
        let [a, b, c] = &facet.corners;
        // Most facets that are asked lie beside the place.
        let across = [a, b, c].map(|p| self.axes.right.dot(p));
        if is_beside(&across, x[0]) {
            return None;
        }
        let ahead = [a, b, c].map(|p| self.axes.ahead.dot(p));
        if is_beside(&ahead, x[1]) {
            return None;
        }
        let plan = [0, 1, 2].map(|k| [across[k], ahead[k]]);
        let sides = [[1, 2], [2, 0], [0, 1]].map(|[i, j]| {
            if ids[i] < ids[j] {
                side(&plan[i], &plan[j], x)
            } else {
                -side(&plan[j], &plan[i], x)
            }
        });
        let inside = sides.iter().all(|s| *s >= 0.0) || sides.iter().all(|s| *s <= 0.0);
        let whole: f64 = sides.iter().sum();
        if !inside || whole == 0.0 || self.facing(facet.facet) == 0 {
            return None;
        }
        let heights = [a, b, c].map(|p| self.axes.up.dot(p));
        let height = (0..3).map(|k| sides[k] * heights[k]).sum::<f64>() / whole;
        let [p, q, r] = heights;
        Some(height.clamp(p.min(q).min(r), p.max(q).max(r)))
    }

    /// Height of a facet at a place on it or on its border, whatever rounding says of that.
    pub(crate) fn height_at(&self, facet: u32, x: Plan) -> f64 {
        let [a, b, c] = self.corners(facet);
        let [low, high] = [a[2].min(b[2]).min(c[2]), a[2].max(b[2]).max(c[2])];
        let side = |p: [f64; 3], q: [f64; 3]| {
            (q[0] - p[0]) * (x[1] - p[1]) - (q[1] - p[1]) * (x[0] - p[0])
        };
        let parts = [side(b, c), side(c, a), side(a, b)];
        let whole: f64 = parts.iter().sum();
        let height = (parts[0] * a[2] + parts[1] * b[2] + parts[2] * c[2]) / whole;
        if height.is_finite() {
            height.clamp(low, high)
        } else {
            high
        }
    }

    /// The next facet but `own` above `height`, a copy told as the first of its kind, and its height
    /// there.
    pub(crate) fn next_above(&self, x: Plan, height: f64, own: u32) -> Option<(u32, f64)> {
        let mut best = f64::INFINITY;
        let mut next = None;
        let line = self.line(x, height, 1.0);
        self.tree.ask(&line, f64::INFINITY, |facet, reach| {
            if facet.facet != own
                && let Some(h) = self.height_over(facet, x)
                && h > height
                && (h < best || (h <= best && next.is_some_and(|next| facet.facet < next)))
            {
                best = h;
                next = Some(facet.facet);
            }
            // A box is entered at its own rounding: what is as near is still looked at.
            reach.min(best - height + REACH_MM)
        });
        let first = &self.surface.seams.first;
        next.map(|facet| (first[facet as usize], best))
    }

    /// Whether some facet but `own` lies above `height`.
    pub(crate) fn covered(&self, x: Plan, height: f64, own: Option<u32>) -> bool {
        let mut found = false;
        let line = self.line(x, height, 1.0);
        self.tree.ask(&line, f64::INFINITY, |facet, reach| {
            found = found
                || Some(facet.facet) != own
                    && self.height_over(facet, x).is_some_and(|h| h > height);
            if found { f64::NEG_INFINITY } else { reach }
        });
        found
    }

    /// Whether the line along the draw from a place meets a facet that closes a hole.
    pub(crate) fn meets_filling(&self, x: Plan, height: f64) -> bool {
        let mut found = false;
        let line = self.line(x, height, 1.0);
        self.tree.ask(&line, f64::INFINITY, |facet, reach| {
            found = found
                || self.surface.is_filling(facet.facet)
                    && self.height_over(facet, x).is_some_and(|h| h > height);
            if found { f64::NEG_INFINITY } else { reach }
        });
        found
    }

    /// Asks the facets near the line from a point along the draw: of some place above the point the
    /// distance in plan over the height may be less than `least`. What `ask` answers is the new `least`.
    pub(crate) fn near_line(&self, probe: &Probe, ask: impl FnMut(u32, f64) -> f64, least: f64) {
        let bound = |middle: Vector3<f64>, half: Vector3<f64>| {
            let (at, height) = self.axes.see(&middle);
            let reach = |axis: &Vector3<f64>| axis.abs().dot(&half);
            let above = height + reach(&self.axes.up) - probe.height;
            let away = |k: usize, axis| ((at[k] - probe.at[k]).abs() - reach(axis)).max(0.0);
            let far = away(0, &self.axes.right).hypot(away(1, &self.axes.ahead));
            if above > 0.0 {
                far / above
            } else {
                f64::INFINITY
            }
        };
        self.tree.ask_by(bound, least, ask);
    }

    /// Height of the next facet but `own` below `height`; minus infinity if there is none.
    pub(crate) fn next_below(&self, x: Plan, height: f64, own: u32) -> f64 {
        let mut best = f64::NEG_INFINITY;
        let line = self.line(x, height, -1.0);
        self.tree.ask(&line, f64::INFINITY, |facet, reach| {
            if facet.facet != own
                && let Some(h) = self.height_over(facet, x)
                && h < height
            {
                best = best.max(h);
            }
            reach.min(height - best + REACH_MM)
        });
        best
    }
}

/// Millimetres. How much farther than what was found a box is still looked into: separates boxes from
/// the rounding of where a line enters them.
const REACH_MM: f64 = 1e-9;

/// Whether a place lies outside the extent of three others along an axis.
fn is_beside([a, b, c]: &[f64; 3], x: f64) -> bool {
    x < a.min(*b).min(*c) || x > a.max(*b).max(*c)
}

/// Twice the signed area of a, b, x, from the first end of the edge.
fn side(a: &Plan, b: &Plan, x: Plan) -> f64 {
    (b[0] - a[0]) * (x[1] - a[1]) - (b[1] - a[1]) * (x[0] - a[0])
}

#[cfg(test)]
mod tests;
