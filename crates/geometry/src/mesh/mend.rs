//! The safe repairs: only on request, and each change listed.
//!
//! Safe means that the surface stays where it is. Facets that name a vertex twice are dropped, and
//! so are facets over the vertices of an earlier one. A flat needle is not dropped, which would
//! tear a slit: the edge it shares with its neighbour along its longest side is laid across
//! instead, which moves the surface by no more than the needle's height. Facets are turned until
//! each piece agrees, closed pieces outward. Needles that cannot be laid across, one-sided pieces,
//! holes and edges of three facets are left: [`super::check()`] on the result names them.

use super::Mesh;
use super::border::borders;
use super::check::{
    DEGENERATE_SHAPE, Facing, MeshFault, checked_input, duplicates, facets_to_turn, piece_numbers,
    pieces, shape,
};
use super::edges::{EdgeTable, HalfEdge};
use std::collections::BTreeSet;
use std::fmt;

/// Which repairs to do. All by default.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MendOptions {
    /// Drop facets that name a vertex twice, and lay edges across flat needles.
    pub degenerate: bool,
    /// Drop facets over the vertices of an earlier one, whichever side they show.
    pub duplicates: bool,
    /// Which facets to turn.
    pub winding: Turn,
    /// Drop vertices that no facet uses.
    pub unreferenced: bool,
}

impl Default for MendOptions {
    fn default() -> Self {
        Self {
            degenerate: true,
            duplicates: true,
            winding: Turn::ClosedPieces,
            unreferenced: true,
        }
    }
}

/// Which facets a repair may turn over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// None.
    Nothing,
    /// Those that make each piece agree with itself, and closed pieces face outward.
    ClosedPieces,
    /// Open pieces that are probably inside out as well. Not the default: an impression is an open
    /// piece that rightly looks so.
    OpenPiecesToo,
}

/// One change. Numbers are those of the mesh that was handed in, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Change {
    /// A facet that named a vertex twice was dropped.
    DroppedDegenerate {
        /// The facet.
        facet: usize,
    },
    /// The edge between a needle and its neighbour was laid across.
    LaidAcross {
        /// The needle.
        facet: usize,
        /// Its neighbour along its longest side.
        neighbour: usize,
    },
    /// A facet over the vertices of another one was dropped.
    DroppedDuplicate {
        /// The facet.
        facet: usize,
        /// The facet that was kept.
        of: usize,
    },
    /// A facet was turned over.
    Turned {
        /// The facet.
        facet: usize,
    },
    /// A vertex that no facet uses was dropped.
    DroppedVertex {
        /// The vertex.
        vertex: usize,
    },
}

impl fmt::Display for Change {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::DroppedDegenerate { facet } => {
                write!(f, "dropped facet {facet}, which named a vertex twice")
            }
            Self::LaidAcross { facet, neighbour } => write!(
                f,
                "laid the edge between needle facet {facet} and facet {neighbour} across"
            ),
            Self::DroppedDuplicate { facet, of } => {
                write!(f, "dropped facet {facet}, which repeats facet {of}")
            }
            Self::Turned { facet } => write!(f, "turned facet {facet} over"),
            Self::DroppedVertex { vertex } => {
                write!(f, "dropped vertex {vertex}, which no facet used")
            }
        }
    }
}

/// A mended mesh and everything that was changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Mended {
    /// The mesh. Facets and vertices that are left keep their order.
    pub mesh: Mesh,
    /// Every change, in the order they were made.
    pub changes: Vec<Change>,
}

/// Most rounds of laying edges across. Needles that share a facet need a round each; a strip of
/// them is done in a few. Tuned: more costs time on hopeless meshes only.
const ROUNDS: usize = 8;

/// Mends a mesh: see the module for what is done and what is not.
///
/// # Errors
/// [`MeshFault`] when it is not a mesh at all.
pub fn mend(mesh: &Mesh, options: MendOptions) -> Result<Mended, MeshFault> {
    checked_input(mesh)?;
    let mut work = Work {
        mesh: mesh.clone(),
        numbers: (0..mesh.triangles.len()).collect(),
        changes: Vec::new(),
    };
    if options.degenerate {
        work.drop_repeated();
        for _ in 0..ROUNDS {
            if !work.lay_needles_across() {
                break;
            }
        }
    }
    if options.duplicates {
        work.drop_duplicates();
    }
    if options.winding != Turn::Nothing {
        work.wind(options.winding == Turn::OpenPiecesToo);
    }
    if options.unreferenced {
        work.drop_unreferenced();
    }
    Ok(Mended {
        mesh: work.mesh,
        changes: work.changes,
    })
}

struct Work {
    mesh: Mesh,
    /// Number each facet had in the mesh that was handed in.
    numbers: Vec<usize>,
    changes: Vec<Change>,
}

impl Work {
    /// Keeps the facets that `keep` wants, in order.
    fn retain(&mut self, keep: &[bool]) {
        let mut kept = keep.iter();
        self.mesh.triangles.retain(|_| kept.next() == Some(&true));
        let mut kept = keep.iter();
        self.numbers.retain(|_| kept.next() == Some(&true));
    }

    fn drop_repeated(&mut self) {
        let keep: Vec<bool> = self
            .mesh
            .triangles
            .iter()
            .map(|&[a, b, c]| a != b && b != c && c != a)
            .collect();
        for (&facet, _) in self.numbers.iter().zip(&keep).filter(|&(_, keep)| !keep) {
            self.changes.push(Change::DroppedDegenerate { facet });
        }
        self.retain(&keep);
    }

    /// One round over all needles; says whether anything changed. A facet is touched once a round,
    /// since the table of edges is that of the beginning.
    fn lay_needles_across(&mut self) -> bool {
        let is_needle: Vec<bool> = self
            .mesh
            .facets()
            .map(|corners| shape(&corners) <= DEGENERATE_SHAPE)
            .collect();
        if !is_needle.contains(&true) {
            return false;
        }
        let edges = EdgeTable::new(&self.mesh);
        let mut touched = vec![false; is_needle.len()];
        let mut made = BTreeSet::new();
        let before = self.changes.len();
        for facet in (0..is_needle.len()).filter(|&facet| is_needle[facet]) {
            if let Some((neighbour, pair)) = self.across(facet, &edges, &touched) {
                // Two needles of one round must not make the same edge.
                let [[_, far, tip], _] = pair;
                if !made.insert([far.min(tip), far.max(tip)]) {
                    continue;
                }
                touched[facet] = true;
                touched[neighbour] = true;
                [self.mesh.triangles[facet], self.mesh.triangles[neighbour]] = pair;
                self.changes.push(Change::LaidAcross {
                    facet: self.numbers[facet],
                    neighbour: self.numbers[neighbour],
                });
            }
        }
        self.changes.len() > before
    }

    /// The neighbour of a needle along its longest side, and the two facets over the other
    /// diagonal; `None` where that would not help.
    fn across(
        &self,
        facet: usize,
        edges: &EdgeTable,
        touched: &[bool],
    ) -> Option<(usize, [[u32; 3]; 2])> {
        let mesh = &self.mesh;
        let length = |half: &HalfEdge| {
            let [from, to] = half.ends(mesh).map(|v| mesh.vertices[v as usize]);
            (to - from).norm_squared()
        };
        let longest = edges
            .sides(facet)
            .max_by(|a, b| length(a).total_cmp(&length(b)))?;
        let [a, b] = edges.along(longest)?.uses else {
            return None;
        };
        let other = if a.facet() == facet { *b } else { *a };
        let neighbour = other.facet();
        let same_way = other.ends(mesh) == longest.ends(mesh);
        if touched[facet] || touched[neighbour] || same_way {
            return None;
        }
        let [p, q] = longest.ends(mesh);
        let (tip, far) = (longest.opposite(mesh), other.opposite(mesh));
        // An edge that is there already would get a third facet.
        if tip == far || edges.find([tip, far]).is_some() {
            return None;
        }
        let pair = [[p, far, tip], [far, q, tip]];
        let sound = pair
            .iter()
            .all(|triangle| shape(&triangle.map(|v| mesh.vertices[v as usize])) > DEGENERATE_SHAPE);
        sound.then_some((neighbour, pair))
    }

    fn drop_duplicates(&mut self) {
        let mut keep = vec![true; self.mesh.triangles.len()];
        for duplicate in duplicates(&self.mesh, &EdgeTable::new(&self.mesh)) {
            keep[duplicate.facet] = false;
            self.changes.push(Change::DroppedDuplicate {
                facet: self.numbers[duplicate.facet],
                of: self.numbers[duplicate.of],
            });
        }
        self.retain(&keep);
    }

    /// Turns facets until pieces agree with themselves, then pieces that face the wrong way. A
    /// facet turned twice was not changed.
    fn wind(&mut self, open_pieces: bool) {
        let edges = EdgeTable::new(&self.mesh);
        let (mut turn, _) = facets_to_turn(&self.mesh, &edges);
        self.turn(&turn);
        // Turning a facet renumbers its sides.
        let edges = EdgeTable::new(&self.mesh);
        let pieces = pieces(&self.mesh, &edges, &borders(&self.mesh, &edges));
        let (numbers, _) = piece_numbers(&self.mesh, &edges);
        let wrong: Vec<bool> = numbers
            .iter()
            .map(|number| match number.map(|number| pieces[number].facing) {
                Some(Facing::InsideOut) => true,
                Some(Facing::LikelyInsideOut) => open_pieces,
                _ => false,
            })
            .collect();
        self.turn(&wrong);
        for (turn, wrong) in turn.iter_mut().zip(wrong) {
            *turn ^= wrong;
        }
        let turned = (0..turn.len()).filter(|&facet| turn[facet]);
        self.changes.extend(turned.map(|facet| Change::Turned {
            facet: self.numbers[facet],
        }));
    }

    fn turn(&mut self, turn: &[bool]) {
        for (triangle, _) in self
            .mesh
            .triangles
            .iter_mut()
            .zip(turn)
            .filter(|(_, turn)| **turn)
        {
            triangle.swap(1, 2);
        }
    }

    fn drop_unreferenced(&mut self) {
        let mut new_number = vec![None; self.mesh.vertices.len()];
        for &vertex in self.mesh.triangles.iter().flatten() {
            new_number[vertex as usize] = Some(0);
        }
        let mut next = 0;
        for (vertex, number) in new_number.iter_mut().enumerate() {
            match number {
                Some(number) => {
                    *number = next;
                    next += 1;
                }
                None => self.changes.push(Change::DroppedVertex { vertex }),
            }
        }
        let mut used = new_number.iter();
        self.mesh
            .vertices
            .retain(|_| used.next().is_some_and(Option::is_some));
        for vertex in self.mesh.triangles.iter_mut().flatten() {
            *vertex = new_number[*vertex as usize].unwrap_or(0);
        }
    }
}

#[cfg(test)]
#[path = "mend_tests.rs"]
mod tests;
