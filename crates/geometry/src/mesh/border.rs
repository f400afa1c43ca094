//! The open borders of a mesh.
//!
//! From an open edge the border goes on by turning about its end through the facets there, one
//! shared edge after another, until the next open edge. So two borders that touch in one vertex
//! stay two, whatever the winding. Where an edge with three or more facets is in the way the
//! border ends.

use super::Mesh;
use super::edges::{EdgeTable, HalfEdge};

/// A chain of open edges.
#[derive(Debug, Clone, PartialEq)]
pub struct Border {
    /// Its vertices in order, along the winding of its first facet. A closed border does not
    /// repeat the first at the end; one that ends does list both ends.
    pub vertices: Vec<u32>,
    /// A facet along it.
    pub facet: usize,
    /// Whether it comes back to its beginning.
    pub closed: bool,
}

impl Border {
    /// Its length, in the mesh's unit.
    ///
    /// # Panics
    /// When it is of another mesh.
    pub fn length(&self, mesh: &Mesh) -> f64 {
        let at = |i: usize| mesh.vertices[self.vertices[i % self.vertices.len()] as usize];
        let edges = if self.closed {
            self.vertices.len()
        } else {
            self.vertices.len() - 1
        };
        (0..edges).map(|i| (at(i + 1) - at(i)).norm()).sum()
    }
}

/// Every border, in order of its lowest open edge.
pub(super) fn borders(mesh: &Mesh, edges: &EdgeTable) -> Vec<Border> {
    let mut seen = vec![false; edges.len()];
    let mut borders = Vec::new();
    for (number, edge) in edges.iter().enumerate() {
        let &[start] = edge.uses else {
            continue;
        };
        if std::mem::replace(&mut seen[number], true) {
            continue;
        }
        let [first, second] = start.ends(mesh);
        let mut vertices = vec![first, second];
        let closed = follow(mesh, edges, start, second, &mut seen, &mut vertices);
        if closed {
            // The walk came back to the start, whose first vertex is already there.
            vertices.pop();
        } else {
            let mut backward = vec![first];
            follow(mesh, edges, start, first, &mut seen, &mut backward);
            backward.reverse();
            backward.extend_from_slice(&vertices[1..]);
            vertices = backward;
        }
        borders.push(Border {
            vertices,
            facet: start.facet(),
            closed,
        });
    }
    borders
}

/// Walks the border from an open side through its end `vertex`, and says whether it came back.
fn follow(
    mesh: &Mesh,
    edges: &EdgeTable,
    start: HalfEdge,
    vertex: u32,
    seen: &mut [bool],
    vertices: &mut Vec<u32>,
) -> bool {
    let (mut half, mut vertex) = (start, vertex);
    while let Some(next) = turn(mesh, edges, half, vertex) {
        if next == start {
            return true;
        }
        if let Some(number) = edges.number_of(next) {
            seen[number] = true;
        }
        let [from, to] = next.ends(mesh);
        vertex = if from == vertex { to } else { from };
        vertices.push(vertex);
        half = next;
    }
    false
}

/// The other open side reached from the open side `half` by turning about `vertex`.
fn turn(mesh: &Mesh, edges: &EdgeTable, half: HalfEdge, vertex: u32) -> Option<HalfEdge> {
    let mut half = half;
    // Each facet about the vertex is passed at most once, as two of its sides end there; the walk
    // began at an open side, so it cannot close up.
    loop {
        let other = if half.ends(mesh)[1] == vertex {
            half.next()
        } else {
            half.before()
        };
        match edges.along(other)?.uses {
            [_] => return Some(other),
            [a, b] => half = if a.facet() == other.facet() { *b } else { *a },
            _ => return None,
        }
    }
}
