//! The undercut depth of a point: the least sideways room in which it draws.
//!
//! Definition: the smallest `r` such that a way leads from the point, through air only, to a place from
//! which the line along the draw meets no more of the scan, with no place of the way farther than `r`
//! from the line through the point along the draw.
//!
//! Derivation: by `undersides` a way is a walk from one facet's underside to another's, and what it costs
//! is the greatest distance in plan. What of a facet lies within `r` of the point is a triangle cut by a
//! disc, so convex, so connected: the way goes on to a neighbour within `r` exactly if their shared
//! edge, a segment in plan, comes that near. So the depth is the least, over all walks from the point's
//! own ceiling to the sky, of the greatest distance of the edges it crosses: a bottleneck path, which
//! Prim's algorithm finds (Prim, "Shortest connection networks and some generalizations", Bell Syst.
//! Tech. J. 36, 1957, 1389-1401), with no tolerance and whatever the size of facets.
//!
//! The nearest exit of all, whatever lies between, is a lower bound. So facets within that distance are
//! walked first, those toward that exit first of all; mostly this gets there, and the bound is the
//! answer. If it does not, what was walked is where Prim's algorithm would be at that distance, and it
//! goes on from there.

use super::plan::Plan;
use super::sight::Sight;
use super::spans::{Span, nearest};
use super::tolerance::DEPTH_CAP_MM;
use super::undersides::{NONE, Undersides, join};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// A point of the surface, as the gauge needs it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Probe {
    pub(crate) at: Plan,
    pub(crate) height: f64,
    pub(crate) facet: u32,
}

/// What the gauge reads at a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reach {
    pub(crate) depth_mm: f64,
    /// Whether it faces away from the draw or something lies over it.
    pub(crate) undercut: bool,
    /// Where the way comes out; the point itself if it has no length.
    pub(crate) out: Plan,
    pub(crate) capped: bool,
    /// Whether every way that needs no more room passes under a facet that closes a hole, or what air was reached without a way
    /// does.
    pub(crate) under_filling: bool,
    /// The least and the greatest height of a way that needs no more room.
    pub(crate) heights: [f64; 2],
}

/// A step from one underside to another, or out.
#[derive(Debug, Clone, Copy)]
struct Step {
    /// What it is sorted by: the least comes first.
    key: f64,
    /// Square of the room it needs.
    room2: f64,
    to: u32,
    /// Which of the undersides reached it starts from.
    from: u32,
    /// Nearest place of the edge it crosses.
    foot: [f64; 3],
}

impl PartialEq for Step {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Step {}

impl PartialOrd for Step {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Step {
    /// The least key is the greatest, so that a heap gives it first.
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .key
            .total_cmp(&self.key)
            .then(other.to.cmp(&self.to))
            .then(other.from.cmp(&self.from))
    }
}

/// An underside that was reached.
#[derive(Debug, Clone, Copy)]
struct Reached {
    facet: u32,
    from: u32,
    /// Where it was entered: at the edge it was reached across.
    foot: [f64; 3],
}

/// Room for one search after another.
#[derive(Debug, Default)]
pub(crate) struct Room {
    near: BinaryHeap<Step>,
    far: BinaryHeap<Step>,
    reached: Vec<Reached>,
    seen: Seen,
    /// Where the way that was found last bends, in plan; empty if there was none to find.
    pub(crate) way: Vec<Plan>,
    /// The same in space, and where it goes straight up or down along the draw.
    pub(crate) bends: Vec<[f64; 3]>,
}

/// The gauge of one view.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Gauge<'v> {
    pub(crate) sight: &'v Sight<'v>,
    pub(crate) undersides: &'v Undersides,
}

/// A search from one point.
struct Search<'v, 'r> {
    gauge: Gauge<'v>,
    at: Plan,
    /// The exit that is nearest, and the square of how near.
    toward: Plan,
    within2: f64,
    /// Whether it does not go under what closes a hole.
    avoids: bool,
    room: &'r mut Room,
}

impl Gauge<'_> {
    /// Whether a point is undercut, and its ceiling, if it has one.
    pub(crate) fn ceiling(&self, probe: &Probe) -> (bool, Option<u32>) {
        if self.sight.facing(probe.facet) < 0 {
            return (
                true,
                Some(self.sight.surface.seams.first[probe.facet as usize]),
            );
        }
        let (at, height) = self.sight.lifted(probe);
        let over = self.sight.next_above(at, height, probe.facet);
        (over.is_some(), over.map(|(facet, _)| facet))
    }

    /// Whether a point faces away with nothing over it, though its own side has no way out: a facet that
    /// is wound the wrong way about.
    fn is_turned(&self, probe: &Probe) -> bool {
        let (at, height) = self.sight.lifted(probe);
        self.sight.facing(probe.facet) < 0 && !self.sight.covered(at, height, Some(probe.facet))
    }

    /// What the gauge reads at a point.
    pub(crate) fn read(&self, probe: &Probe, room: &mut Room) -> Reach {
        room.way.clear();
        room.bends.clear();
        let (undercut, ceiling) = self.ceiling(probe);
        let still = Reach {
            depth_mm: 0.0,
            undercut,
            out: probe.at,
            capped: false,
            under_filling: false,
            heights: [probe.height; 2],
        };
        let Some(ceiling) = ceiling else {
            return still;
        };
        let shut = || Reach {
            depth_mm: if self.is_turned(probe) {
                0.0
            } else {
                DEPTH_CAP_MM
            },
            capped: !self.is_turned(probe),
            ..still
        };
        let Some(exit) = self.undersides.exits.nearest(probe.at) else {
            return shut();
        };
        let mut search = Search {
            gauge: *self,
            at: probe.at,
            toward: [exit.foot[0], exit.foot[1]],
            // Its own distance, measured along another cut of the same edge, differs by rounding.
            within2: exit.distance2 * (1.0 + 1e-9) + 1e-18,
            avoids: false,
            room,
        };
        let within2 = search.within2;
        let out = search.straight(ceiling, probe.height);
        match out.or_else(|| search.run(ceiling, probe.height)) {
            None => Reach {
                under_filling: search.meets_filling(),
                ..shut()
            },
            Some(out) => {
                let heights = search.heights(&out, probe.height);
                search.tell_way(&out);
                let under_filling = search.passes_filling(&out) && {
                    // Another way may need no more room.
                    let beside = Search {
                        within2,
                        avoids: true,
                        ..search
                    }
                    .run(ceiling, probe.height);
                    beside.is_none_or(|beside| beside.room2 > out.room2 * (1.0 + 1e-9))
                };
                Reach {
                    depth_mm: out.room2.sqrt(),
                    out: [out.foot[0], out.foot[1]],
                    under_filling,
                    heights,
                    ..still
                }
            }
        }
    }
}

impl Search<'_, '_> {
    /// The step out of the way straight toward the nearest exit; `None` if that is not open all along.
    ///
    /// No place of it is farther than the exit, and no way is shorter, so where it is open it is the answer.
    fn straight(&mut self, start: u32, height: f64) -> Option<Step> {
        let Gauge { sight, undersides } = self.gauge;
        let surface = sight.surface;
        let line = Straight::new(self.at, self.toward)?;
        self.room.reached.clear();
        let mut foot = [self.at[0], self.at[1], height];
        let (mut facet, mut from, mut entered) = (start, NONE, u32::MAX);
        let mut gone = f64::NEG_INFINITY;
        for _ in 0..STRAIGHT_STEPS {
            self.room.reached.push(Reached { facet, from, foot });
            from = u32::try_from(self.room.reached.len() - 1).unwrap_or(NONE);
            let cross = line.leaves(sight, facet, entered)?;
            if cross.gone > 1.0 + STRAIGHT_SLACK || cross.gone < gone {
                return None;
            }
            gone = cross.gone;
            foot = cross.foot;
            let edge = surface.facet_edges[facet as usize][cross.side];
            if edge == u32::MAX {
                return None;
            }
            let across = surface.across[facet as usize][cross.side];
            if across != NONE && sight.lean(facet) * sight.lean(across) > 0.0 {
                (facet, entered) = (across, edge);
                continue;
            }
            match join(sight, edge) {
                [a, NONE] if a == facet => {
                    let x = [foot[0], foot[1]];
                    let near =
                        |span: &&Span| nearest(&span.ends, x).1 <= STRAIGHT_SLACK * STRAIGHT_SLACK;
                    let span = undersides.past(edge).iter().find(near)?;
                    if span.above == NONE {
                        let (foot, room2) = nearest(&span.ends, self.at);
                        let key = -1.0;
                        let to = NONE;
                        return (room2 <= self.within2).then_some(Step {
                            key,
                            room2,
                            to,
                            from,
                            foot,
                        });
                    }
                    (facet, entered) = (span.above, u32::MAX);
                }
                [a, b] if a == facet || b == facet => {
                    (facet, entered) = (if a == facet { b } else { a }, edge);
                }
                _ => return None,
            }
        }
        None
    }

    /// The step out, with the room the whole way needs.
    fn run(&mut self, start: u32, height: f64) -> Option<Step> {
        self.room.near.clear();
        self.room.far.clear();
        self.room.reached.clear();
        self.room.seen.clear();
        if self.avoids && self.gauge.sight.surface.is_filling(start) {
            return None;
        }
        self.reach(start, NONE, [self.at[0], self.at[1], height]);
        let mut room2 = 0.0_f64;
        loop {
            let (step, is_near) = match self.room.near.pop() {
                Some(step) => (step, true),
                None => (self.room.far.pop()?, false),
            };
            if step.to != NONE && self.room.seen.has(step.to) {
                continue;
            }
            if !is_near {
                // From here on in order of distance.
                self.within2 = -1.0;
            }
            room2 = room2.max(step.room2);
            if step.to == NONE {
                return Some(Step { room2, ..step });
            }
            self.reach(step.to, step.from, step.foot);
        }
    }

    /// Takes up an underside and the steps on from it.
    fn reach(&mut self, facet: u32, from: u32, foot: [f64; 3]) {
        self.room.seen.insert(facet);
        let number = u32::try_from(self.room.reached.len()).unwrap_or(NONE);
        self.room.reached.push(Reached { facet, from, foot });
        let Gauge { sight, undersides } = self.gauge;
        let surface = sight.surface;
        let corners = surface.triangles[facet as usize];
        let lean = sight.lean(facet);
        for (k, &edge) in surface.facet_edges[facet as usize].iter().enumerate() {
            if edge == u32::MAX {
                continue;
            }
            // Both face the draw or neither does: they lie on opposite sides of the edge.
            let across = surface.across[facet as usize][k];
            if across != NONE && lean * sight.lean(across) > 0.0 {
                let (a, b) = (corners[k], corners[(k + 1) % 3]);
                let ends = [a.min(b), a.max(b)].map(|v| sight.point(v));
                self.step(number, across, &ends);
                continue;
            }
            match join(sight, edge) {
                [a, NONE] if a == facet => {
                    for span in undersides.past(edge) {
                        self.step(number, span.above, &span.ends);
                    }
                }
                [a, b] if a == facet || b == facet => {
                    let ends = surface.edges[edge as usize].ends;
                    let to = if a == facet { b } else { a };
                    self.step(number, to, &ends.map(|v| sight.point(v)));
                }
                _ => (),
            }
        }
        for span in undersides.beneath(facet) {
            self.step(number, span.from, &span.ends);
        }
    }

    fn step(&mut self, from: u32, to: u32, ends: &[[f64; 3]; 2]) {
        if to != NONE && self.room.seen.has(to) {
            return;
        }
        if self.avoids && to != NONE && self.gauge.sight.surface.is_filling(to) {
            return;
        }
        let (foot, room2) = nearest(ends, self.at);
        let is_near = room2 <= self.within2;
        if room2 >= DEPTH_CAP_MM * DEPTH_CAP_MM {
            return;
        }
        let key = if is_near && to != NONE {
            let left = [0, 1].map(|k| foot[k] - self.toward[k]);
            left[0] * left[0] + left[1] * left[1]
        } else if is_near {
            -1.0
        } else {
            room2
        };
        let step = Step {
            key,
            room2,
            to,
            from,
            foot,
        };
        if is_near {
            self.room.near.push(step);
        } else {
            self.room.far.push(step);
        }
    }

    /// Whether anything that was reached closes a hole.
    fn meets_filling(&self) -> bool {
        let surface = self.gauge.sight.surface;
        let mut reached = self.room.reached.iter();
        !surface.holes.is_empty() && reached.any(|reached| surface.is_filling(reached.facet))
    }

    /// Whether a way that was found passes under what closes a hole.
    fn passes_filling(&self, out: &Step) -> bool {
        let surface = self.gauge.sight.surface;
        let mut number = out.from;
        while !surface.holes.is_empty()
            && let Some(reached) = self.room.reached.get(number as usize)
        {
            if surface.is_filling(reached.facet) {
                return true;
            }
            number = reached.from;
        }
        false
    }

    /// Keeps where a way that was found bends.
    fn tell_way(&mut self, out: &Step) {
        let sight = self.gauge.sight;
        let Room {
            reached,
            way,
            bends,
            ..
        } = &mut *self.room;
        way.push([out.foot[0], out.foot[1]]);
        bends.push(out.foot);
        let (mut number, mut left) = (out.from, out.foot);
        while let Some(of) = reached.get(number as usize) {
            way.push([of.foot[0], of.foot[1]]);
            for foot in [left, of.foot] {
                let under = sight.height_at(of.facet, [foot[0], foot[1]]);
                bends.push([foot[0], foot[1], under]);
            }
            bends.push(of.foot);
            (number, left) = (of.from, of.foot);
        }
    }

    /// Least and greatest height of a way that was found: straight under each facet from edge to edge,
    /// and straight up or down past folds.
    fn heights(&self, out: &Step, start: f64) -> [f64; 2] {
        let mut heights = [start.min(out.foot[2]), start.max(out.foot[2])];
        let (mut number, mut left) = (out.from, out.foot);
        while let Some(reached) = self.room.reached.get(number as usize) {
            for foot in [reached.foot, left] {
                let under = self
                    .gauge
                    .sight
                    .height_at(reached.facet, [foot[0], foot[1]]);
                heights = [heights[0].min(foot[2]), heights[1].max(foot[2]).max(under)];
            }
            (number, left) = (reached.from, reached.foot);
        }
        heights
    }
}

/// Facets that a straight way passes under at most.
const STRAIGHT_STEPS: usize = 10_000;

/// Millimetres, and a share of a straight way. Separates the end of one from the rounding of where it crosses an edge.
const STRAIGHT_SLACK: f64 = 1e-9;

/// A straight line in plan, seen from a point toward another.
struct Straight {
    at: Plan,
    along: Plan,
    length2: f64,
}

/// Where a straight line leaves a facet.
struct Crossing {
    /// How far along, as a share of the way.
    gone: f64,
    foot: [f64; 3],
    /// Which edge of the facet.
    side: usize,
}

impl Straight {
    /// `None` if both are one place.
    fn new(at: Plan, toward: Plan) -> Option<Self> {
        let along = [toward[0] - at[0], toward[1] - at[1]];
        let length2 = along[0] * along[0] + along[1] * along[1];
        (length2 > 0.0).then_some(Self { at, along, length2 })
    }

    /// How far a vertex lies to the left, times the length: the same for all facets at it.
    fn left(&self, p: &[f64; 3]) -> f64 {
        self.along[0] * (p[1] - self.at[1]) - self.along[1] * (p[0] - self.at[0])
    }

    /// Where it leaves a facet that it enters across an edge, or in the midst of it.
    fn leaves(&self, sight: &Sight<'_>, facet: u32, entered: u32) -> Option<Crossing> {
        let corners = sight.corners(facet);
        let left = corners.each_ref().map(|p| self.left(p));
        let edges = &sight.surface.facet_edges[facet as usize];
        let mut last: Option<Crossing> = None;
        for side in 0..3 {
            let (i, j) = (side, (side + 1) % 3);
            if edges[side] == entered || (left[i] >= 0.0) == (left[j] >= 0.0) {
                continue;
            }
            // Measured from one end of the edge for both its facets.
            let triangle = sight.surface.triangles[facet as usize];
            let (i, j) = if triangle[i] < triangle[j] {
                (i, j)
            } else {
                (j, i)
            };
            let part = left[i] / (left[i] - left[j]);
            let foot = [0, 1, 2].map(|k| corners[i][k] + part * (corners[j][k] - corners[i][k]));
            let gone = (self.along[0] * (foot[0] - self.at[0])
                + self.along[1] * (foot[1] - self.at[1]))
                / self.length2;
            if last.as_ref().is_none_or(|last| gone > last.gone) {
                last = Some(Crossing { gone, foot, side });
            }
        }
        last
    }
}

/// A set of facets that is cheap to empty.
#[derive(Debug, Default)]
struct Seen {
    /// Facet and the round in which it was put in.
    slots: Vec<(u32, u32)>,
    round: u32,
    count: usize,
}

impl Seen {
    fn clear(&mut self) {
        self.count = 0;
        self.round = self.round.wrapping_add(1);
        if self.slots.is_empty() || self.round == 0 {
            self.slots = vec![(NONE, 0); 256.max(self.slots.len())];
            self.round = 1;
        }
    }

    fn place(&self, facet: u32) -> usize {
        let mask = self.slots.len() - 1;
        // Knuth's multiplicative hash; any that spreads neighbours will do.
        let mut place = (facet.wrapping_mul(2_654_435_769) >> 8) as usize & mask;
        while self.slots[place].1 == self.round && self.slots[place].0 != facet {
            place = (place + 1) & mask;
        }
        place
    }

    fn has(&self, facet: u32) -> bool {
        self.slots[self.place(facet)].1 == self.round
    }

    fn insert(&mut self, facet: u32) {
        if 2 * self.count >= self.slots.len() {
            let old = std::mem::take(&mut self.slots);
            self.slots = vec![(NONE, self.round.wrapping_sub(1)); 2 * old.len()];
            for (other, _) in old.iter().filter(|slot| slot.1 == self.round) {
                let place = self.place(*other);
                self.slots[place] = (*other, self.round);
            }
        }
        let place = self.place(facet);
        if self.slots[place].1 != self.round {
            self.count += 1;
            self.slots[place] = (facet, self.round);
        }
    }
}
