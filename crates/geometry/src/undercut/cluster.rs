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
            facing.push(members.iter().map(|&v| normals[v]).sum());
        }
    }
    let triangles = surface
        .triangles
        .iter()
        .map(|t| t.map(|v| cluster_of[v as usize]))
        .filter(|[a, b, c]| a != b && b != c && c != a && ![a, b, c].contains(&&u32::MAX))
        .filter(|t| {
            let [a, b, c] = t.map(|v| vertices[v as usize]);
            let normal = (b - a).cross(&(c - a));
            t.iter().all(|&v| {
                let facing = facing[v as usize];
                normal.dot(&facing) > TURNED * normal.norm() * facing.norm()
            })
        })
        .collect();
    Mesh {
        vertices,
        triangles,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    const CELL_MM: f64 = 0.5;

    /// A square sheet of `count` by `count` steps from a corner, at the height that is told, facing up.
    fn sheet([x, y]: [f64; 2], step: f64, count: u32, height: impl Fn(f64, f64) -> f64) -> Mesh {
        let along = |i: u32| f64::from(i) * step;
        let rows = (0..=count).flat_map(|j| (0..=count).map(move |i| [i, j]));
        let vertices = rows.map(|[i, j]| [x + along(i), y + along(j)]);
        let vertices = vertices.map(|[x, y]| Point3::new(x, y, height(x, y)));
        let row = count + 1;
        let cells = (0..count).flat_map(|j| (0..count).map(move |i| j * row + i));
        Mesh {
            vertices: vertices.collect(),
            triangles: cells
                .flat_map(|v| [[v, v + 1, v + row + 1], [v, v + row + 1, v + row]])
                .collect(),
        }
    }

    fn joined(mesh: Mesh) -> Mesh {
        cluster(&Surface::new(Arc::new(mesh)), CELL_MM)
    }

    fn area_mm2(mesh: &Mesh) -> f64 {
        let area = |facet| {
            let [a, b, c] = mesh.corners(facet);
            0.5 * (b - a).cross(&(c - a)).norm()
        };
        (0..mesh.triangles.len()).map(area).sum()
    }

    /// Both faces of a wall of 0.2 mm run through the same cells.
    #[test]
    fn the_faces_of_a_thin_wall_stay_apart() {
        let mut wall = sheet([0.02, 0.02], 0.1, 40, |_, _| 0.1);
        let count = u32::try_from(wall.vertices.len()).unwrap();
        let other = sheet([0.02, 0.02], 0.1, 40, |_, _| 0.3);
        wall.vertices.extend(other.vertices);
        // The lower face faces down.
        let lower = wall.triangles.iter_mut();
        lower.for_each(|t| t.swap(1, 2));
        wall.triangles
            .extend(other.triangles.iter().map(|t| t.map(|v| v + count)));
        let light = joined(wall);
        let (low, high): (Vec<f64>, Vec<f64>) =
            light.vertices.iter().map(|p| p.z).partition(|z| *z < 0.2);
        assert!(low.iter().all(|z| (z - 0.1).abs() < 1e-12), "{low:?}");
        assert!(high.iter().all(|z| (z - 0.3).abs() < 1e-12), "{high:?}");
        assert_eq!(low.len(), high.len());
        assert!(light.triangles.len() < 2 * 2 * 10 * 10);
    }

    /// But for its corners, where a cell holds border along two sides.
    #[test]
    fn an_open_border_does_not_recede() {
        let light = joined(sheet([0.12, 0.12], 0.1, 40, |_, _| 0.0));
        for axis in 0..2 {
            let at = || light.vertices.iter().map(move |p| p[axis]);
            assert!((at().fold(f64::INFINITY, f64::min) - 0.12).abs() < 1e-12);
            assert!((at().fold(f64::NEG_INFINITY, f64::max) - 4.12).abs() < 1e-12);
        }
        let lost = 16.0 - area_mm2(&light);
        assert!(
            (0.0..4.0 * 0.5 * CELL_MM * CELL_MM).contains(&lost),
            "{lost}"
        );
    }

    /// One facet with a corner in each of three cells. Where the means of its cells lie about as its
    /// corners do, it is kept; where other vertices pull them so that it would face down, it is left out.
    #[test]
    fn a_facet_that_is_turned_over_is_left_out() {
        let corners = [[0.45, 0.4], [0.55, 0.45], [0.52, 0.55]];
        let mut mesh = Mesh {
            vertices: corners.map(|[x, y]| Point3::new(x, y, 0.1)).into(),
            triangles: vec![[0, 1, 2]],
        };
        assert_eq!(joined(mesh.clone()).triangles.len(), 1);
        // Specks in two of the cells, each a facet so small that it is joined to nothing.
        for [x, y] in [[0.05, 0.01], [0.95, 0.51]] {
            for step in 0..50 {
                // Each in a place of its own, or they would be one.
                let x = x + f64::from(step) * 1e-4;
                let first = u32::try_from(mesh.vertices.len()).unwrap();
                let corners = [[0.0, 0.0], [0.01, 0.0], [0.0, 0.01]];
                let corners = corners.map(|[dx, dy]| Point3::new(x + dx, y + dy, 0.1));
                mesh.vertices.extend(corners);
                mesh.triangles.push([first, first + 1, first + 2]);
            }
        }
        assert!(joined(mesh).triangles.is_empty());
    }

    /// Derivation: over a square of side `h` about the foot of a normal a sphere of radius `R` falls
    /// away by `(x² + y²) / 2R`, in the mean by `(h²/12 + h²/12) / 2R = h² / 12R`.
    #[test]
    fn the_mean_over_a_cell_lies_inside_a_sphere_as_computed() {
        // The top lies within one layer of cells.
        let radius = 10.3_f64;
        let ball = |x: f64, y: f64| (radius * radius - x * x - y * y).sqrt();
        let light = joined(sheet([-1.4875, -1.4875], 0.025, 119, ball));
        let expected = CELL_MM * CELL_MM / (12.0 * radius);
        let inner = light
            .vertices
            .iter()
            .filter(|p| p.x.abs() < 1.0 && p.y.abs() < 1.0);
        let insets: Vec<f64> = inner.map(|p| radius - p.coords.norm()).collect();
        assert_eq!(insets.len(), 16);
        for inset in insets {
            assert!((inset / expected - 1.0).abs() < 0.05, "{inset} {expected}");
        }
    }
}
