//! What a check reports, and the check itself.

use super::pieces::{Facing, Piece, Winding, pieces};
use crate::mesh::border::{Border, borders};
use crate::mesh::edges::{EdgeTable, MAX_FACETS};
use crate::mesh::{Extent, Mesh, double_area_vector};
use nalgebra::Point3;

/// Least height of a facet over its longest edge at which it still counts as a surface. Separates
/// facets whose normal means something from needles whose normal is rounding: single precision near
/// 100 mm is good to 4e-6 mm, and scan edges are about 0.3 mm long. Independent of unit and place.
pub const DEGENERATE_SHAPE: f64 = 1e-5;

/// Why a mesh cannot be checked at all: it is not a mesh.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum MeshFault {
    /// A facet names a vertex that is not there.
    #[error("facet {facet} names vertex {index}, and there are {vertices} vertices")]
    Index {
        /// The facet, counted from 0.
        facet: usize,
        /// The vertex it names.
        index: u32,
        /// How many there are.
        vertices: usize,
    },
    /// A vertex has a coordinate that is not a finite number.
    #[error("vertex {vertex} has the coordinate {value}, and coordinates must be finite numbers")]
    NotFinite {
        /// The vertex, counted from 0.
        vertex: usize,
        /// The coordinate.
        value: f64,
    },
    /// Too many facets to number their sides.
    #[error("the mesh has {0} facets, and at most {MAX_FACETS} can be checked; thin it out")]
    TooMany(usize),
}

/// A facet without a usable normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Degenerate {
    /// The facet, counted from 0.
    pub facet: usize,
    /// What is wrong with it.
    pub kind: DegenerateKind,
}

/// In which way a facet is without surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DegenerateKind {
    /// It names a vertex twice.
    RepeatedVertex,
    /// Its least height over its longest edge is at or below [`DEGENERATE_SHAPE`].
    Needle {
        /// Least height over longest edge.
        shape: f64,
    },
}

/// A facet over the same three vertices as an earlier one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Duplicate {
    /// The later facet, counted from 0.
    pub facet: usize,
    /// The first facet over these vertices.
    pub of: usize,
    /// Whether it shows its other side.
    pub reversed: bool,
}

/// An edge with three facets or more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NonManifoldEdge {
    /// Its vertices, the lower number first.
    pub ends: [u32; 2],
    /// How many facets run along it.
    pub facets: usize,
}

/// All there is to say about a mesh. Lists hold every case, in order.
///
/// Defects that hide others: a facet that names a vertex twice has no edges, so what borders on it
/// reads as open or not without it. Duplicates make their edges non-manifold, and across those
/// nothing is said about winding.
#[derive(Debug, Clone, PartialEq)]
pub struct MeshHealth {
    /// How many facets.
    pub triangles: usize,
    /// How many vertices, used or not.
    pub vertices: usize,
    /// Box of the vertices in use; `None` without facets.
    pub extent: Option<Extent>,
    /// The same without what strays: see [`Mesh::core_extent`].
    pub core: Option<Extent>,
    /// Sum of the facets' areas.
    pub area: f64,
    /// Volume enclosed; negative when inside out. `None` unless [`Self::watertight`] and wound one
    /// way throughout: nothing is enclosed otherwise.
    pub signed_volume: Option<f64>,
    /// Whether there are facets and each edge joins exactly two.
    pub watertight: bool,
    /// Pieces connected across edges, in order of their first facet.
    pub pieces: Vec<Piece>,
    /// Edges with one facet, as vertex pairs, the lower number first.
    pub open_edges: Vec<[u32; 2]>,
    /// The open edges, strung together.
    pub borders: Vec<Border>,
    /// Edges with three facets or more.
    pub non_manifold_edges: Vec<NonManifoldEdge>,
    /// Edges that two facets run along the same way.
    pub inconsistent_edges: Vec<[u32; 2]>,
    /// Facets without a usable normal.
    pub degenerate: Vec<Degenerate>,
    /// Facets over the vertices of an earlier one.
    pub duplicates: Vec<Duplicate>,
    /// Vertices no facet uses.
    pub unreferenced_vertices: Vec<u32>,
}

impl MeshHealth {
    /// Pieces that are, or probably are, inside out.
    pub fn inside_out(&self) -> impl Iterator<Item = &Piece> {
        self.pieces
            .iter()
            .filter(|piece| matches!(piece.facing, Facing::InsideOut | Facing::LikelyInsideOut))
    }

    /// Facets over the vertices of an earlier one that show the same side.
    pub fn repeats(&self) -> impl Iterator<Item = &Duplicate> {
        self.duplicates
            .iter()
            .filter(|duplicate| !duplicate.reversed)
    }

    /// How many facets show their back where their neighbours show their front: the fewest that would have
    /// to be turned, and those that lie back to back with another. Repeats hide such facets: see
    /// [`super::super::sift()`].
    pub fn showing_back(&self) -> usize {
        let turned = self.pieces.iter().map(|piece| match piece.winding {
            Winding::Inconsistent { facets_to_turn } => facets_to_turn,
            Winding::Consistent | Winding::OneSided => 0,
        });
        turned.sum::<usize>() + self.duplicates.len() - self.repeats().count()
    }

    /// Whether every piece is wound one way throughout.
    pub fn consistently_wound(&self) -> bool {
        self.pieces
            .iter()
            .all(|piece| piece.winding == Winding::Consistent)
    }
}

/// Visits every defect of a mesh. The mesh should be welded; vertices at one position under two
/// numbers make open edges.
///
/// Works in any unit: nothing is compared with a length. Cost: linear for surfaces.
///
/// # Errors
/// [`MeshFault`] when it is not a mesh at all: the first such place.
pub fn check(mesh: &Mesh) -> Result<MeshHealth, MeshFault> {
    checked_input(mesh)?;
    let edges = EdgeTable::new(mesh);
    let borders = borders(mesh, &edges);
    let pieces = pieces(mesh, &edges, &borders);
    let mut open_edges = Vec::new();
    let mut non_manifold_edges = Vec::new();
    let mut inconsistent_edges = Vec::new();
    for edge in edges.iter() {
        match edge.uses.len() {
            1 => open_edges.push(edge.ends),
            2 if edge.is_run_twice_the_same_way(mesh) => inconsistent_edges.push(edge.ends),
            2 => {}
            facets => non_manifold_edges.push(NonManifoldEdge {
                ends: edge.ends,
                facets,
            }),
        }
    }
    let watertight = !edges.is_empty() && open_edges.is_empty() && non_manifold_edges.is_empty();
    let wound = inconsistent_edges.is_empty();
    Ok(MeshHealth {
        triangles: mesh.triangles.len(),
        vertices: mesh.vertices.len(),
        extent: mesh.extent(),
        core: mesh.core_extent(),
        area: mesh.area(),
        signed_volume: (watertight && wound).then(|| mesh.signed_volume()),
        watertight,
        pieces,
        open_edges,
        borders,
        non_manifold_edges,
        inconsistent_edges,
        degenerate: degenerate(mesh),
        duplicates: duplicates(mesh, &edges),
        unreferenced_vertices: unreferenced(mesh),
    })
}

/// Whether it is a mesh: finite coordinates, indices in range, not too many facets. Else the first
/// place where it is not.
pub(in crate::mesh) fn checked_input(mesh: &Mesh) -> Result<(), MeshFault> {
    if mesh.triangles.len() > MAX_FACETS {
        return Err(MeshFault::TooMany(mesh.triangles.len()));
    }
    for (vertex, point) in mesh.vertices.iter().enumerate() {
        if let Some(&value) = point.iter().find(|value| !value.is_finite()) {
            return Err(MeshFault::NotFinite { vertex, value });
        }
    }
    let vertices = mesh.vertices.len();
    for (facet, triangle) in mesh.triangles.iter().enumerate() {
        if let Some(&index) = triangle.iter().find(|&&index| index as usize >= vertices) {
            return Err(MeshFault::Index {
                facet,
                index,
                vertices,
            });
        }
    }
    Ok(())
}

/// Least height of a facet over its longest edge: 0 for a line or a point, 0.866 at most.
pub(in crate::mesh) fn shape(corners: &[Point3<f64>; 3]) -> f64 {
    let [a, b, c] = corners;
    let longest = (b - a)
        .norm_squared()
        .max((c - b).norm_squared())
        .max((a - c).norm_squared());
    if longest > 0.0 {
        double_area_vector(corners).norm() / longest
    } else {
        0.0
    }
}

fn degenerate(mesh: &Mesh) -> Vec<Degenerate> {
    let kind_of = |facet: usize| {
        let [a, b, c] = mesh.triangles[facet];
        if a == b || b == c || c == a {
            return Some(DegenerateKind::RepeatedVertex);
        }
        let shape = shape(&mesh.corners(facet));
        (shape <= DEGENERATE_SHAPE).then_some(DegenerateKind::Needle { shape })
    };
    (0..mesh.triangles.len())
        .filter_map(|facet| kind_of(facet).map(|kind| Degenerate { facet, kind }))
        .collect()
}

/// Facets over the same vertices share each edge and the corner opposite it, so they are looked for
/// along one edge of each facet: the one between its two lower vertex numbers.
pub(in crate::mesh) fn duplicates(mesh: &Mesh, edges: &EdgeTable) -> Vec<Duplicate> {
    let mut found = Vec::new();
    let mut uses = Vec::new();
    for edge in edges.iter().filter(|edge| edge.uses.len() > 1) {
        uses.clear();
        uses.extend(
            edge.uses
                .iter()
                .map(|half| (half.opposite(mesh), *half))
                .filter(|&(opposite, _)| opposite > edge.ends[1]),
        );
        // By the corner opposite, then in facet order.
        uses.sort_unstable();
        for same in uses.chunk_by(|a, b| a.0 == b.0) {
            let first = same[0].1;
            found.extend(same[1..].iter().map(|&(_, half)| Duplicate {
                facet: half.facet(),
                of: first.facet(),
                reversed: half.ends(mesh) != first.ends(mesh),
            }));
        }
    }
    found.sort_unstable();
    found
}

fn unreferenced(mesh: &Mesh) -> Vec<u32> {
    let mut used = vec![false; mesh.vertices.len()];
    for &vertex in mesh.triangles.iter().flatten() {
        used[vertex as usize] = true;
    }
    (0..)
        .zip(used)
        .filter_map(|(vertex, used)| (!used).then_some(vertex))
        .collect()
}
