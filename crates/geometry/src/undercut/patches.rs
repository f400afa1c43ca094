//! The samples of a zone in patches of facets that hang together, whatever the draw: large ones cut into
//! smaller ones, down to single samples.
//!
//! Along a patch one goes from any place of it to any other without leaving its facets, across edges that
//! have just two facets, wound alike: so in the air of one side.
//!
//! Derivation of what one reading tells of a patch: from a point `q` of it go along its facets to the point
//! `p` that is read, and out as from there. The first part, straight over each facet, stays within `level`
//! of the lines through both; the second is at most `|pq|` farther from the line through `q` than from that
//! through `p`. So `u(q) <= max(level, u(p) + |pq|)` for every draw, and the same the other way round.

use super::normal_cone::NormalCone;
use super::pierced::Pierced;
use super::samples::Sample;
use super::surface::Surface;
use super::tree::Tree;
use super::zone::root;
use nalgebra::{Point3, Vector3};
use rayon::prelude::*;
use std::ops::Range;

/// Millimetres. Sides of the cubes that the samples of a patch lie in, tier by tier.
/// Tuned: the first by what of a ridge faces a draw as one, the others by what one reading says enough of. The
/// `read` and `depths` benches would notice.
const SIDES_MM: [f64; 4] = [2.0, 1.0, 0.5, 0.25];

/// The tier of patches that are read one by one.
pub(crate) const READ_TIER: usize = 2;

/// Pure number. Facets with an edge this many times as long as a cube's make patches by themselves: ways over them may go
/// far.
const LARGEST: f64 = 3.0;

/// A box along the axes of the cast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Block {
    pub(crate) middle: Vector3<f64>,
    pub(crate) half: Vector3<f64>,
}

impl Block {
    /// Around some places.
    pub(crate) fn around(places: impl IntoIterator<Item = Point3<f64>>) -> Self {
        let mut low = Vector3::repeat(f64::INFINITY);
        let mut high = Vector3::repeat(f64::NEG_INFINITY);
        for p in places {
            low = low.inf(&p.coords);
            high = high.sup(&p.coords);
        }
        Self {
            middle: 0.5 * (low + high),
            half: 0.5 * (high - low),
        }
    }
}

/// A connected part of a zone.
#[derive(Debug, Clone)]
pub(crate) struct Patch {
    /// Its place among the zone's samples in the order of patches.
    samples: Range<u32>,
    /// The patches it is cut into; none of those of the last tier.
    parts: Range<u32>,
    pub(crate) tier: usize,
    /// The sample that is read.
    pub(crate) chosen: u32,
    pub(crate) area_mm2: f64,
    /// No place of it is farther from the centroid of that one.
    pub(crate) spread_mm: f64,
    /// No place of a way along it between that one and another is farther from either.
    pub(crate) level_mm: f64,
    /// Holds all its facets, or its part of the only one.
    pub(crate) block: Block,
    pub(crate) normals: NormalCone,
    /// Whether some facet passes through it without an edge.
    pub(crate) is_pierced: bool,
    /// Where its samples have corners, each once; only of the tier that is read.
    corners: Box<[Point3<f64>]>,
}

impl Patch {
    /// Places that hold it between them.
    pub(crate) fn corners(&self) -> &[Point3<f64>] {
        &self.corners
    }
}

/// The samples of a zone by patch.
#[derive(Debug)]
pub(crate) struct Patches {
    order: Vec<u32>,
    /// Tier by tier.
    patches: Vec<Patch>,
    roots: u32,
    /// Of each sample: its patch of the tier that is read.
    of_sample: Vec<u32>,
}

impl Patches {
    /// Samples must come in the order of their facets.
    pub(crate) fn new(surface: &Surface, tree: &Tree, samples: &[Sample]) -> Self {
        let tiers = SIDES_MM.map(|side_mm| together(surface, samples, side_mm));
        let mut order: Vec<u32> = (0..).zip(samples).map(|(i, _)| i).collect();
        let key = |&sample: &u32| {
            let of = tiers.each_ref().map(|tier| tier[sample as usize]);
            (of, sample)
        };
        order.sort_unstable_by_key(key);
        let pierced = Pierced::new(surface, tree);
        let facets: Vec<u32> = samples
            .chunk_by(|a, b| a.facet == b.facet)
            .map(|of_facet| of_facet[0].facet)
            .collect();
        let is_pierced = |facet: &&u32| pierced.is(**facet);
        let pierced: Vec<u32> = facets.par_iter().filter(is_pierced).copied().collect();
        let maker = Maker {
            surface,
            samples,
            order: &order,
            pierced: &pierced,
        };
        let mut patches: Vec<Patch> = Vec::new();
        let mut roots = 0;
        let mut of_sample = vec![0; samples.len()];
        let mut above: Range<usize> = 0..0;
        for (tier, together) in tiers.iter().enumerate() {
            let first = patches.len();
            let mut start = 0;
            let mut parent = above.start;
            for of_patch in order.chunk_by(|a, b| together[*a as usize] == together[*b as usize]) {
                let range = small(start)..small(start + of_patch.len());
                start += of_patch.len();
                let number = small(patches.len());
                // What is together in a smaller cube is together in the larger that holds it.
                while parent < above.end && patches[parent].samples.end <= range.start {
                    parent += 1;
                }
                if parent < above.end {
                    let parts: &mut Range<u32> = &mut patches[parent].parts;
                    if parts.start == parts.end {
                        *parts = number..number;
                    }
                    parts.end = number + 1;
                }
                patches.push(maker.patch(range, tier));
            }
            if tier == 0 {
                roots = small(patches.len());
            }
            let read = if tier == READ_TIER {
                first
            } else {
                patches.len()
            };
            for (number, patch) in (read..).zip(&patches[read..]) {
                let range = patch.samples.start as usize..patch.samples.end as usize;
                for &sample in &order[range] {
                    of_sample[sample as usize] = small(number);
                }
            }
            above = first..patches.len();
        }
        Self {
            order,
            patches,
            roots,
            of_sample,
        }
    }

    /// Numbers of the largest patches.
    pub(crate) fn roots(&self) -> Range<u32> {
        0..self.roots
    }

    pub(crate) fn patch(&self, number: u32) -> &Patch {
        &self.patches[number as usize]
    }

    /// Numbers of the patches that one is cut into; none of the smallest.
    pub(crate) fn parts(&self, number: u32) -> Range<u32> {
        self.patch(number).parts.clone()
    }

    /// The samples of a patch.
    pub(crate) fn samples(&self, number: u32) -> &[u32] {
        let range = &self.patch(number).samples;
        &self.order[range.start as usize..range.end as usize]
    }

    /// The patch of a sample, of the tier that is read.
    pub(crate) fn of_sample(&self, sample: u32) -> u32 {
        self.of_sample[sample as usize]
    }
}

fn each_once(places: impl Iterator<Item = Point3<f64>>) -> Box<[Point3<f64>]> {
    let mut places: Vec<Point3<f64>> = places.collect();
    let order = |a: &Point3<f64>, b: &Point3<f64>| {
        let mut axes = a.iter().zip(b.iter()).map(|(a, b)| a.total_cmp(b));
        axes.find(|order| order.is_ne())
            .unwrap_or(std::cmp::Ordering::Equal)
    };
    places.sort_unstable_by(order);
    places.dedup();
    places.into_boxed_slice()
}

/// For each sample the first one of its patch.
fn together(surface: &Surface, samples: &[Sample], side_mm: f64) -> Vec<u32> {
    let cubes: Vec<[i32; 3]> = samples
        .iter()
        .map(|sample| cube(&sample.centroid(), side_mm))
        .collect();
    let mut parent: Vec<usize> = (0..samples.len()).collect();
    let mut join = |a: usize, b: usize| {
        let (p, q) = (root(&mut parent, a), root(&mut parent, b));
        parent[p.max(q)] = p.min(q);
    };
    // Of a facet the first sample in each cube, with the cube. Samples of a facet in a cube hang
    // together: the way from one to the other is straight.
    let mut firsts: Vec<(u32, [i32; 3], usize)> = Vec::new();
    let mut start = 0;
    for of_facet in samples.chunk_by(|a, b| a.facet == b.facet) {
        let mut order: Vec<usize> = (start..start + of_facet.len()).collect();
        start += of_facet.len();
        order.sort_unstable_by_key(|&i| (cubes[i], i));
        for in_cube in order.chunk_by(|&a, &b| cubes[a] == cubes[b]) {
            firsts.push((of_facet[0].facet, cubes[in_cube[0]], in_cube[0]));
            in_cube.windows(2).for_each(|pair| join(pair[0], pair[1]));
        }
    }
    // Neighbours that are not much larger than the cube, in the same cube.
    let is_small = |facet: u32| {
        let [a, b, c] = surface.corners(facet as usize);
        let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
        longest <= LARGEST * side_mm
    };
    for &(facet, cube, first) in firsts.iter().filter(|(facet, ..)| is_small(*facet)) {
        for &edge in &surface.facet_edges[facet as usize] {
            if edge == u32::MAX || !surface.seams.plain[edge as usize] {
                continue;
            }
            for beside in surface.beside(&surface.edges[edge as usize]) {
                let other = (beside.facet, cube);
                if beside.facet < facet
                    && is_small(beside.facet)
                    && let Ok(at) = firsts.binary_search_by_key(&other, |(f, c, _)| (*f, *c))
                {
                    join(firsts[at].2, first);
                }
            }
        }
    }
    (0..samples.len())
        .map(|i| small(root(&mut parent, i)))
        .collect()
}

/// Makes patches of one zone.
struct Maker<'a> {
    surface: &'a Surface,
    samples: &'a [Sample],
    order: &'a [u32],
    pierced: &'a [u32],
}

impl Maker<'_> {
    fn patch(&self, range: Range<u32>, tier: usize) -> Patch {
        let members = &self.order[range.start as usize..range.end as usize];
        let of = |i: &u32| &self.samples[*i as usize];
        let sum: Vector3<f64> = members.iter().map(|i| of(i).centroid().coords).sum();
        let middle = sum / members.len() as f64;
        let off = |i: &u32| (of(i).centroid().coords - middle).norm_squared();
        let nearest = members.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        let chosen = nearest.copied().unwrap_or_default();
        let from = of(&chosen).centroid();
        let mut facets: Vec<u32> = members.iter().map(|i| of(i).facet).collect();
        facets.sort_unstable();
        facets.dedup();
        let corners = || members.iter().flat_map(|i| of(i).corners);
        let of_facets = || {
            facets
                .iter()
                .flat_map(|f| self.surface.corners(*f as usize))
        };
        let far = |p: Point3<f64>| (p - from).norm();
        let spread_mm = corners().map(far).fold(0.0, f64::max);
        let is_one_facet = facets.len() == 1;
        Patch {
            samples: range,
            parts: 0..0,
            tier,
            chosen,
            area_mm2: members.iter().map(|i| of(i).area).sum(),
            spread_mm,
            level_mm: if tier < READ_TIER {
                f64::INFINITY
            } else {
                self.level_mm(members, &facets, chosen)
            },
            block: if is_one_facet {
                Block::around(corners())
            } else {
                Block::around(of_facets())
            },
            normals: NormalCone::around(facets.iter().map(|f| self.surface.normals[*f as usize])),
            is_pierced: (facets.iter()).any(|f| self.pierced.binary_search(f).is_ok()),
            corners: if tier == READ_TIER {
                each_once(corners())
            } else {
                Box::default()
            },
        }
    }

    /// How far ways from one sample of a patch to all others go from both, at the most: straight over each
    /// facet, from edge to edge, each passed where it is nearest to that sample.
    fn level_mm(&self, members: &[u32], facets: &[u32], chosen: u32) -> f64 {
        let from = self.samples[chosen as usize].centroid();
        // Of each facet: that from which it was reached, and over which edge.
        let mut before = vec![(usize::MAX, from); facets.len()];
        let number = |facet: u32| facets.binary_search(&facet).ok();
        let Some(first) = number(self.samples[chosen as usize].facet) else {
            return f64::INFINITY;
        };
        let mut reached = vec![first];
        let mut is_reached = vec![false; facets.len()];
        is_reached[first] = true;
        let mut next = 0;
        while let Some(&one) = reached.get(next) {
            next += 1;
            for &edge in &self.surface.facet_edges[facets[one] as usize] {
                if edge == u32::MAX || !self.surface.seams.plain[edge as usize] {
                    continue;
                }
                let edge = &self.surface.edges[edge as usize];
                let [a, b] = edge.ends.map(|v| self.surface.vertices()[v as usize]);
                for beside in self.surface.beside(edge) {
                    if let Some(other) = number(beside.facet)
                        && !is_reached[other]
                    {
                        is_reached[other] = true;
                        before[other] = (one, nearest(&a, &b, &from));
                        reached.push(other);
                    }
                }
            }
        }
        let mut level_mm = 0.0_f64;
        for &member in members {
            let sample = &self.samples[member as usize];
            let Some(mut at) = number(sample.facet).filter(|at| is_reached[*at]) else {
                return f64::INFINITY;
            };
            let away = |x: &Point3<f64>| {
                let to = sample.corners.iter().map(|p| (x - p).norm());
                to.fold((x - from).norm(), f64::max)
            };
            level_mm = level_mm.max(away(&from));
            while before[at].0 != usize::MAX {
                level_mm = level_mm.max(away(&before[at].1));
                at = before[at].0;
            }
        }
        level_mm
    }
}

/// The place of a segment that is nearest to a point.
fn nearest(a: &Point3<f64>, b: &Point3<f64>, to: &Point3<f64>) -> Point3<f64> {
    let way = b - a;
    let t = (to - a).dot(&way) / way.norm_squared();
    a + way * t.clamp(0.0, 1.0)
}

/// The cube of a grid in which a place lies.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast is a few thousand patches across, and the cast saturates"
)]
pub(crate) fn cube(p: &Point3<f64>, side_mm: f64) -> [i32; 3] {
    [p.x, p.y, p.z].map(|x| (x / side_mm).floor() as i32)
}

fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
