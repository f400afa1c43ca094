//! Welding: one vertex for each position.
//!
//! The exact weld merges positions that are equal bit for bit once -0 has become 0; nothing moves.
//! The tolerance weld is a named, separate act: it moves vertices, so it says how far.
//!
//! Both number vertices by first appearance. The hash has a fixed seed and the tables are never
//! walked, so the same input gives the same mesh. Rejected: the standard map and hasher, which is
//! keyed against hostile keys: the weld alone takes 1.5 times as long with it as reading and welding
//! take here (the scan benchmark of the case crate shows both).

use super::Mesh;
use nalgebra::Point3;

/// Gives each distinct position one vertex number, in order of first appearance.
#[derive(Debug, Clone, Default)]
pub struct Welder {
    vertices: Vec<Point3<f64>>,
    /// Open addressing with linear probing; a power of two long; 0 is empty, else number + 1.
    slots: Vec<u32>,
}

/// Odd constant of multiplicative hashing.
///
/// Source: D. Knuth, The Art of Computer Programming 3, 2nd ed. 1998, ISBN 0-201-89685-0, 6.4:
/// the integer nearest to 2^64 over the golden ratio.
const GOLDEN: u64 = 0x9E37_79B9_7F4A_7C15;

/// Smallest table. Tuned: smaller saves nothing; larger wastes memory on tiny meshes.
const FIRST_SLOTS: usize = 64;

fn hash(bits: [u64; 3]) -> u64 {
    // Each product carries low bits into high ones only, so the high half is folded down before
    // the next word is mixed in: single-precision coordinates have 29 low bits that are all zero.
    let mut state = 0_u64;
    for word in bits {
        state = (state ^ word).wrapping_mul(GOLDEN);
        state ^= state >> 32;
    }
    state.wrapping_mul(GOLDEN)
}

/// -0 becomes 0; every other number keeps its bits.
fn without_negative_zero(point: Point3<f64>) -> Point3<f64> {
    point.map(|coordinate| coordinate + 0.0)
}

fn bits(point: &Point3<f64>) -> [u64; 3] {
    [point.x.to_bits(), point.y.to_bits(), point.z.to_bits()]
}

impl Welder {
    /// An empty welder.
    pub fn new() -> Self {
        Self::default()
    }

    /// The vertex number of `point`: an old one when the position was seen before.
    ///
    /// # Panics
    /// Beyond 2^32 - 2 distinct positions (about 100 GB of vertices); readers stop long before.
    pub fn add(&mut self, point: Point3<f64>) -> u32 {
        // Kept at most half full: short probes.
        if self.vertices.len() * 2 >= self.slots.len() {
            self.grow();
        }
        let point = without_negative_zero(point);
        let key = bits(&point);
        let mut slot = self.home(key);
        loop {
            match self.slots[slot] {
                0 => break,
                taken if bits(&self.vertices[taken as usize - 1]) == key => return taken - 1,
                _ => slot = (slot + 1) & (self.slots.len() - 1),
            }
        }
        assert!(
            self.vertices.len() < u32::MAX as usize - 1,
            "too many vertices for 32-bit numbers"
        );
        self.vertices.push(point);
        // In range by the line above.
        let number = u32::try_from(self.vertices.len()).unwrap_or(u32::MAX);
        self.slots[slot] = number;
        number - 1
    }

    /// How many distinct positions there are.
    pub fn len(&self) -> usize {
        self.vertices.len()
    }

    /// Whether nothing was added.
    pub fn is_empty(&self) -> bool {
        self.vertices.is_empty()
    }

    /// The vertices by number.
    pub fn into_vertices(self) -> Vec<Point3<f64>> {
        self.vertices
    }

    /// First slot to probe: the top bits of the hash, which depend on every bit of the key.
    fn home(&self, key: [u64; 3]) -> usize {
        let width = self.slots.len().trailing_zeros();
        // At most 2^33 slots, so the shifted value fits.
        usize::try_from(hash(key) >> (64 - width)).unwrap_or(0)
    }

    fn grow(&mut self) {
        self.slots = vec![0; (self.slots.len() * 2).max(FIRST_SLOTS)];
        let last = self.slots.len() - 1;
        for (index, vertex) in self.vertices.iter().enumerate() {
            let mut slot = self.home(bits(vertex));
            while self.slots[slot] != 0 {
                slot = (slot + 1) & last;
            }
            self.slots[slot] = u32::try_from(index + 1).unwrap_or(u32::MAX);
        }
    }
}

/// What a weld made of a mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct Welded {
    /// The mesh with its vertices merged; facets keep their order, and are all still there.
    pub mesh: Mesh,
    /// New vertex number of each old vertex.
    pub new_index: Vec<u32>,
    /// How many vertices went into others.
    pub merged: usize,
    /// The furthest any vertex moved, in the mesh's unit. 0 for the exact weld.
    pub greatest_move: f64,
}

/// Merges vertices whose positions are equal bit for bit, -0 counting as 0.
///
/// # Panics
/// When a stored index is out of range.
pub fn weld_exact(mesh: &Mesh) -> Welded {
    let mut welder = Welder::new();
    let new_index: Vec<u32> = mesh.vertices.iter().map(|&v| welder.add(v)).collect();
    welded(mesh, new_index, welder.into_vertices(), 0.0)
}

fn welded(
    mesh: &Mesh,
    new_index: Vec<u32>,
    vertices: Vec<Point3<f64>>,
    greatest_move: f64,
) -> Welded {
    let triangles = mesh
        .triangles
        .iter()
        .map(|triangle| triangle.map(|v| new_index[v as usize]))
        .collect();
    Welded {
        merged: mesh.vertices.len() - vertices.len(),
        mesh: Mesh {
            vertices,
            triangles,
        },
        new_index,
        greatest_move,
    }
}

/// Why a tolerance weld cannot be done.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum WeldError {
    /// The tolerance is not a positive number.
    #[error("a weld tolerance must be a positive number, and this one is {0}")]
    Tolerance(f64),
    /// The mesh is so large against the tolerance that cells cannot be numbered.
    #[error(
        "vertex {vertex} lies {ratio:e} tolerances from the origin, and at most 1e15 can be told \
         apart; use a larger tolerance or move the mesh nearer to its origin"
    )]
    TooFine {
        /// The vertex, counted from 0.
        vertex: usize,
        /// Its greatest coordinate over the tolerance.
        ratio: f64,
    },
}

/// Greatest cell number: beyond it a double no longer holds every whole number.
const CELL_LIMIT: f64 = 1e15;

/// Merges vertices that lie within `tolerance` (in the mesh's unit) of one another.
///
/// Vertices are taken in order. Each goes to the nearest vertex kept so far within the tolerance
/// (the earlier of equals), else is kept. So no vertex moves further than the tolerance, no two
/// kept vertices are within it, and vertices do not creep along a chain. Facets that collapse are
/// left in place for [`super::check()`] to report.
///
/// Cost: expected linear while few vertices share a cell of the tolerance's size.
///
/// # Errors
/// [`WeldError`] on a tolerance that is not positive, or far too fine for the mesh.
///
/// # Panics
/// When a stored index is out of range.
pub fn weld_within(mesh: &Mesh, tolerance: f64) -> Result<Welded, WeldError> {
    if !(tolerance > 0.0 && tolerance.is_finite()) {
        return Err(WeldError::Tolerance(tolerance));
    }
    for (vertex, point) in mesh.vertices.iter().enumerate() {
        let ratio = point.coords.amax() / tolerance;
        // Written so that a coordinate that is not a number is refused too.
        if !matches!(
            ratio.partial_cmp(&CELL_LIMIT),
            Some(std::cmp::Ordering::Less)
        ) {
            return Err(WeldError::TooFine { vertex, ratio });
        }
    }
    // Cells are welded as points with whole coordinates: one table serves both welds.
    let cell_of = |point: &Point3<f64>| point.map(|coordinate| (coordinate / tolerance).floor());
    let mut cells = Welder::new();
    let mut kept: Vec<Point3<f64>> = Vec::new();
    // Newest kept vertex of each cell, and the next older one behind each kept vertex.
    let mut newest: Vec<Option<u32>> = Vec::new();
    let mut older: Vec<Option<u32>> = Vec::new();
    let mut new_index = Vec::with_capacity(mesh.vertices.len());
    let mut greatest_move = 0.0_f64;
    for point in &mesh.vertices {
        let cell = cell_of(point);
        let mut best: Option<(f64, u32)> = None;
        for_each_neighbour(cell, |neighbour| {
            let mut at = cells
                .find(neighbour)
                .and_then(|number| newest[number as usize]);
            while let Some(candidate) = at {
                let found = ((kept[candidate as usize] - point).norm(), candidate);
                if found.0 <= tolerance && best.is_none_or(|best| found < best) {
                    best = Some(found);
                }
                at = older[candidate as usize];
            }
        });
        if let Some((distance, number)) = best {
            greatest_move = greatest_move.max(distance);
            new_index.push(number);
        } else {
            let number = u32::try_from(kept.len()).unwrap_or(u32::MAX);
            let home = cells.add(cell) as usize;
            if home == newest.len() {
                newest.push(None);
            }
            older.push(newest[home].replace(number));
            kept.push(without_negative_zero(*point));
            new_index.push(number);
        }
    }
    Ok(welded(mesh, new_index, kept, greatest_move))
}

impl Welder {
    /// The vertex number of `point`, if it was added.
    fn find(&self, point: Point3<f64>) -> Option<u32> {
        if self.slots.is_empty() {
            return None;
        }
        let key = bits(&without_negative_zero(point));
        let mut slot = self.home(key);
        loop {
            match self.slots[slot] {
                0 => return None,
                taken if bits(&self.vertices[taken as usize - 1]) == key => return Some(taken - 1),
                _ => slot = (slot + 1) & (self.slots.len() - 1),
            }
        }
    }
}

/// Calls `visit` with the cell and the 26 around it.
fn for_each_neighbour(cell: Point3<f64>, mut visit: impl FnMut(Point3<f64>)) {
    for x in [-1.0, 0.0, 1.0] {
        for y in [-1.0, 0.0, 1.0] {
            for z in [-1.0, 0.0, 1.0] {
                visit(Point3::new(cell.x + x, cell.y + y, cell.z + z));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn soup(points: &[[f64; 3]]) -> Mesh {
        let count = u32::try_from(points.len() / 3).unwrap();
        Mesh {
            vertices: points.iter().map(|&p| Point3::from(p)).collect(),
            triangles: (0..count).map(|t| [3 * t, 3 * t + 1, 3 * t + 2]).collect(),
        }
    }

    #[test]
    fn equal_bits_and_both_zeros_are_one_vertex() {
        let mesh = soup(&[
            [0.0, 0.0, 0.0],
            [1.0, 0.0, 0.0],
            [0.0, 1.0, 0.0],
            [1.0, -0.0, 0.0],
            [-0.0, 0.0, -0.0],
            [0.0, 1.0 + f64::EPSILON, 0.0],
        ]);
        let welded = weld_exact(&mesh);
        assert_eq!(welded.new_index, [0, 1, 2, 1, 0, 3]);
        assert_eq!(welded.mesh.triangles, [[0, 1, 2], [1, 0, 3]]);
        assert_eq!(welded.merged, 2);
        assert!(welded.mesh.vertices[0].iter().all(|c| c.is_sign_positive()));
    }

    #[test]
    fn lattice_points_whose_low_bits_are_zero_stay_apart() {
        // Single-precision lattice points: 29 low bits of each double are zero.
        let mut welder = Welder::new();
        for x in 0..60_u8 {
            for y in 0..60_u8 {
                for z in 0..60_u8 {
                    let point = Point3::new(x, y, z).map(|c| f64::from(f32::from(c) * 0.25));
                    let expected = (usize::from(x) * 60 + usize::from(y)) * 60 + usize::from(z);
                    assert_eq!(welder.add(point) as usize, expected);
                }
            }
        }
        assert_eq!(welder.len(), 216_000);
    }

    #[test]
    fn tolerance_weld_does_not_creep_along_a_chain() {
        // 0.0, 0.9, 1.8, 2.7 with tolerance 1: the second goes to the first, the third is kept.
        let mesh = Mesh {
            vertices: [0.0, 0.9, 1.8, 2.7]
                .map(|x| Point3::new(x, 0.0, 0.0))
                .to_vec(),
            triangles: vec![],
        };
        let welded = weld_within(&mesh, 1.0).unwrap();
        assert_eq!(welded.new_index, [0, 0, 1, 1]);
        assert!((welded.greatest_move - 0.9).abs() < 1e-15);
    }

    #[test]
    fn useless_tolerances_are_refused() {
        let mesh = soup(&[[1e9, 0.0, 0.0], [0.0; 3], [1.0; 3]]);
        for tolerance in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                weld_within(&mesh, tolerance),
                Err(WeldError::Tolerance(_))
            ));
        }
        assert!(matches!(
            weld_within(&mesh, 1e-9),
            Err(WeldError::TooFine { vertex: 0, .. })
        ));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Against a plain quadratic search.
        #[test]
        fn tolerance_weld_equals_brute_force(
            points in prop::collection::vec(prop::array::uniform3(-2.0..2.0_f64), 0..120),
            tolerance in 0.05..0.8_f64,
        ) {
            let mesh = Mesh {
                vertices: points.iter().map(|&p| Point3::from(p)).collect(),
                triangles: vec![],
            };
            let mut kept: Vec<Point3<f64>> = vec![];
            let mut expected = vec![];
            for point in &mesh.vertices {
                let nearest = kept
                    .iter()
                    .map(|k| (k - point).norm())
                    .enumerate()
                    .filter(|&(_, distance)| distance <= tolerance)
                    .min_by(|a, b| a.1.total_cmp(&b.1));
                expected.push(nearest.map_or_else(
                    || {
                        kept.push(*point);
                        kept.len() - 1
                    },
                    |(index, _)| index,
                ));
            }
            let welded = weld_within(&mesh, tolerance).unwrap();
            let got: Vec<usize> = welded.new_index.iter().map(|&i| i as usize).collect();
            prop_assert_eq!(got, expected);
            prop_assert_eq!(welded.mesh.vertices, kept);
        }
    }
}
