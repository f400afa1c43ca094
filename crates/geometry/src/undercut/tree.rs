//! Facets sorted into boxes in boxes, once, for straight lines in any direction.
//!
//! A bounding volume hierarchy, halved at the median along the longest extent of the facets' middles
//! (Kay and Kajiya, "Ray tracing complex scenes", Computer Graphics 20, 1986, 269-278), two halvings to a
//! node, whose four boxes are tested side by side (Dammertz, Hanika and Keller, "Shallow bounding volume
//! hierarchies for fast SIMD ray tracing of incoherent rays", Computer Graphics Forum 27, 2008, 1225-1233). What
//! a line meets is decided by the facets themselves; the boxes, rounded outward, only spare asking.

use super::normal_cone::{Facing, NormalCone};
use super::surface::Surface;
use nalgebra::{Point3, Vector3};

/// Facets that share a box without halving it.
/// Tuned: 4. Smaller spends time on boxes, larger on facets.
const LEAF: usize = 4;

/// Boxes of a node.
const WIDTH: usize = 4;

/// Pure number: how much wider boxes are made, times the size of all. Places along lines are worked out in single
/// precision, relative to the middle of all, to a tenth of that.
const WIDER: f64 = 4e-6;

/// Four boxes.
#[derive(Debug, Clone)]
struct Node {
    low: [[f32; WIDTH]; 3],
    high: [[f32; WIDTH]; 3],
    halves: [Half; WIDTH],
}

/// What is in a box.
#[derive(Debug, Clone, Copy)]
enum Half {
    Nothing,
    Node(u32),
    Facets { start: u32, count: u32 },
}

/// A facet with its corners at hand.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Packed {
    pub(crate) facet: u32,
    pub(crate) ids: [u32; 3],
    pub(crate) corners: [Vector3<f64>; 3],
}

/// The facets of a surface in boxes.
#[derive(Debug)]
pub(crate) struct Tree {
    /// The first holds all.
    nodes: Vec<Node>,
    /// Of each box: holds the normals of its facets and of their neighbours; any direction where an edge has
    /// not just two facets, wound alike.
    cones: Vec<[NormalCone; WIDTH]>,
    facets: Vec<Packed>,
    /// The middle of all, from which boxes are measured.
    middle: Vector3<f64>,
    /// How much wider boxes are made, mm.
    wider_mm: f64,
}

/// A straight line from a place.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Line {
    pub(crate) from: Point3<f64>,
    pub(crate) along: Vector3<f64>,
}

/// What is known of a facet while the tree is made.
struct Made {
    middle: [f64; 3],
    facet: u32,
}

impl Tree {
    pub(crate) fn new(surface: &Surface) -> Self {
        let mut made: Vec<Made> = (0_u32..)
            .zip(&surface.areas)
            .filter(|(_, area)| **area > 0.0)
            .map(|(facet, _)| {
                let [a, b, c] = surface.corners(facet as usize);
                Made {
                    middle: (a.coords + b.coords + c.coords).into(),
                    facet,
                }
            })
            .collect();
        let [low, high] = if made.is_empty() {
            [Vector3::zeros(); 2]
        } else {
            around(surface, &made)
        };
        let mut tree = Self {
            nodes: Vec::with_capacity(made.len() / 2 + 1),
            cones: Vec::new(),
            facets: Vec::with_capacity(made.len()),
            middle: 0.5 * (low + high),
            wider_mm: WIDER * (high - low).max(),
        };
        if !made.is_empty() {
            tree.node(surface, &mut made);
        }
        tree.cones = vec![[NormalCone::ANY; WIDTH]; tree.nodes.len()];
        // What is in a box comes after it.
        for number in (0..tree.nodes.len()).rev() {
            let halves = tree.nodes[number].halves;
            for (k, half) in halves.into_iter().enumerate() {
                tree.cones[number][k] = match half {
                    Half::Nothing => NormalCone::ANY,
                    Half::Facets { start, count } => tree.leaf_cone(surface, start, count),
                    Half::Node(node) => tree.node_cone(node),
                };
            }
        }
        tree
    }

    fn leaf_cone(&self, surface: &Surface, start: u32, count: u32) -> NormalCone {
        let mut normals = Vec::with_capacity(4 * LEAF);
        for packed in self.leaf(start, count) {
            normals.push(surface.normals[packed.facet as usize]);
            for &edge in &surface.facet_edges[packed.facet as usize] {
                if edge == u32::MAX || !surface.seams.plain[edge as usize] {
                    return NormalCone::ANY;
                }
                let beside = surface.beside(&surface.edges[edge as usize]);
                normals.extend(beside.iter().map(|b| surface.normals[b.facet as usize]));
            }
        }
        NormalCone::around(normals.into_iter())
    }

    fn node_cone(&self, node: u32) -> NormalCone {
        let halves = self.nodes[node as usize].halves.iter();
        let cones = halves.zip(&self.cones[node as usize]);
        let cones = cones.filter(|(half, _)| !matches!(half, Half::Nothing));
        cones
            .map(|(_, cone)| *cone)
            .reduce(|a, b| a.both(&b))
            .unwrap_or(NormalCone::ANY)
    }

    fn leaf(&self, start: u32, count: u32) -> &[Packed] {
        &self.facets[start as usize..(start + count) as usize]
    }

    /// Makes a node of at least one facet, and says which.
    fn node(&mut self, surface: &Surface, made: &mut [Made]) -> u32 {
        let number = self.nodes.len();
        self.nodes.push(Node {
            low: [[f32::INFINITY; WIDTH]; 3],
            high: [[f32::NEG_INFINITY; WIDTH]; 3],
            halves: [Half::Nothing; WIDTH],
        });
        let (one, other) = halve(made);
        let quarters: [&mut [Made]; WIDTH] = {
            let ((a, b), (c, d)) = (halve(one), halve(other));
            [a, b, c, d]
        };
        for (k, quarter) in quarters.into_iter().enumerate() {
            if quarter.is_empty() {
                continue;
            }
            let [low, high] = around(surface, quarter);
            for axis in 0..3 {
                let low = low[axis] - self.middle[axis] - self.wider_mm;
                let high = high[axis] - self.middle[axis] + self.wider_mm;
                #[expect(clippy::cast_possible_truncation, reason = "rounded outward")]
                let [low, high] = [(low as f32).next_down(), (high as f32).next_up()];
                self.nodes[number].low[axis][k] = low;
                self.nodes[number].high[axis][k] = high;
            }
            self.nodes[number].halves[k] = if quarter.len() <= LEAF {
                let start = small(self.facets.len());
                self.facets.extend(quarter.iter().map(|made| Packed {
                    facet: made.facet,
                    ids: surface.triangles[made.facet as usize],
                    corners: surface.corners(made.facet as usize).map(|p| p.coords),
                }));
                Half::Facets {
                    start,
                    count: small(quarter.len()),
                }
            } else {
                Half::Node(self.node(surface, quarter))
            };
        }
        small(number)
    }

    /// Asks facets whose boxes may meet a box, until `ask` says that it is enough.
    pub(crate) fn ask_in(
        &self,
        low: &Point3<f64>,
        high: &Point3<f64>,
        mut ask: impl FnMut(u32) -> bool,
    ) {
        let (middle, half) = (0.5 * (low.coords + high.coords), 0.5 * (high - low));
        let meets = |_: &NormalCone, at: Vector3<f64>, reach: Vector3<f64>| {
            (0..3).all(|k| (at[k] - middle[k]).abs() <= reach[k] + half[k])
        };
        self.ask_where(meets, &mut ask);
    }

    /// Asks facets that may have an edge at which not all facets face all draws of a cone, nor all away from
    /// them, in boxes of which a test, told of middle and half size, says so; until `ask` says that it is
    /// enough.
    pub(crate) fn ask_contours(
        &self,
        up: &Vector3<f64>,
        cone_rad: f64,
        test: impl Fn(Vector3<f64>, Vector3<f64>) -> bool,
        mut ask: impl FnMut(u32) -> bool,
    ) {
        let may_be = |cone: &NormalCone, middle, half| {
            test(middle, half) && cone.facing(up, cone_rad) == Facing::Either
        };
        self.ask_where(may_be, &mut ask);
    }

    fn ask_where(
        &self,
        is_asked: impl Fn(&NormalCone, Vector3<f64>, Vector3<f64>) -> bool,
        ask: &mut impl FnMut(u32) -> bool,
    ) {
        let mut left = Left::new(self);
        while let Some((number, _)) = left.pop() {
            let node = &self.nodes[number as usize];
            for k in 0..WIDTH {
                if matches!(node.halves[k], Half::Nothing) {
                    continue;
                }
                let (middle, half) = self.block(node, k);
                if !is_asked(&self.cones[number as usize][k], middle, half) {
                    continue;
                }
                match node.halves[k] {
                    Half::Nothing => (),
                    Half::Node(next) => left.push(next, 0.0),
                    Half::Facets { start, count } => {
                        if self.leaf(start, count).iter().any(|of| ask(of.facet)) {
                            return;
                        }
                    }
                }
            }
        }
    }

    /// Asks facets that a line may meet within `reach` how far along it they are; what `ask` answers
    /// is how far it is still worth looking.
    pub(crate) fn ask(&self, line: &Line, reach: f64, mut ask: impl FnMut(&Packed, f64) -> f64) {
        let from = line.from.coords - self.middle;
        #[expect(clippy::cast_possible_truncation, reason = "boxes are wider than that")]
        let from = [0, 1, 2].map(|k| from[k] as f32);
        #[expect(clippy::cast_possible_truncation, reason = "boxes are wider than that")]
        let inverse = [0, 1, 2].map(|k| {
            let along = line.along[k];
            (1.0 / along.abs().max(LEAST_ALONG).copysign(along)) as f32
        });
        let mut reach = reach;
        let mut left = Left::new(self);
        while let Some((number, enters)) = left.pop() {
            if f64::from(enters) > reach {
                continue;
            }
            let node = &self.nodes[number as usize];
            let (enters, leaves) = node.crossed(&from, &inverse);
            let mut nodes = [(0.0_f32, 0_u32); WIDTH];
            let mut count = 0;
            for k in 0..WIDTH {
                if enters[k] > leaves[k] || f64::from(enters[k]) > reach {
                    continue;
                }
                match node.halves[k] {
                    Half::Nothing => (),
                    Half::Facets { start, count } => {
                        for packed in self.leaf(start, count) {
                            reach = ask(packed, reach);
                        }
                    }
                    Half::Node(next) => {
                        nodes[count] = (enters[k], next);
                        count += 1;
                    }
                }
            }
            // The nearest is looked at first.
            nodes[..count].sort_unstable_by(|a, b| b.0.total_cmp(&a.0));
            for (enters, next) in &nodes[..count] {
                left.push(*next, *enters);
            }
        }
    }

    /// Asks facets in boxes of which a bound, told of middle and half size, is below the least so far;
    /// what `ask` answers is the new least.
    pub(crate) fn ask_by(
        &self,
        bound: impl Fn(Vector3<f64>, Vector3<f64>) -> f64,
        least: f64,
        mut ask: impl FnMut(u32, f64) -> f64,
    ) {
        let mut least = least;
        let mut left = Left::new(self);
        while let Some((number, _)) = left.pop() {
            let node = &self.nodes[number as usize];
            for k in (0..WIDTH).rev() {
                if matches!(node.halves[k], Half::Nothing) {
                    continue;
                }
                let (middle, half) = self.block(node, k);
                if bound(middle, half) >= least {
                    continue;
                }
                match node.halves[k] {
                    Half::Nothing => (),
                    Half::Node(next) => left.push(next, 0.0),
                    Half::Facets { start, count } => {
                        for packed in self.leaf(start, count) {
                            least = ask(packed.facet, least);
                        }
                    }
                }
            }
        }
    }

    /// Middle and half size of a box.
    fn block(&self, node: &Node, k: usize) -> (Vector3<f64>, Vector3<f64>) {
        let low = [0, 1, 2].map(|axis| f64::from(node.low[axis][k]));
        let high = [0, 1, 2].map(|axis| f64::from(node.high[axis][k]));
        (
            self.middle + Vector3::from([0, 1, 2].map(|axis| 0.5 * (low[axis] + high[axis]))),
            Vector3::from([0, 1, 2].map(|axis| 0.5 * (high[axis] - low[axis]))),
        )
    }
}

/// Pure number: lines lean at least so much along each axis, which moves none of them by as much as boxes are
/// wider.
const LEAST_ALONG: f64 = 1e-9;

impl Node {
    /// How far along a line it enters and leaves each box; it misses those that it leaves before.
    fn crossed(&self, from: &[f32; 3], inverse: &[f32; 3]) -> ([f32; WIDTH], [f32; WIDTH]) {
        let (mut enters, mut leaves) = ([0.0_f32; WIDTH], [f32::INFINITY; WIDTH]);
        for axis in 0..3 {
            for k in 0..WIDTH {
                let a = (self.low[axis][k] - from[axis]) * inverse[axis];
                let b = (self.high[axis][k] - from[axis]) * inverse[axis];
                let (near, far) = if a < b { (a, b) } else { (b, a) };
                enters[k] = if near > enters[k] { near } else { enters[k] };
                leaves[k] = if far < leaves[k] { far } else { leaves[k] };
            }
        }
        (enters, leaves)
    }
}

/// Nodes that are left to look at.
struct Left {
    nodes: [(u32, f32); MOST_LEFT],
    count: usize,
}

/// As many as there are quarterings of a number of 32 bits, three left of each.
const MOST_LEFT: usize = 64;

impl Left {
    fn new(tree: &Tree) -> Self {
        Self {
            nodes: [(0, 0.0); MOST_LEFT],
            count: usize::from(!tree.nodes.is_empty()),
        }
    }

    fn pop(&mut self) -> Option<(u32, f32)> {
        self.count = self.count.checked_sub(1)?;
        Some(self.nodes[self.count])
    }

    fn push(&mut self, number: u32, enters: f32) {
        self.nodes[self.count] = (number, enters);
        self.count += 1;
    }
}

/// Cuts facets in two at the median along the longest extent of their middles; as many as share a box are not
/// cut.
fn halve(made: &mut [Made]) -> (&mut [Made], &mut [Made]) {
    if made.len() <= LEAF {
        return made.split_at_mut(made.len());
    }
    let (mut least, mut most) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for k in 0..3 {
        for Made { middle, .. } in made.iter() {
            least[k] = least[k].min(middle[k]);
            most[k] = most[k].max(middle[k]);
        }
    }
    let size = [0, 1, 2].map(|k| most[k] - least[k]);
    let axis = (0..3).fold(0, |best, k| if size[k] > size[best] { k } else { best });
    let half = made.len() / 2;
    made.select_nth_unstable_by(half, |a, b| {
        let order = a.middle[axis].total_cmp(&b.middle[axis]);
        order.then(a.facet.cmp(&b.facet))
    });
    made.split_at_mut(half)
}

/// Lowest and highest coordinates of some facets.
fn around(surface: &Surface, made: &[Made]) -> [Vector3<f64>; 2] {
    let mut low = Vector3::repeat(f64::INFINITY);
    let mut high = Vector3::repeat(f64::NEG_INFINITY);
    for corner in (made.iter()).flat_map(|made| surface.corners(made.facet as usize)) {
        low = low.inf(&corner.coords);
        high = high.sup(&corner.coords);
    }
    [low, high]
}

fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
