//! Fewer facets for the same shape, by vertex clustering.
//!
//! Vertices in one cell of a cubic grid become one, at their mean (Rossignac and Borrel,
//! "Multi-resolution 3D approximations for rendering complex scenes", Modeling in Computer Graphics,
//! 1993, 455-465). Two things are kept apart: the two faces of a thin wall, since only vertices
//! whose normals do not point against that of the first are joined; and open borders, where the mean is
//! taken over border vertices alone, so that a border does not recede.
//!
//! A facet that this turns over, or nearly so, would be a pocket that is not there, so it is left
//! out; the hole is smaller than a cell.
//!
//! No vertex moves by more than the diagonal of a cell, and on a smooth surface far less: the mean
//! of points spread over a width `h` on a curve of radius `R` lies about `h² / 12 R` inside it. The
//! mean of several vertices has less of a scanner's noise than each of them.

use super::groups::cube;
use super::surface::Surface;
use crate::mesh::Mesh;
use nalgebra::{Point3, Vector3};

/// Cosine between a facet's normal and the mean normal of the vertices joined at its corners, below
/// which it counts as turned over.
/// Tuned: 0.2. At 0 some pockets are left; much larger takes facets off sharp edges.
const TURNED: f64 = 0.2;

/// The surface with the vertices of each cell made one, and the facets that are left. In a fixed
/// order of place; vertices without facets are dropped.
pub(crate) fn cluster(surface: &Surface, cell_mm: f64) -> Mesh {
    let places = surface.vertices();
    let mut normals = vec![Vector3::zeros(); places.len()];
    for (facet, t) in surface.triangles.iter().enumerate() {
        for &v in t {
            normals[v as usize] += surface.normals[facet] * surface.areas[facet];
        }
    }
    let mut on_border = vec![false; places.len()];
    for edge in &surface.edges {
        if surface.beside(edge).len() == 1 {
            for v in edge.ends {
                on_border[v as usize] = true;
            }
        }
    }
    let mut keyed: Vec<([i32; 3], u32)> = (0_u32..)
        .zip(places.iter().zip(&normals))
        .filter(|(_, (_, normal))| **normal != Vector3::zeros())
        .map(|(v, (p, _))| (cube(p, cell_mm), v))
        .collect();
    keyed.sort_unstable();
    let mut vertices: Vec<Point3<f64>> = Vec::new();
    let mut facing: Vec<Vector3<f64>> = Vec::new();
    let mut cluster_of = vec![u32::MAX; places.len()];
    for cell in keyed.chunk_by(|a, b| a.0 == b.0) {
        let first = normals[cell[0].1 as usize];
        let (same, other): (Vec<usize>, Vec<usize>) = cell
            .iter()
            .map(|member| member.1 as usize)
            .partition(|&v| normals[v].dot(&first) >= 0.0);
        for members in [same, other] {
            if members.is_empty() {
                continue;
            }
            let number = u32::try_from(vertices.len()).unwrap_or(u32::MAX);
            let any_border = members.iter().any(|&v| on_border[v]);
            let (mut sum, mut count) = (Vector3::zeros(), 0.0);
            for &v in &members {
                cluster_of[v] = number;
                if on_border[v] == any_border {
                    sum += places[v].coords;
                    count += 1.0;
                }
            }
            vertices.push(Point3::from(sum / count));
            facing.push(
                members
                    .iter()
                    .map(|&v| normals[v])
                    .sum::<Vector3<f64>>()
                    .normalize(),
            );
        }
    }
    let triangles = surface
        .triangles
        .iter()
        .map(|t| t.map(|v| cluster_of[v as usize]))
        .filter(|[a, b, c]| a != b && b != c && c != a && ![a, b, c].contains(&&u32::MAX))
        .filter(|t| {
            let [a, b, c] = t.map(|v| vertices[v as usize]);
            let normal = (b - a).cross(&(c - a)).normalize();
            t.iter().all(|&v| normal.dot(&facing[v as usize]) > TURNED)
        })
        .collect();
    Mesh {
        vertices,
        triangles,
    }
}
