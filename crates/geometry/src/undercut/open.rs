//! Which patches are undercut nowhere over a whole cone of draws, and which everywhere.
//!
//! Derivation: take a connected patch whose facets all face all draws of a cone, and move a point about it
//! and a draw about the cone. The number of facets over the point along the draw changes only where the
//! line passes an edge whose facets do not lie on both sides of it along that draw: a **contour** or a
//! border; or where another facet passes through the patch without an edge. So if no such edge may come over any
//! place of the patch along any draw of the cone, all its points stand as any one of them does along any
//! one draw; and that is one line to follow.

use super::normal_cone::Facing;
use super::patches::{Block, Patch};
use super::plan::{Axes, Plan};
use super::sight::Sight;
use super::tolerance::OFF_RAD;
use nalgebra::Vector3;

/// How the points of a patch stand over a cone of draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stand {
    /// Undercut nowhere, along no draw.
    Open,
    /// Undercut everywhere, along every draw.
    Undercut,
    /// That is not known.
    Mixed,
}

/// Millimetres. Separates what is level with a patch, or beside it, from rounding.
const LEVEL_MM: f64 = 1e-6;

/// The cone of draws of a sight.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Opened<'a> {
    sight: &'a Sight<'a>,
    /// The axes with their parts made positive: what a box reaches along each.
    across: [Vector3<f64>; 3],
    cone_rad: f64,
    sin: f64,
    tan: f64,
}

/// What of a patch counts for what may come over it.
struct Seen {
    at: Plan,
    reach: Plan,
    low: f64,
}

impl<'a> Opened<'a> {
    pub(crate) fn new(sight: &'a Sight<'a>, cone_rad: f64) -> Self {
        let cone_rad = (cone_rad + 2.0 * OFF_RAD).min(std::f64::consts::FRAC_PI_2 - 1e-3);
        let Axes { right, ahead, up } = &sight.axes;
        Self {
            sight,
            across: [right.abs(), ahead.abs(), up.abs()],
            cone_rad,
            sin: cone_rad.sin() + 1e-9,
            tan: cone_rad.tan() + 1e-9,
        }
    }

    /// How the points of a patch stand; `chosen` is whether its chosen sample is covered along the draw.
    pub(crate) fn stand(&self, patch: &Patch, covered: impl FnOnce() -> bool) -> Stand {
        match patch.normals.facing(&self.sight.axes.up, self.cone_rad) {
            Facing::Away => Stand::Undercut,
            Facing::Either => Stand::Mixed,
            Facing::Toward if patch.is_pierced || self.meets_contour(&patch.block) => Stand::Mixed,
            Facing::Toward if covered() => Stand::Undercut,
            Facing::Toward => Stand::Open,
        }
    }

    /// Whether a contour of some draw may come over a place of a box along it.
    fn meets_contour(&self, block: &Block) -> bool {
        let (at, height) = self.sight.axes.see(&block.middle);
        let reach = self.across.map(|axis| axis.dot(&block.half) + LEVEL_MM);
        let seen = Seen {
            at,
            reach: [reach[0], reach[1]],
            low: height - reach[2],
        };
        let may_be = |middle: Vector3<f64>, half: Vector3<f64>| {
            let (at, height) = self.sight.axes.see(&middle);
            let top = height + self.across[2].dot(&half);
            self.may_come_over(&seen, at, [0, 1].map(|k| self.across[k].dot(&half)), top)
        };
        let mut found = false;
        let surface = self.sight.surface;
        let (up, cone_rad) = (&self.sight.axes.up, self.cone_rad);
        let tree = self.sight.tree;
        tree.ask_contours(up, cone_rad, may_be, |facet| {
            let edges = &surface.facet_edges[facet as usize];
            found = found || edges.iter().any(|&edge| self.is_over(edge, &seen));
            found
        });
        found
    }

    fn is_over(&self, edge: u32, seen: &Seen) -> bool {
        if edge == u32::MAX || !self.may_be_contour(edge) {
            return false;
        }
        let ends = self.sight.surface.edges[edge as usize].ends;
        let [a, b] = ends.map(|v| self.sight.point(v));
        let at = [0, 1].map(|k| 0.5 * (a[k] + b[k]));
        let half = [0, 1].map(|k| 0.5 * (b[k] - a[k]).abs());
        self.may_come_over(seen, at, half, a[2].max(b[2]))
    }

    /// Whether a line from a place of a box, leaning as far as the cone does, may meet what is so wide and
    /// reaches so high.
    fn may_come_over(&self, seen: &Seen, at: Plan, half: Plan, top: f64) -> bool {
        let rise = top - seen.low;
        rise >= 0.0
            && (0..2)
                .all(|k| (at[k] - seen.at[k]).abs() - half[k] - seen.reach[k] <= self.tan * rise)
    }

    /// Whether facets at an edge do not all face every draw, nor all face away from every draw.
    fn may_be_contour(&self, edge: u32) -> bool {
        let surface = self.sight.surface;
        if !surface.seams.plain[edge as usize] {
            return true;
        }
        let leans = surface
            .beside(&surface.edges[edge as usize])
            .iter()
            .map(|beside| self.sight.lean(beside.facet));
        !(leans.clone().all(|lean| lean > self.sin + MET)
            || leans.clone().all(|lean| lean < -self.sin - MET))
    }
}

/// Sine of what separates parallel from not, with room for rounding.
const MET: f64 = 2.0 * crate::tolerance::MET_RAD;
