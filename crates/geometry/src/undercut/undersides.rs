//! Where the air that something covers hangs together, seen along a draw.
//!
//! Take any way through covered air and lift every place of it to the underside of the facet next above
//! it, its **ceiling**: nothing is in between, the way's trace in plan stays, and just under a facet is
//! air (on one of its sides or the other). So all that matters of the air is how the undersides of
//! facets hang together. Across an edge of the surface:
//!
//! * with facets at both sides in plan, the way goes on from the lowest facet of one side to the lowest
//!   of the other;
//! * with facets at one side only (a **fold** or a border), the underside of the lowest goes on past the
//!   edge, straight up or down, to whatever is next above the edge just outside it: another facet's
//!   underside, or the sky;
//! * under any other facet at the edge is a wedge that ends there.
//!
//! No normal is asked, so the inside of stone hangs together by the same rules, apart from the air.
//!
//! What it may miss: facets that pass through one another without an edge are not seen to bar the way.
//! A ceiling that is narrower than half of `RIM_PIECE_MM` where it passes over an edge may be missed.

use super::exits::Exits;
use super::plan::Frame;
use super::sight::Sight;
use super::spans::{Span, spans};
use super::stop::Stop;
use super::surface::Edge;
use rayon::prelude::*;

/// No facet. As what is above a span: the sky.
pub(crate) const NONE: u32 = u32::MAX;

/// How the undersides hang together past folds and borders, along one draw.
#[derive(Debug)]
pub(crate) struct Undersides {
    /// All pieces of folds, by edge.
    spans: Vec<Span>,
    /// Edges with spans, in order, and where their spans start; a last entry ends them.
    folds: Vec<(u32, u32)>,
    /// Spans by what is above them.
    under: Vec<(u32, u32)>,
    /// A bit for each facet: whether a span lies beneath it.
    has_under: Vec<u64>,
    /// Spans under the sky.
    pub(crate) exits: Exits,
}

/// What one end of an edge's sides looks like in plan.
#[derive(Clone, Copy)]
struct Side {
    facet: u32,
    /// How far the facet's third corner lies to the left of the edge, times its length.
    left: f64,
    /// Height of that corner over the line of the edge.
    rise: f64,
}

impl Undersides {
    /// Of some edges, in order, as far as they come inside a frame; `None` if it was stopped.
    pub(crate) fn try_new(
        sight: &Sight<'_>,
        edges: &[u32],
        frame: &Frame,
        stop: &Stop<'_>,
    ) -> Option<Self> {
        let chunks: Vec<Vec<(u32, Vec<Span>)>> = edges
            .par_chunks(CHUNK)
            .map(|edges| {
                let edges = if stop() { &[] } else { edges };
                edges
                    .iter()
                    .filter_map(|&edge| fold(sight, edge, frame))
                    .collect()
            })
            .collect();
        if stop() {
            return None;
        }
        let mut folds = Vec::new();
        let mut spans = Vec::new();
        for (edge, some) in chunks.into_iter().flatten() {
            folds.push((edge, small(spans.len())));
            spans.extend(some);
        }
        folds.push((NONE, small(spans.len())));
        let mut under: Vec<(u32, u32)> = (0..).zip(&spans).map(|(i, s)| (s.above, i)).collect();
        under.sort_unstable();
        let mut has_under = vec![0_u64; sight.surface.triangles.len() / 64 + 1];
        for (above, _) in under.iter().filter(|(above, _)| *above != NONE) {
            has_under[*above as usize / 64] |= 1 << (above % 64);
        }
        let exits = Exits::new(&spans);
        Some(Self {
            spans,
            folds,
            under,
            has_under,
            exits,
        })
    }

    /// The pieces of an edge past which an underside goes on.
    pub(crate) fn past(&self, edge: u32) -> &[Span] {
        match self.folds.binary_search_by_key(&edge, |fold| fold.0) {
            Ok(i) => &self.spans[self.folds[i].1 as usize..self.folds[i + 1].1 as usize],
            Err(_) => &[],
        }
    }

    /// The pieces that lie under a facet.
    pub(crate) fn beneath(&self, facet: u32) -> impl Iterator<Item = &Span> {
        let has_any = self.has_under[facet as usize / 64] >> (facet % 64) & 1 == 1;
        let start = if has_any {
            self.under.partition_point(|(above, _)| *above < facet)
        } else {
            self.under.len()
        };
        let these = self.under[start..].iter();
        these
            .take_while(move |(above, _)| *above == facet)
            .map(|(_, span)| &self.spans[*span as usize])
    }
}

/// Edges looked at by one task.
const CHUNK: usize = 4096;

fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(NONE)
}

/// The pieces of an edge, if it is a fold or an open border that comes inside the frame.
fn fold(sight: &Sight<'_>, index: u32, frame: &Frame) -> Option<(u32, Vec<Span>)> {
    if is_crossed(sight, index).is_some() {
        return None;
    }
    let edge = &sight.surface.edges[index as usize];
    let ends = edge.ends.map(|v| sight.point(v));
    if !Frame::around(ends.map(|p| [p[0], p[1]])).meets(frame) {
        return None;
    }
    match join(sight, index) {
        [from, NONE] if from != NONE => Some((index, spans(sight, edge, from))),
        _ => None,
    }
}

/// The two facets of an edge that has just two, wound alike, if both face the draw or neither does: then
/// they lie on opposite sides of it.
fn is_crossed(sight: &Sight<'_>, index: u32) -> Option<[u32; 2]> {
    if !sight.surface.seams.plain[index as usize] {
        return None;
    }
    match sight.surface.beside(&sight.surface.edges[index as usize]) {
        [a, b] if sight.lean(a.facet) * sight.lean(b.facet) > 0.0 => Some([a.facet, b.facet]),
        _ => None,
    }
}

/// The facets whose undersides meet at an edge; of a fold or an open border the only one, and `NONE`.
///
/// A facet without area in plan, which no draw of a general position leaves, counts as opposite to what
/// else is there.
pub(crate) fn join(sight: &Sight<'_>, index: u32) -> [u32; 2] {
    if let Some(both) = is_crossed(sight, index) {
        return both;
    }
    let edge = &sight.surface.edges[index as usize];
    let seams = &sight.surface.seams;
    // The lowest at the left, the lowest at the right, and any that has no side.
    let (mut lowest, mut level): ([Option<Side>; 2], Option<u32>) = ([None; 2], None);
    let mut count = 0;
    for beside in sight.surface.beside(edge) {
        let facet = beside.facet;
        if seams.first[facet as usize] != facet {
            continue;
        }
        count += 1;
        let side = side_of(sight, edge, facet);
        if side.left == 0.0 {
            level = Some(facet);
            continue;
        }
        let so_far = &mut lowest[usize::from(side.left < 0.0)];
        if so_far.is_none_or(|other| side.is_below(&other)) {
            *so_far = Some(side);
        }
    }
    match (lowest.map(|side| side.map(|s| s.facet)), level) {
        ([Some(a), Some(b)], _) => [a, b],
        ([Some(a), None] | [None, Some(a)], Some(b)) if count == 2 => [a, b],
        ([Some(a), None] | [None, Some(a)], _) if !seams.shut[index as usize] => [a, NONE],
        _ => [NONE; 2],
    }
}

fn side_of(sight: &Sight<'_>, edge: &Edge, facet: u32) -> Side {
    let [a, b] = edge.ends.map(|v| sight.point(v));
    let corners = sight.surface.triangles[facet as usize];
    let third = corners.iter().find(|v| !edge.ends.contains(v));
    let c = third.map_or(a, |&v| sight.point(v));
    let along = [b[0] - a[0], b[1] - a[1]];
    let to = [c[0] - a[0], c[1] - a[1]];
    let length2 = along[0] * along[0] + along[1] * along[1];
    let foot = (to[0] * along[0] + to[1] * along[1]) / length2;
    Side {
        facet,
        left: along[0] * to[1] - along[1] * to[0],
        rise: c[2] - (a[2] + foot * (b[2] - a[2])),
    }
}

impl Side {
    /// Whether this facet, on the same side, is the lower one.
    fn is_below(&self, other: &Self) -> bool {
        self.rise * other.left.abs() < other.rise * self.left.abs()
    }
}
