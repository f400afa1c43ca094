//! The cast as the readings need it: facet normals, and edges with the facets around them.

use super::fillings::{Ball, fill};
use super::seams::{Parts, Seams};
use crate::mesh::Mesh;
use nalgebra::{Point3, Vector3};
use std::sync::Arc;

/// A facet at an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Beside {
    pub(crate) facet: u32,
    /// Whether the facet runs along the edge from its first end to its second.
    pub(crate) along: bool,
}

/// An edge of the mesh and where its facets are listed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Edge {
    pub(crate) ends: [u32; 2],
    first: u32,
    count: u32,
}

impl Edge {
    /// Its part of the list of facets at edges.
    pub(crate) fn of<'a>(&self, beside: &'a [Beside]) -> &'a [Beside] {
        &beside[self.first as usize..(self.first + self.count) as usize]
    }
}

/// A mesh with what every draw needs of it, whatever the draw.
#[derive(Debug)]
pub(crate) struct Surface {
    mesh: Arc<Mesh>,
    /// The mesh's triangles with vertices at the very same place made one, then those that close holes.
    pub(crate) triangles: Vec<[u32; 3]>,
    /// How many facets are the scan's own.
    pub(crate) own_facets: usize,
    /// Around the holes that the others close.
    pub(crate) holes: Vec<Ball>,
    /// Unit outward normals; zero for a facet without area.
    pub(crate) normals: Vec<Vector3<f64>>,
    pub(crate) areas: Vec<f64>,
    /// Sorted by their ends.
    pub(crate) edges: Vec<Edge>,
    beside: Vec<Beside>,
    /// Edge of each facet from corner i to corner i + 1; `u32::MAX` where both are one vertex.
    pub(crate) facet_edges: Vec<[u32; 3]>,
    /// The facet across each of these edges that has just two, wound alike; `u32::MAX` across others.
    pub(crate) across: Vec<[u32; 3]>,
    /// What holds where facets meet.
    pub(crate) seams: Seams,
}

impl Surface {
    /// Indices must be in range and coordinates finite.
    pub(crate) fn new(mesh: Arc<Mesh>) -> Self {
        let same = same_place(&mesh.vertices);
        let triangles: Vec<[u32; 3]> = mesh
            .triangles
            .iter()
            .map(|t| t.map(|v| same[v as usize]))
            .collect();
        let own_facets = triangles.len();
        let mut filled = Mesh {
            vertices: mesh.vertices.clone(),
            triangles,
        };
        let holes = fill(&mut filled);
        let triangles = filled.triangles.clone();
        let mesh = if holes.is_empty() {
            mesh
        } else {
            Arc::new(filled)
        };
        let (normals, areas): (Vec<_>, Vec<_>) = triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(|v| mesh.vertices[v as usize]);
                let cross = (b - a).cross(&(c - a));
                let length = cross.norm();
                if length > 0.0 {
                    (cross / length, 0.5 * length)
                } else {
                    (Vector3::zeros(), 0.0)
                }
            })
            .unzip();
        let (edges, beside, facet_edges) = collect_edges(&triangles);
        let seams = Seams::new(&Parts {
            vertices: &mesh.vertices,
            triangles: &triangles,
            normals: &normals,
            edges: &edges,
            beside: &beside,
        });
        let across = (0_u32..)
            .zip(&facet_edges)
            .map(|(facet, of)| {
                of.map(|edge| {
                    let is_plain = seams.plain.get(edge as usize) == Some(&true);
                    let beside = is_plain.then(|| edges[edge as usize].of(&beside));
                    match beside {
                        Some([a, b]) if a.facet == facet => b.facet,
                        Some([a, b]) if b.facet == facet => a.facet,
                        _ => u32::MAX,
                    }
                })
            })
            .collect();
        Self {
            across,
            mesh,
            triangles,
            own_facets,
            holes,
            normals,
            areas,
            edges,
            beside,
            facet_edges,
            seams,
        }
    }

    pub(crate) fn mesh(&self) -> Arc<Mesh> {
        Arc::clone(&self.mesh)
    }

    pub(crate) fn vertices(&self) -> &[Point3<f64>] {
        &self.mesh.vertices
    }

    pub(crate) fn corners(&self, facet: usize) -> [Point3<f64>; 3] {
        self.triangles[facet].map(|v| self.mesh.vertices[v as usize])
    }

    pub(crate) fn beside(&self, edge: &Edge) -> &[Beside] {
        edge.of(&self.beside)
    }
}

/// For each vertex the first one, in order of place, at exactly the same place.
fn same_place(vertices: &[Point3<f64>]) -> Vec<u32> {
    let place = |v: u32| {
        let p = vertices[v as usize];
        // Adding zero makes -0 and 0 one place.
        [p.x + 0.0, p.y + 0.0, p.z + 0.0]
    };
    let order = |a: u32, b: u32| {
        let (p, q) = (place(a), place(b));
        p[0].total_cmp(&q[0])
            .then(p[1].total_cmp(&q[1]))
            .then(p[2].total_cmp(&q[2]))
    };
    let count = u32::try_from(vertices.len()).unwrap_or(u32::MAX);
    let mut sorted: Vec<u32> = (0..count).collect();
    sorted.sort_unstable_by(|&a, &b| order(a, b).then(a.cmp(&b)));
    let mut same = vec![0; vertices.len()];
    let mut first = 0;
    for (i, &v) in sorted.iter().enumerate() {
        if i == 0 || order(first, v).is_ne() {
            first = v;
        }
        same[v as usize] = first;
    }
    same
}

type Edges = (Vec<Edge>, Vec<Beside>, Vec<[u32; 3]>);

fn collect_edges(triangles: &[[u32; 3]]) -> Edges {
    struct Side {
        ends: [u32; 2],
        facet: u32,
        corner: u8,
        along: bool,
    }
    let mut sides: Vec<Side> = (0_u32..)
        .zip(triangles)
        .flat_map(|(facet, t)| {
            [0_u8, 1, 2].map(|corner| {
                let a = t[usize::from(corner)];
                let b = t[(usize::from(corner) + 1) % 3];
                Side {
                    ends: [a.min(b), a.max(b)],
                    facet,
                    corner,
                    along: a < b,
                }
            })
        })
        .filter(|side| side.ends[0] != side.ends[1])
        .collect();
    sides.sort_unstable_by_key(|s| (s.ends, s.facet, s.corner));
    let mut edges: Vec<Edge> = Vec::with_capacity(sides.len() / 2 + 1);
    let mut beside = Vec::with_capacity(sides.len());
    let mut facet_edges = vec![[u32::MAX; 3]; triangles.len()];
    for (i, side) in (0_u32..).zip(&sides) {
        match edges.last_mut() {
            Some(edge) if edge.ends == side.ends => edge.count += 1,
            _ => edges.push(Edge {
                ends: side.ends,
                first: i,
                count: 1,
            }),
        }
        beside.push(Beside {
            facet: side.facet,
            along: side.along,
        });
        facet_edges[side.facet as usize][usize::from(side.corner)] =
            u32::try_from(edges.len() - 1).unwrap_or(u32::MAX);
    }
    (edges, beside, facet_edges)
}
