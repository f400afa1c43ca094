//! Samples gathered into patches, for readings over wide cones.
//!
//! Over a cone of some degrees depths are bounded to millimetres only; to read every sample there would
//! say nothing more. So one sample of a patch is read, and the others follow from it.
//!
//! Derivation: from a point `q` of a patch go along the surface, in its air, to the sample `p` that is
//! read, and out as from there. The first part stays within `level` of the line through `q`, where
//! `level` is the patch's own width; the second is at most `|pq|` farther from that line than from the
//! line through `p`. So `u(q) <= max(level, u(p) + |pq|)` for every draw, and the same the other way
//! round. On one facet the first part is straight, and within `|pq|` itself: there `level` is 0.

use super::groups::cube;
use super::samples::Sample;
use super::surface::Surface;
use super::zone::root;
use nalgebra::Vector3;

/// Millimetres. Side of the cubes that patches are cut by.
/// Tuned: 0.5. Smaller reads more samples, larger says less of each: over a cone of 8 degrees about a
/// flank 8 mm high depths are bounded to 1.2 mm anyway.
const SIDE_MM: f64 = 0.5;

/// Of a facet's area, that a sample has to have for it to be the facet.
const WHOLE: f64 = 1.0 - 1e-9;

/// A connected part of a zone, less than a millimetre wide.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Patch {
    /// Its samples, in order.
    pub(crate) samples: Vec<u32>,
    /// The one that is read.
    pub(crate) chosen: u32,
    pub(crate) area_mm2: f64,
    /// No place of it is farther from the centroid of that one.
    pub(crate) spread_mm: f64,
    /// No place of a way along it is farther from any other.
    pub(crate) level_mm: f64,
}

/// The patches of a zone, in order of their first samples.
pub(crate) fn patches(surface: &Surface, samples: &[Sample]) -> Vec<Patch> {
    let cubes: Vec<[i32; 3]> = samples
        .iter()
        .map(|sample| cube(&sample.centroid(), SIDE_MM))
        .collect();
    let mut parent: Vec<usize> = (0..samples.len()).collect();
    let mut join = |a: usize, b: usize| {
        if cubes[a] == cubes[b] {
            let (p, q) = (root(&mut parent, a), root(&mut parent, b));
            parent[p.max(q)] = p.min(q);
        }
    };
    // Of a facet all samples in a cube: the way from one to the other is straight. Samples of a facet
    // stand one after another, but not those of a cube.
    let mut whole = vec![u32::MAX; surface.triangles.len()];
    let mut start = 0;
    for of_facet in samples.chunk_by(|a, b| a.facet == b.facet) {
        let facet = of_facet[0].facet as usize;
        if of_facet.len() == 1 && of_facet[0].area >= WHOLE * surface.areas[facet] {
            whole[facet] = u32::try_from(start).unwrap_or(u32::MAX);
        }
        let mut order: Vec<usize> = (start..start + of_facet.len()).collect();
        order.sort_by_key(|&i| cubes[i]);
        for pair in order.windows(2) {
            join(pair[0], pair[1]);
        }
        start += of_facet.len();
    }
    // Of neighbours only facets that are one sample: across their edge the way leads through both.
    for edge in &surface.edges {
        if let [a, b] = surface.beside(edge) {
            let [a, b] = [a, b].map(|beside| whole[beside.facet as usize]);
            if a != u32::MAX && b != u32::MAX {
                join(a as usize, b as usize);
            }
        }
    }
    let mut members: Vec<(usize, u32)> = (0_u32..)
        .zip(0..samples.len())
        .map(|(i, at)| (root(&mut parent, at), i))
        .collect();
    members.sort_unstable();
    members
        .chunk_by(|a, b| a.0 == b.0)
        .map(|members| patch(samples, members.iter().map(|(_, sample)| *sample).collect()))
        .collect()
}

fn patch(samples: &[Sample], members: Vec<u32>) -> Patch {
    let of = |&i: &u32| &samples[i as usize];
    let sum: Vector3<f64> = members.iter().map(|i| of(i).centroid().coords).sum();
    let middle = sum / members.len() as f64;
    let off = |i: &u32| (of(i).centroid().coords - middle).norm_squared();
    let nearest = members.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    let chosen = nearest.copied().unwrap_or_default();
    let from = samples[chosen as usize].centroid();
    let corners = members.iter().flat_map(|i| of(i).corners);
    let spread_mm = corners.map(|p| (p - from).norm()).fold(0.0, f64::max);
    let facet = samples[chosen as usize].facet;
    let is_one_facet = members.iter().all(|i| of(i).facet == facet);
    Patch {
        chosen,
        area_mm2: members.iter().map(|i| of(i).area).sum(),
        spread_mm,
        level_mm: if is_one_facet { 0.0 } else { 2.0 * spread_mm },
        samples: members,
    }
}
