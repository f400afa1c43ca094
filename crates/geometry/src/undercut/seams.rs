//! What holds where facets meet, whatever the draw: copies of a facet, and rims below which the stone
//! goes on.
//!
//! A scan is a sheet that ends at a rim, the longest border of each of its pieces. Below it the stone
//! goes straight on down, so no way leads from under a facet past the rim: there it is **shut**. One
//! kind of rim hangs free instead: where the surface faces down and comes down from its rim, as where a
//! scan ends in an overhanging crest, stone straight below the rim would fill the very air under the
//! overhang. Other borders are holes, and open until they are filled.

use super::surface::{Beside, Edge};
use super::zone::root;
use nalgebra::{Point3, Vector3};

/// Sine of the angle below the horizontal at which a facet that faces down has to leave its rim for the
/// rim to hang free.
/// Tuned: 0.5. At the side of a scanned flank it is about 0, which noise must not make free; an
/// overhang that ends in its crest comes down more steeply than 45 degrees.
const FREE_FALL: f64 = 0.5;

/// What holds at the edges and facets of a surface, whatever the draw.
#[derive(Debug, Default)]
pub(crate) struct Seams {
    /// For each facet the first one with the same three vertices; `u32::MAX` for one that has no three
    /// vertices.
    pub(crate) first: Vec<u32>,
    /// Of each edge: whether no way leads past it.
    pub(crate) shut: Vec<bool>,
    /// Of each edge: whether it has just two facets, with area and wound alike.
    pub(crate) plain: Vec<bool>,
}

/// The parts of a surface that its seams are made of.
pub(crate) struct Parts<'a> {
    pub(crate) vertices: &'a [Point3<f64>],
    pub(crate) triangles: &'a [[u32; 3]],
    pub(crate) normals: &'a [Vector3<f64>],
    pub(crate) edges: &'a [Edge],
    pub(crate) beside: &'a [Beside],
}

impl Parts<'_> {
    fn around(&self, edge: &Edge) -> &[Beside] {
        edge.of(self.beside)
    }

    fn length(&self, edge: &Edge) -> f64 {
        let [a, b] = edge.ends.map(|v| self.vertices[v as usize]);
        (b - a).norm()
    }

    fn is_plain(&self, edge: &Edge, first: &[u32]) -> bool {
        let good = |b: &Beside| {
            first[b.facet as usize] == b.facet
                && self.normals[b.facet as usize].norm_squared() > 0.0
        };
        match self.around(edge) {
            [a, b] => a.along != b.along && good(a) && good(b),
            _ => false,
        }
    }

    /// Whether a border hangs free, judged by its only facet.
    fn hangs_free(&self, edge: &Edge, facet: u32) -> bool {
        let [a, b] = edge.ends.map(|v| self.vertices[v as usize]);
        let corners = self.triangles[facet as usize];
        let Some(&third) = corners.iter().find(|v| !edge.ends.contains(v)) else {
            return false;
        };
        let along = b - a;
        let to = self.vertices[third as usize] - a;
        let inward = to - along * (to.dot(&along) / along.norm_squared());
        self.normals[facet as usize].z < 0.0 && inward.z < -FREE_FALL * inward.norm()
    }
}

impl Seams {
    pub(crate) fn new(parts: &Parts<'_>) -> Self {
        let first = first_copies(parts.triangles);
        let mut piece: Vec<usize> = (0..parts.triangles.len()).collect();
        let mut loops: Vec<usize> = (0..parts.vertices.len()).collect();
        // The only facet of each border edge, not counting copies.
        let mut only = vec![u32::MAX; parts.edges.len()];
        for (edge, only) in parts.edges.iter().zip(&mut only) {
            let mut around = parts.around(edge).iter().map(|b| first[b.facet as usize]);
            let mut around = around.by_ref().filter(|&f| f != u32::MAX);
            let Some(facet) = around.next() else { continue };
            *only = facet;
            for other in around {
                if other != facet {
                    *only = u32::MAX;
                }
                join(&mut piece, facet, other);
            }
            if *only != u32::MAX {
                join(&mut loops, edge.ends[0], edge.ends[1]);
            }
        }
        let borders = || {
            (0..)
                .zip(parts.edges.iter().zip(&only))
                .filter(|(_, (_, f))| **f != u32::MAX)
        };
        let mut length_mm = vec![0.0; parts.vertices.len()];
        for (_, (edge, _)) in borders() {
            length_mm[root(&mut loops, edge.ends[0] as usize)] += parts.length(edge);
        }
        // Of each piece: its longest border.
        let mut longest: Vec<usize> = vec![usize::MAX; parts.triangles.len()];
        for (_, (edge, &facet)) in borders() {
            let (piece, border) = (
                root(&mut piece, facet as usize),
                root(&mut loops, edge.ends[0] as usize),
            );
            let so_far = longest[piece];
            if so_far == usize::MAX || length_mm[border] > length_mm[so_far] {
                longest[piece] = border;
            }
        }
        let mut shut = vec![false; parts.edges.len()];
        for (i, (edge, &facet)) in borders() {
            let (piece, border) = (
                root(&mut piece, facet as usize),
                root(&mut loops, edge.ends[0] as usize),
            );
            shut[i] = longest[piece] == border && !parts.hangs_free(edge, facet);
        }
        let plain = parts.edges.iter().map(|edge| parts.is_plain(edge, &first));
        Self {
            plain: plain.collect(),
            first,
            shut,
        }
    }
}

fn join(parent: &mut [usize], a: u32, b: u32) {
    let (p, q) = (root(parent, a as usize), root(parent, b as usize));
    parent[p.max(q)] = p.min(q);
}

/// For each facet the first with the same vertices, if it has three.
fn first_copies(triangles: &[[u32; 3]]) -> Vec<u32> {
    let mut keyed: Vec<([u32; 3], u32)> = (0_u32..)
        .zip(triangles)
        .map(|(facet, t)| {
            let mut key = *t;
            key.sort_unstable();
            (key, facet)
        })
        .collect();
    keyed.sort_unstable();
    let mut first = vec![u32::MAX; triangles.len()];
    for copies in keyed.chunk_by(|a, b| a.0 == b.0) {
        let ([a, b, c], one) = copies[0];
        if a < b && b < c {
            for (_, facet) in copies {
                first[*facet as usize] = one;
            }
        }
    }
    first
}
