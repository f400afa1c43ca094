//! The samples of a zone, sorted into small patches of one facing and larger sectors.
//!
//! Over a patch the gauge reads nearly the same, so one reading tells which patches can hold the
//! deepest point. A sector is small enough that its depth changes smoothly with the draw, where the
//! depth of a zone jumps in slope from one place to another: so sectors are what is interpolated.

use super::samples::Sample;
use nalgebra::{Point3, Vector3};
use std::ops::Range;

/// Millimetres. Side of a sector.
/// Tuned: 5. Smaller is smoother in the draw but takes more readings for the deepest of each.
const SECTOR_MM: f64 = 5.0;

/// Samples of a zone by sector, then patch, then facet.
#[derive(Debug)]
pub(crate) struct Groups {
    order: Vec<u32>,
    /// Where each patch starts in the order, and the end.
    patches: Vec<u32>,
    /// The first patch of each sector, and the end.
    sectors: Vec<u32>,
}

impl Groups {
    pub(crate) fn new(samples: &[Sample], normals: &[Vector3<f64>], patch_mm: f64) -> Self {
        let mut keyed: Vec<_> = (0_u32..)
            .zip(samples)
            .map(|(index, sample)| {
                let middle = sample.centroid();
                let normal = &normals[sample.facet as usize];
                let patch = (cube(&middle, patch_mm), side(normal));
                (cube(&middle, SECTOR_MM), patch, index)
            })
            .collect();
        keyed.sort_unstable();
        let mut groups = Self {
            order: keyed.iter().map(|key| key.2).collect(),
            patches: Vec::new(),
            sectors: Vec::new(),
        };
        let mut start = 0_u32;
        for patch in keyed.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
            let number = u32::try_from(groups.patches.len()).unwrap_or(u32::MAX);
            if start == 0 || keyed[start as usize - 1].0 != patch[0].0 {
                groups.sectors.push(number);
            }
            groups.patches.push(start);
            start += u32::try_from(patch.len()).unwrap_or(u32::MAX);
        }
        groups
            .sectors
            .push(u32::try_from(groups.patches.len()).unwrap_or(u32::MAX));
        groups.patches.push(start);
        groups
    }

    /// Number of sectors.
    pub(crate) fn sectors(&self) -> usize {
        self.sectors.len() - 1
    }

    /// The patches of a sector.
    pub(crate) fn sector(&self, sector: usize) -> Range<usize> {
        self.sectors[sector] as usize..self.sectors[sector + 1] as usize
    }

    /// All patches.
    pub(crate) fn all(&self) -> Range<usize> {
        0..self.patches.len() - 1
    }

    /// The samples of a patch.
    pub(crate) fn patch(&self, patch: usize) -> &[u32] {
        &self.order[self.patches[patch] as usize..self.patches[patch + 1] as usize]
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast is a few thousand patches across, and the cast saturates"
)]
pub(crate) fn cube(p: &Point3<f64>, side_mm: f64) -> [i32; 3] {
    [p.x, p.y, p.z].map(|x| (x / side_mm).floor() as i32)
}

/// Which side of a cube a normal points to, so that the two faces of a thin wall are kept apart.
pub(crate) fn side(normal: &Vector3<f64>) -> u8 {
    let axis = normal.iamax();
    let sign = usize::from(normal[axis] < 0.0);
    u8::try_from(2 * axis + sign).unwrap_or(0)
}
