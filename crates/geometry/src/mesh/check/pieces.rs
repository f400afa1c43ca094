//! Connected pieces and their winding.
//!
//! Facets are of one piece when a chain of shared edges joins them; touching in a vertex is not
//! enough. Winding is compared only across edges with exactly two facets.

use super::nesting::{Shell, containers};
use crate::mesh::border::Border;
use crate::mesh::edges::EdgeTable;
use crate::mesh::measure::six_volumes;
use crate::mesh::{Extent, Mesh, double_area_vector};
use nalgebra::{Point3, Vector3};

/// Volume a piece would enclose, were its borders closed, over its area to the power 3/2, from
/// which on it is said to bulge. A sphere has 0.094, a hemisphere 0.133, a flat sheet 0. Tuned:
/// smaller, and a ragged flat patch is given an outside by chance; larger, and a shallow cast of
/// 5 mm relief over 60 x 50 mm (0.06) comes near. `an_open_cup_is_likely_inside_out` would notice.
pub const BULGE_LIMIT: f64 = 0.005;

/// Whether the facets of a piece agree on which side is out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Winding {
    /// They agree.
    Consistent,
    /// They do not, but would if the fewest facets were turned.
    Inconsistent {
        /// How many would have to be turned.
        facets_to_turn: usize,
    },
    /// No way of turning facets makes them agree, as on a one-sided strip.
    OneSided,
}

/// Which way a piece faces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Facing {
    /// Closed, and its facets face outward.
    Outward,
    /// Closed, and its facets face inward.
    InsideOut,
    /// Closed and facing inward, but inside another piece: the wall of a hollow.
    Cavity,
    /// Open, or with edges of three facets; with its borders closed it would face outward.
    LikelyOutward,
    /// Open, or with edges of three facets; with its borders closed it would face inward. Also how
    /// an impression looks.
    LikelyInsideOut,
    /// Nothing can be said: too flat, or not consistently wound.
    Unknown,
}

/// A piece of a mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Its first facet, counted from 0.
    pub first_facet: usize,
    /// How many facets it has.
    pub triangles: usize,
    /// Sum of their areas.
    pub area: f64,
    /// Its box.
    pub extent: Extent,
    /// How many of its edges have one facet.
    pub open_edges: usize,
    /// How many of its edges have three facets or more.
    pub non_manifold_edges: usize,
    /// Whether its facets agree.
    pub winding: Winding,
    /// Signed volume: enclosed, if the piece is closed; else what it would enclose if each border
    /// were closed by a fan to its middle. `None` where winding or edges make it meaningless.
    pub volume: Option<f64>,
    /// Which way it faces.
    pub facing: Facing,
}

impl Piece {
    /// Whether each of its edges joins exactly two facets.
    pub fn is_closed(&self) -> bool {
        self.open_edges == 0 && self.non_manifold_edges == 0
    }
}

/// Sets of facets joined one by one, each facet knowing whether it is turned against its set.
///
/// Source: R. E. Tarjan, "Efficiency of a good but not linear set union algorithm", J ACM 22
/// (1975), doi 10.1145/321879.321884; path halving, the lower number leads.
#[derive(Debug)]
struct Sets {
    /// Leader or a facet nearer to it, and whether one is turned against the other.
    link: Vec<(u32, bool)>,
}

impl Sets {
    fn new(count: usize) -> Self {
        Self {
            link: (0..).take(count).map(|facet| (facet, false)).collect(),
        }
    }

    /// The leader of a facet's set, and whether the facet is turned against it.
    fn find(&mut self, facet: usize) -> (usize, bool) {
        let (mut at, mut turned) = (facet, false);
        loop {
            let (up, against) = self.link[at];
            if up as usize == at {
                return (at, turned);
            }
            let (top, more) = self.link[up as usize];
            self.link[at] = (top, against ^ more);
            turned ^= against ^ more;
            at = top as usize;
        }
    }

    /// Joins two sets so that `a` and `b` are turned against each other or not; says whether that
    /// agrees with what was known.
    fn join(&mut self, a: usize, b: usize, against: bool) -> bool {
        let ((top_a, turned_a), (top_b, turned_b)) = (self.find(a), self.find(b));
        let turned = turned_a ^ turned_b ^ against;
        if top_a == top_b {
            return !turned;
        }
        let (low, high) = (top_a.min(top_b), top_a.max(top_b));
        self.link[high] = (u32::try_from(low).unwrap_or(u32::MAX), turned);
        true
    }
}

/// Facets joined across edges of exactly two, and the leaders of the sets no turning can make
/// agree, in order.
fn patches(mesh: &Mesh, edges: &EdgeTable) -> (Sets, Vec<usize>) {
    let mut patches = Sets::new(mesh.triangles.len());
    let mut clashing = Vec::new();
    for edge in edges.iter() {
        if let [a, b] = edge.uses {
            let against = edge.is_run_twice_the_same_way(mesh);
            if !patches.join(a.facet(), b.facet(), against) {
                clashing.push(a.facet());
            }
        }
    }
    for facet in &mut clashing {
        *facet = patches.find(*facet).0;
    }
    clashing.sort_unstable();
    clashing.dedup();
    (patches, clashing)
}

/// Which facets to turn so that each patch is wound one way: of its two halves the smaller by
/// count, or the later. Facets of one-sided patches stay.
pub(in crate::mesh) fn facets_to_turn(mesh: &Mesh, edges: &EdgeTable) -> (Vec<bool>, Vec<usize>) {
    let (mut patches, clashing) = patches(mesh, edges);
    let count = mesh.triangles.len();
    // Per leader: how many facets in all, and how many are turned against it.
    let mut tally = vec![(0_usize, 0_usize); count];
    for facet in 0..count {
        let (leader, turned) = patches.find(facet);
        tally[leader].0 += 1;
        tally[leader].1 += usize::from(turned);
    }
    let turn = (0..count)
        .map(|facet| {
            let (leader, turned) = patches.find(facet);
            let (all, against) = tally[leader];
            let turn_minority = turned == (2 * against <= all);
            against > 0 && turn_minority && clashing.binary_search(&leader).is_err()
        })
        .collect();
    (turn, clashing)
}

/// Piece number of each facet, `None` for facets that name a vertex twice; and the first facet of
/// each piece.
pub(in crate::mesh) fn piece_numbers(
    mesh: &Mesh,
    edges: &EdgeTable,
) -> (Vec<Option<usize>>, Vec<usize>) {
    let count = mesh.triangles.len();
    let mut sets = Sets::new(count);
    for edge in edges.iter() {
        for pair in edge.uses.windows(2) {
            sets.join(pair[0].facet(), pair[1].facet(), false);
        }
    }
    let mut firsts: Vec<usize> = Vec::new();
    let mut numbers: Vec<Option<usize>> = Vec::with_capacity(count);
    for facet in 0..count {
        if edges.sides(facet).next().is_none() {
            numbers.push(None);
            continue;
        }
        // The lower number leads, so a leader comes before the rest of its set.
        let leader = sets.find(facet).0;
        if leader == facet {
            numbers.push(Some(firsts.len()));
            firsts.push(facet);
        } else {
            numbers.push(numbers[leader]);
        }
    }
    (numbers, firsts)
}

/// What is summed up over a piece.
struct Sum {
    piece: Piece,
    /// Volumes are summed from a point of the piece, which keeps the terms small.
    apex: Point3<f64>,
    six_volumes: f64,
    facets_to_turn: usize,
    one_sided: bool,
    /// Whether a border ends before it comes back to its beginning.
    ragged: bool,
}

impl Sum {
    fn start(mesh: &Mesh, first_facet: usize) -> Self {
        let [apex, ..] = mesh.corners(first_facet);
        Self {
            piece: Piece {
                first_facet,
                triangles: 0,
                area: 0.0,
                extent: Extent {
                    min: apex,
                    max: apex,
                },
                open_edges: 0,
                non_manifold_edges: 0,
                winding: Winding::Consistent,
                volume: None,
                facing: Facing::Unknown,
            },
            apex,
            six_volumes: 0.0,
            facets_to_turn: 0,
            one_sided: false,
            ragged: false,
        }
    }

    fn add(&mut self, corners: &[Point3<f64>; 3], turn: bool) {
        let piece = &mut self.piece;
        piece.triangles += 1;
        piece.area += 0.5 * double_area_vector(corners).norm();
        for corner in corners {
            piece.extent.min = piece.extent.min.inf(corner);
            piece.extent.max = piece.extent.max.sup(corner);
        }
        self.six_volumes += six_volumes(&self.apex, corners);
        self.facets_to_turn += usize::from(turn);
    }

    /// Adds the volume under a fan that closes a border. The border runs along the winding of its
    /// facet, so the fan runs against it. A border that ends is closed by a chord.
    fn close(&mut self, mesh: &Mesh, border: &Border) {
        self.ragged |= !border.closed;
        let point = |i: usize| mesh.vertices[border.vertices[i % border.vertices.len()] as usize];
        let count = border.vertices.len();
        let sum: Vector3<f64> = (0..count).map(|i| point(i) - self.apex).sum();
        let middle = self.apex + sum / count as f64;
        for i in 0..count {
            self.six_volumes += six_volumes(&self.apex, &[point(i + 1), point(i), middle]);
        }
    }

    fn finish(self) -> Piece {
        let mut piece = self.piece;
        piece.winding = if self.one_sided {
            Winding::OneSided
        } else if self.facets_to_turn > 0 {
            Winding::Inconsistent {
                facets_to_turn: self.facets_to_turn,
            }
        } else {
            Winding::Consistent
        };
        if piece.winding != Winding::Consistent {
            return piece;
        }
        let volume = self.six_volumes / 6.0;
        if piece.non_manifold_edges == 0 && !self.ragged {
            piece.volume = Some(volume);
        }
        if !piece.is_closed() {
            // Chords and edges of three facets make the volume inexact, but hardly its sign.
            let bulge = volume / piece.area.powf(1.5);
            piece.facing = if bulge >= BULGE_LIMIT {
                Facing::LikelyOutward
            } else if bulge <= -BULGE_LIMIT {
                Facing::LikelyInsideOut
            } else {
                Facing::Unknown
            };
        }
        piece
    }
}

/// Every piece, in order of its first facet.
pub(in crate::mesh) fn pieces(mesh: &Mesh, edges: &EdgeTable, borders: &[Border]) -> Vec<Piece> {
    let (numbers, firsts) = piece_numbers(mesh, edges);
    let (turn, clashing) = facets_to_turn(mesh, edges);
    let mut sums: Vec<Sum> = firsts
        .iter()
        .map(|&facet| Sum::start(mesh, facet))
        .collect();
    for (facet, number) in numbers.iter().enumerate() {
        if let Some(number) = *number {
            sums[number].add(&mesh.corners(facet), turn[facet]);
        }
    }
    for number in clashing.iter().filter_map(|&facet| numbers[facet]) {
        sums[number].one_sided = true;
    }
    for edge in edges.iter() {
        let Some(number) = numbers[edge.uses[0].facet()] else {
            continue;
        };
        let piece = &mut sums[number].piece;
        match edge.uses.len() {
            1 => piece.open_edges += 1,
            2 => {}
            _ => piece.non_manifold_edges += 1,
        }
    }
    for border in borders {
        if let Some(number) = numbers[border.facet] {
            sums[number].close(mesh, border);
        }
    }
    let mut pieces: Vec<Piece> = sums.into_iter().map(Sum::finish).collect();
    face_closed_pieces(mesh, &numbers, &mut pieces);
    pieces
}

/// Says which way each closed, consistently wound piece faces.
///
/// A piece inside others is judged together with the outermost of them: were that one turned, this
/// one would be turned with it.
fn face_closed_pieces(mesh: &Mesh, numbers: &[Option<usize>], pieces: &mut [Piece]) {
    let closed: Vec<usize> = (0..pieces.len())
        .filter(|&number| pieces[number].is_closed() && pieces[number].volume.is_some())
        .collect();
    let volume = |number: usize| pieces[number].volume.unwrap_or(0.0);
    let any_inward = closed.iter().any(|&number| volume(number) < 0.0);
    // Where all face outward nothing can be a cavity, and the search is spared.
    let inside = if any_inward {
        let mut shell_of_piece = vec![None; pieces.len()];
        for (shell, &number) in closed.iter().enumerate() {
            shell_of_piece[number] = Some(shell);
        }
        let shell_of: Vec<Option<usize>> = numbers
            .iter()
            .map(|number| number.and_then(|number| shell_of_piece[number]))
            .collect();
        let shells: Vec<Shell> = closed
            .iter()
            .map(|&number| Shell {
                extent: pieces[number].extent,
                point: mesh.corners(pieces[number].first_facet)[0],
            })
            .collect();
        containers(mesh, &shell_of, &shells)
    } else {
        vec![Vec::new(); closed.len()]
    };
    let facings: Vec<Facing> = (0..closed.len())
        .map(|shell| {
            let outermost = inside[shell]
                .iter()
                .copied()
                .find(|&container| inside[container].is_empty());
            let root = outermost.unwrap_or(shell);
            if volume(closed[root]) < 0.0 {
                Facing::InsideOut
            } else if volume(closed[shell]) > 0.0 {
                Facing::Outward
            } else if volume(closed[shell]) < 0.0 {
                Facing::Cavity
            } else {
                Facing::Unknown
            }
        })
        .collect();
    for (&number, facing) in closed.iter().zip(facings) {
        pieces[number].facing = facing;
    }
}
