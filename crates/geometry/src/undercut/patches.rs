//! The samples of a zone in small patches of facets that hang together, whatever the draw.
//!
//! Along a patch one goes from any place to any other without leaving its facets, across edges that have
//! just two facets, wound alike: so in the air of one side.

use super::samples::Sample;
use super::surface::Surface;
use super::zone::root;
use nalgebra::Point3;

/// Millimetres. Facets whose middles lie in one cube of this side may share a patch.
/// Tuned: 0.35. Smaller takes a reading for each of more patches, larger tells less of the rest of a
/// patch from one reading. The `read` and `preview` benches would notice.
const PATCH_MM: f64 = 0.35;

/// The samples of a zone by patch.
#[derive(Debug)]
pub(crate) struct Patches {
    order: Vec<u32>,
    /// Where each patch starts in the order, and the end.
    starts: Vec<u32>,
}

impl Patches {
    /// Samples must come in the order of their facets.
    pub(crate) fn new(surface: &Surface, samples: &[Sample]) -> Self {
        let facets: Vec<u32> = samples
            .chunk_by(|a, b| a.facet == b.facet)
            .map(|of_facet| of_facet[0].facet)
            .collect();
        let cubes: Vec<[i32; 3]> = facets
            .iter()
            .map(|&facet| {
                let [a, b, c] = surface.corners(facet as usize);
                cube(
                    &Point3::from((a.coords + b.coords + c.coords) / 3.0),
                    PATCH_MM,
                )
            })
            .collect();
        let mut parent: Vec<usize> = (0..facets.len()).collect();
        for (i, &facet) in facets.iter().enumerate() {
            for &edge in &surface.facet_edges[facet as usize] {
                if edge == u32::MAX || !surface.seams.plain[edge as usize] {
                    continue;
                }
                for beside in surface.beside(&surface.edges[edge as usize]) {
                    if let Ok(other) = facets.binary_search(&beside.facet)
                        && cubes[other] == cubes[i]
                    {
                        let (p, q) = (root(&mut parent, i), root(&mut parent, other));
                        parent[p.max(q)] = p.min(q);
                    }
                }
            }
        }
        let mut keyed: Vec<(usize, u32)> = (0_u32..)
            .zip(samples)
            .filter_map(|(sample, of)| {
                let facet = facets.binary_search(&of.facet).ok()?;
                Some((root(&mut parent, facet), sample))
            })
            .collect();
        keyed.sort_unstable();
        let mut starts = vec![0];
        for patch in keyed.chunk_by(|a, b| a.0 == b.0) {
            let end = starts.last().copied().unwrap_or(0);
            starts.push(end + u32::try_from(patch.len()).unwrap_or(u32::MAX));
        }
        Self {
            order: keyed.into_iter().map(|(_, sample)| sample).collect(),
            starts,
        }
    }

    /// How many patches there are.
    pub(crate) fn count(&self) -> usize {
        self.starts.len() - 1
    }

    /// The samples of a patch, in the order of their facets.
    pub(crate) fn patch(&self, patch: usize) -> &[u32] {
        &self.order[self.starts[patch] as usize..self.starts[patch + 1] as usize]
    }
}

/// The cube of a grid in which a place lies.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast is a few thousand patches across, and the cast saturates"
)]
pub(crate) fn cube(p: &Point3<f64>, side_mm: f64) -> [i32; 3] {
    [p.x, p.y, p.z].map(|x| (x / side_mm).floor() as i32)
}
