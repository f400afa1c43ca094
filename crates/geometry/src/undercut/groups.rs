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
    /// The cube of each sector, in order.
    cubes: Vec<[i32; 3]>,
}

impl Groups {
    /// `like`: the groups of the same zone cut finer, whose sectors to keep to.
    pub(crate) fn new(
        samples: &[Sample],
        normals: &[Vector3<f64>],
        patch_mm: f64,
        like: Option<&Self>,
    ) -> Self {
        let cubes = like.map_or_else(|| cubes_of(samples), |like| like.cubes.clone());
        let mut keyed: Vec<_> = (0_u32..)
            .zip(samples)
            .map(|(index, sample)| {
                let middle = sample.centroid();
                let normal = &normals[sample.facet as usize];
                let patch = (cube(&middle, patch_mm), side(normal));
                (sector_of(&cubes, &middle), patch, index)
            })
            .collect();
        keyed.sort_unstable();
        let mut groups = Self {
            order: keyed.iter().map(|key| key.2).collect(),
            patches: Vec::new(),
            sectors: Vec::new(),
            cubes,
        };
        let mut start = 0_u32;
        for patch in keyed.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
            groups.start_sectors(patch[0].0 + 1);
            groups.patches.push(start);
            start += number(patch.len());
        }
        groups.start_sectors(groups.cubes.len() + 1);
        groups.patches.push(start);
        groups
    }

    /// Starts sectors here until there are so many; all but the last of them are empty.
    fn start_sectors(&mut self, count: usize) {
        self.sectors.resize(count, number(self.patches.len()));
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

fn number(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// The cubes that hold samples, in order.
fn cubes_of(samples: &[Sample]) -> Vec<[i32; 3]> {
    let of = |sample: &Sample| cube(&sample.centroid(), SECTOR_MM);
    let mut cubes: Vec<[i32; 3]> = samples.iter().map(of).collect();
    cubes.sort_unstable();
    cubes.dedup();
    cubes
}

/// The sector of a place: the one whose cube holds it, or else is nearest.
fn sector_of(cubes: &[[i32; 3]], place: &Point3<f64>) -> usize {
    let away = |cube: &[i32; 3]| {
        let middle = Vector3::from(cube.map(f64::from)).add_scalar(0.5) * SECTOR_MM;
        (place.coords - middle).norm_squared()
    };
    cubes
        .binary_search(&cube(place, SECTOR_MM))
        .unwrap_or_else(|_| {
            let nearest = |a: &usize, b: &usize| away(&cubes[*a]).total_cmp(&away(&cubes[*b]));
            (0..cubes.len()).min_by(nearest).unwrap_or(0)
        })
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
