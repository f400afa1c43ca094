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

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// Speck after speck: a sample at each place, of a facet of its own.
    fn samples(places: &[[f64; 3]]) -> Vec<Sample> {
        let sample = |(facet, &[x, y, z]): (u32, &[f64; 3])| Sample {
            corners: [[0.01, 0.0], [-0.01, 0.01], [0.0, -0.01]]
                .map(|[dx, dy]| Point3::new(x + dx, y + dy, z)),
            area: 0.001,
            facet,
        };
        (0..).zip(places).map(sample).collect()
    }

    /// Two faces of a wall 0.2 mm thick along x: every other sample faces up.
    fn thin_wall() -> (Vec<Sample>, Vec<Vector3<f64>>) {
        let places: Vec<[f64; 3]> = (0..200)
            .map(|i| {
                [
                    f64::from(i / 2) * 0.12 + 0.03,
                    0.3,
                    if i % 2 == 0 { 0.4 } else { 0.2 },
                ]
            })
            .collect();
        let normals = (0..200).map(|i| Vector3::z() * if i % 2 == 0 { 1.0 } else { -1.0 });
        (samples(&places), normals.collect())
    }

    #[test]
    fn every_sample_is_in_one_patch_of_one_sector() {
        let (samples, normals) = thin_wall();
        let groups = Groups::new(&samples, &normals, 0.5, None);
        // 12 mm in cubes of 5 mm.
        assert_eq!(groups.sectors(), 3);
        let patches: Vec<usize> = (0..3).flat_map(|k| groups.sector(k)).collect();
        assert_eq!(patches, groups.all().collect::<Vec<_>>());
        let members: Vec<u32> = groups
            .all()
            .flat_map(|p| groups.patch(p).to_vec())
            .collect();
        let all: BTreeSet<u32> = members.iter().copied().collect();
        assert_eq!((members.len(), all.len()), (200, 200));
    }

    #[test]
    fn a_patch_is_small_and_holds_one_face_of_a_thin_wall() {
        let (samples, normals) = thin_wall();
        let groups = Groups::new(&samples, &normals, 0.5, None);
        for patch in groups.all() {
            let members = groups.patch(patch);
            let first = &samples[members[0] as usize];
            for &member in members {
                let sample = &samples[member as usize];
                assert!((sample.centroid() - first.centroid()).norm() < 0.5 * 3_f64.sqrt());
                assert!(normals[member as usize].dot(&normals[members[0] as usize]) > 0.0);
            }
        }
        // 24 cells along the wall and a bit, twice.
        assert_eq!(groups.all().len(), 2 * 24);
    }

    /// A lighter cast keeps to the sectors of the scan: a sample in none of its cubes goes to the nearest,
    /// and one that holds none of its samples is empty.
    #[test]
    fn a_lighter_cast_keeps_to_the_sectors_of_the_scan() {
        let up = vec![Vector3::z(); 4];
        let scan = samples(&[[1.0, 1.0, 1.0], [6.0, 1.0, 1.0], [12.0, 1.0, 1.0]]);
        let of_scan = Groups::new(&scan, &up, 0.5, None);
        let light = samples(&[[12.5, 1.0, 1.0], [1.2, 1.0, -0.1]]);
        let groups = Groups::new(&light, &up, 0.7, Some(&of_scan));
        assert_eq!(groups.sectors(), 3);
        let held = |sector: usize| -> Vec<u32> {
            let patches = groups.sector(sector);
            patches.flat_map(|p| groups.patch(p).to_vec()).collect()
        };
        assert_eq!([held(0), held(1), held(2)], [vec![1], vec![], vec![0]]);
    }
}
