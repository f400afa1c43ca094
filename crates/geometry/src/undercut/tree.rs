//! Facets sorted into boxes in boxes, once, for straight lines in any direction.
//!
//! A bounding volume hierarchy, halved at the median along the longest extent of the facets' middles
//! (Kay and Kajiya, "Ray tracing complex scenes", Computer Graphics 20, 1986, 269-278). What a line
//! meets is decided by the facets themselves; the boxes, rounded outward, only spare asking.

use super::normal_cone::{Facing, NormalCone};
use super::surface::Surface;
use nalgebra::{Point3, Vector3};

/// Facets that share a box without halving it.
/// Tuned: 3. Smaller spends time on boxes, larger on facets.
const LEAF: usize = 3;

#[derive(Debug, Clone, Copy)]
struct Node {
    low: [f32; 3],
    high: [f32; 3],
    /// Of a leaf: where its facets start. Else: its second half; the first is the next node.
    at: u32,
    /// Facets of a leaf; 0 for a node with halves.
    count: u32,
}

/// The facets of a surface in boxes.
#[derive(Debug)]
pub(crate) struct Tree {
    nodes: Vec<Node>,
    /// Of each node: holds the normals of its facets and of their neighbours; any direction where an edge has
    /// not just two facets, wound alike.
    cones: Vec<NormalCone>,
    facets: Vec<u32>,
}

/// A straight line from a place.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Line {
    pub(crate) from: Point3<f64>,
    pub(crate) along: Vector3<f64>,
}

impl Tree {
    pub(crate) fn new(surface: &Surface) -> Self {
        let mut middles: Vec<([f64; 3], u32)> = (0_u32..)
            .zip(&surface.areas)
            .filter(|(_, area)| **area > 0.0)
            .map(|(facet, _)| {
                let [a, b, c] = surface.corners(facet as usize);
                ((a.coords + b.coords + c.coords).into(), facet)
            })
            .collect();
        let mut tree = Self {
            nodes: Vec::with_capacity(middles.len()),
            cones: Vec::new(),
            facets: Vec::with_capacity(middles.len()),
        };
        tree.sort(surface, &mut middles);
        tree.cones = vec![NormalCone::ANY; tree.nodes.len()];
        // Halves come after what they are halves of.
        for number in (0..tree.nodes.len()).rev() {
            let node = &tree.nodes[number];
            tree.cones[number] = if node.count > 0 {
                tree.leaf_cone(surface, node)
            } else {
                tree.cones[number + 1].both(&tree.cones[node.at as usize])
            };
        }
        tree
    }

    fn leaf_cone(&self, surface: &Surface, leaf: &Node) -> NormalCone {
        let mut normals = Vec::with_capacity(4 * LEAF);
        for &facet in self.leaf(leaf) {
            normals.push(surface.normals[facet as usize]);
            for &edge in &surface.facet_edges[facet as usize] {
                if edge == u32::MAX || !surface.seams.plain[edge as usize] {
                    return NormalCone::ANY;
                }
                let beside = surface.beside(&surface.edges[edge as usize]);
                normals.extend(beside.iter().map(|b| surface.normals[b.facet as usize]));
            }
        }
        NormalCone::around(normals.into_iter())
    }

    fn leaf(&self, leaf: &Node) -> &[u32] {
        &self.facets[leaf.at as usize..(leaf.at + leaf.count) as usize]
    }

    /// Asks facets whose boxes may meet a box, until `ask` says that it is enough.
    pub(crate) fn ask_in(
        &self,
        low: &Point3<f64>,
        high: &Point3<f64>,
        mut ask: impl FnMut(u32) -> bool,
    ) {
        let meets = |node: &Node| {
            (0..3).all(|k| f64::from(node.low[k]) <= high[k] && low[k] <= f64::from(node.high[k]))
        };
        self.ask_where(|_, node| meets(node), &mut ask);
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
        let may_be = |number: usize, node: &Node| {
            let (middle, half) = node.block();
            test(middle, half) && self.cones[number].facing(up, cone_rad) == Facing::Either
        };
        self.ask_where(may_be, &mut ask);
    }

    fn ask_where(
        &self,
        is_asked: impl Fn(usize, &Node) -> bool,
        ask: &mut impl FnMut(u32) -> bool,
    ) {
        // As deep as there are halvings of a number of 32 bits.
        let mut stack = [0_u32; 72];
        let mut height = usize::from(!self.nodes.is_empty());
        while height > 0 {
            height -= 1;
            let number = stack[height] as usize;
            let node = &self.nodes[number];
            if !is_asked(number, node) {
                continue;
            }
            if node.count > 0 {
                if self.leaf(node).iter().any(|facet| ask(*facet)) {
                    return;
                }
            } else if height + 2 <= stack.len() {
                stack[height] = node.at;
                stack[height + 1] = small(number + 1);
                height += 2;
            }
        }
    }

    fn sort(&mut self, surface: &Surface, facets: &mut [([f64; 3], u32)]) {
        let number = self.nodes.len();
        let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        let (mut least, mut most) = (low, high);
        for (middle, facet) in facets.iter() {
            for k in 0..3 {
                least[k] = least[k].min(middle[k]);
                most[k] = most[k].max(middle[k]);
                for corner in surface.corners(*facet as usize) {
                    low[k] = low[k].min(corner[k]);
                    high[k] = high[k].max(corner[k]);
                }
            }
        }
        #[expect(clippy::cast_possible_truncation, reason = "rounded outward")]
        let mut node = Node {
            low: low.map(|x| (x as f32).next_down()),
            high: high.map(|x| (x as f32).next_up()),
            at: small(self.facets.len()),
            count: small(facets.len()),
        };
        if facets.len() <= LEAF {
            self.facets.extend(facets.iter().map(|(_, facet)| *facet));
            self.nodes.push(node);
            return;
        }
        let size = [0, 1, 2].map(|k| most[k] - least[k]);
        let axis = (0..3).fold(0, |best, k| if size[k] > size[best] { k } else { best });
        let half = facets.len() / 2;
        facets.select_nth_unstable_by(half, |a, b| {
            a.0[axis].total_cmp(&b.0[axis]).then(a.1.cmp(&b.1))
        });
        node.count = 0;
        self.nodes.push(node);
        let (one, other) = facets.split_at_mut(half);
        self.sort(surface, one);
        self.nodes[number].at = small(self.nodes.len());
        self.sort(surface, other);
    }

    /// Asks facets that a line may meet within `reach` how far along it they are; what `ask` answers
    /// is how far it is still worth looking.
    pub(crate) fn ask(&self, line: &Line, reach: f64, mut ask: impl FnMut(u32, f64) -> f64) {
        if self.nodes.is_empty() {
            return;
        }
        let inverse = [0, 1, 2].map(|k| 1.0 / line.along[k]);
        let mut reach = reach;
        // As deep as there are halvings of a number of 32 bits.
        let mut stack = [(0_u32, 0.0_f64); 72];
        let mut height = 0;
        if let Some(enters) = self.nodes[0].enters(line, &inverse, reach) {
            stack[0] = (0, enters);
            height = 1;
        }
        while height > 0 {
            height -= 1;
            let (number, enters) = stack[height];
            if enters > reach {
                continue;
            }
            let node = &self.nodes[number as usize];
            if node.count > 0 {
                for &facet in &self.facets[node.at as usize..(node.at + node.count) as usize] {
                    reach = ask(facet, reach);
                }
                continue;
            }
            let halves = [number + 1, node.at];
            let near = halves.map(|half| self.nodes[half as usize].enters(line, &inverse, reach));
            let mut put = |half: usize| {
                if let Some(enters) = near[half]
                    && height < stack.len()
                {
                    stack[height] = (halves[half], enters);
                    height += 1;
                }
            };
            // The nearer half is looked at first.
            if near[0] <= near[1] {
                put(1);
                put(0);
            } else {
                put(0);
                put(1);
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
        let mut left = Vec::with_capacity(64);
        if !self.nodes.is_empty() {
            left.push(0_u32);
        }
        while let Some(number) = left.pop() {
            let node = &self.nodes[number as usize];
            let (middle, half) = node.block();
            if bound(middle, half) >= least {
                continue;
            }
            if node.count > 0 {
                for &facet in &self.facets[node.at as usize..(node.at + node.count) as usize] {
                    least = ask(facet, least);
                }
            } else {
                left.push(node.at);
                left.push(number + 1);
            }
        }
    }
}

impl Node {
    /// Middle and half size.
    fn block(&self) -> (Vector3<f64>, Vector3<f64>) {
        let (low, high) = (self.low.map(f64::from), self.high.map(f64::from));
        (
            Vector3::from([0, 1, 2].map(|k| 0.5 * (low[k] + high[k]))),
            Vector3::from([0, 1, 2].map(|k| 0.5 * (high[k] - low[k]))),
        )
    }

    /// How far along the line it enters the box, if it does within `reach`.
    fn enters(&self, line: &Line, inverse: &[f64; 3], reach: f64) -> Option<f64> {
        let (mut enters, mut leaves) = (0.0_f64, reach);
        for (k, inverse) in inverse.iter().enumerate() {
            let a = (f64::from(self.low[k]) - line.from[k]) * inverse;
            let b = (f64::from(self.high[k]) - line.from[k]) * inverse;
            enters = enters.max(a.min(b));
            leaves = leaves.min(a.max(b));
        }
        (enters <= leaves).then_some(enters)
    }
}

fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
