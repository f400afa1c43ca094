//! Holes of a scan, and facets that close them.
//!
//! The longest border loop of a connected piece is its rim: there the scan simply ends. Every other
//! closed loop is a hole: surface that exists and was not seen. What a hole hides is not known, so
//! nothing is mended; but neither may a line that leaves through a hole be taken to reach the sky. So
//! holes are closed with facets of their own, told from the scan's, that say where nothing is known.
//!
//! How: a loop is cut into triangles in its own plane ([`super::triangulate`]); one that is too far
//! from a plane, crosses itself there or has very many corners is closed by a fan about the mean of its
//! corners. Both cover the loop once, wound like the facets around it.

use super::border::{Border, borders};
use super::check::piece_numbers;
use super::edges::EdgeTable;
use super::{Mesh, triangulate};
use nalgebra::{Point3, Vector3};

/// Corners of a loop at the most to be cut in its own plane, which costs their square.
const CUT_AT_MOST: usize = 1_000;

/// A hole.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// The vertices around it, along the winding of the facets there.
    pub vertices: Vec<u32>,
    /// Length of the loop, in the mesh's unit.
    pub perimeter: f64,
    /// Mean of its corners.
    pub centre: Point3<f64>,
}

/// A mesh with its holes closed.
#[derive(Debug, Clone)]
pub struct Filled {
    /// The mesh, its facets first and in their order, then those that close holes.
    pub mesh: Mesh,
    /// How many of its facets are the scan's own.
    pub own_facets: usize,
    /// The holes, in order of their lowest open edge.
    pub holes: Vec<Hole>,
}

/// Closes the holes of a mesh. A mesh without holes comes back as it is.
///
/// A border that ends at an edge with three or more facets is no loop, and stays open.
///
/// # Panics
/// When an index is out of range; [`super::check()`] says so instead.
pub fn fill_holes(mesh: &Mesh) -> Filled {
    let edges = EdgeTable::new(mesh);
    let all = borders(mesh, &edges);
    let mut filled = Filled {
        mesh: mesh.clone(),
        own_facets: mesh.triangles.len(),
        holes: Vec::new(),
    };
    for border in holes(mesh, &edges, &all) {
        let hole = Hole {
            vertices: border.vertices.clone(),
            perimeter: border.length(mesh),
            centre: centre(mesh, &border.vertices),
        };
        close(&mut filled.mesh, &hole);
        filled.holes.push(hole);
    }
    filled
}

/// The closed borders that are not the longest of their piece.
fn holes<'b>(mesh: &Mesh, edges: &EdgeTable, all: &'b [Border]) -> Vec<&'b Border> {
    let (piece, firsts) = piece_numbers(mesh, edges);
    let mut rim: Vec<Option<(f64, usize)>> = vec![None; firsts.len()];
    for (number, border) in all.iter().enumerate() {
        let length = border.length(mesh);
        if let Some(piece) = piece[border.facet]
            && rim[piece].is_none_or(|(known, _)| length > known)
        {
            rim[piece] = Some((length, number));
        }
    }
    let is_rim = |number: usize, border: &Border| {
        let longest = piece[border.facet].and_then(|piece| rim[piece]);
        longest.is_none_or(|(_, longest)| longest == number)
    };
    all.iter()
        .enumerate()
        .filter(|(number, border)| {
            border.closed && border.vertices.len() >= 3 && !is_rim(*number, border)
        })
        .map(|(_, border)| border)
        .collect()
}

fn centre(mesh: &Mesh, corners: &[u32]) -> Point3<f64> {
    let sum: Vector3<f64> = corners
        .iter()
        .map(|&v| mesh.vertices[v as usize].coords)
        .sum();
    Point3::from(sum / corners.len() as f64)
}

fn close(mesh: &mut Mesh, hole: &Hole) {
    // The other way round than the facets along the loop, so that neighbours are wound alike.
    let ring: Vec<u32> = hole.vertices.iter().rev().copied().collect();
    let corners: Vec<Point3<f64>> = ring.iter().map(|&v| mesh.vertices[v as usize]).collect();
    if ring.len() <= CUT_AT_MOST
        && let Ok(cut) = triangulate(&corners)
        && cut.is_flat()
    {
        mesh.triangles
            .extend(cut.triangles.into_iter().map(|t| t.map(|i| ring[i])));
        return;
    }
    let Ok(middle) = u32::try_from(mesh.vertices.len()) else {
        return;
    };
    mesh.vertices.push(hole.centre);
    let next = ring.iter().cycle().skip(1);
    mesh.triangles
        .extend(ring.iter().zip(next).map(|(&a, &b)| [a, b, middle]));
}

#[cfg(test)]
mod tests {
    use super::super::{check, measure::double_area_vector};
    use super::*;

    /// A square sheet of `n` by `n` cells at a height, without some of its cells.
    fn sheet(n: u32, without: &[[u32; 2]], height: impl Fn(f64, f64) -> f64) -> Mesh {
        let at = |i: u32, j: u32| {
            let (x, y) = (f64::from(i), f64::from(j));
            Point3::new(x, y, height(x, y))
        };
        let number = |i: u32, j: u32| i * (n + 1) + j;
        let vertices = (0..=n).flat_map(|i| (0..=n).map(move |j| at(i, j)));
        let cells = (0..n).flat_map(|i| (0..n).map(move |j| [i, j]));
        let kept = cells.filter(|cell| !without.contains(cell));
        Mesh {
            vertices: vertices.collect(),
            triangles: kept
                .flat_map(|[i, j]| {
                    let [a, b, c, d] = [
                        number(i, j),
                        number(i + 1, j),
                        number(i + 1, j + 1),
                        number(i, j + 1),
                    ];
                    [[a, b, c], [a, c, d]]
                })
                .collect(),
        }
    }

    fn area(mesh: &Mesh, facets: std::ops::Range<usize>) -> Vector3<f64> {
        facets
            .map(|f| 0.5 * double_area_vector(&mesh.corners(f)))
            .sum()
    }

    #[test]
    fn a_hole_is_closed_by_its_own_area_and_wound_like_its_surroundings() {
        // An L of three cells is missing: an outline with a notch, which a fan from a corner misses.
        let mesh = sheet(6, &[[2, 2], [3, 2], [2, 3]], |_, _| 1.0);
        let filled = fill_holes(&mesh);
        assert_eq!(filled.own_facets, mesh.triangles.len());
        assert_eq!(filled.holes.len(), 1);
        assert!((filled.holes[0].perimeter - 8.0).abs() < 1e-12);
        let all = filled.mesh.triangles.len();
        let closed = area(&filled.mesh, filled.own_facets..all);
        assert!(
            (closed - Vector3::new(0.0, 0.0, 3.0)).norm() < 1e-12,
            "{closed}"
        );
        let health = check(&filled.mesh).unwrap();
        assert!(health.consistently_wound());
        assert_eq!(health.borders.len(), 1);
    }

    #[test]
    fn a_hole_far_from_a_plane_is_closed_all_the_same() {
        let mesh = sheet(8, &[[3, 3], [3, 4], [4, 3], [4, 4]], |x, y| {
            3.0 * (x * std::f64::consts::FRAC_PI_2).sin() * (y * std::f64::consts::FRAC_PI_2).cos()
        });
        let filled = fill_holes(&mesh);
        assert_eq!(filled.holes.len(), 1);
        assert_eq!(check(&filled.mesh).unwrap().borders.len(), 1);
    }

    #[test]
    fn the_longest_loop_of_each_piece_is_its_rim() {
        let whole = sheet(4, &[], |_, _| 0.0);
        let filled = fill_holes(&whole);
        assert!(filled.holes.is_empty());
        assert_eq!(filled.mesh, whole);
        // A second piece, far away, with a hole longer than the rim of the first.
        let mut two = whole;
        let big = sheet(
            30,
            &(5..25)
                .flat_map(|i| (5..25).map(move |j| [i, j]))
                .collect::<Vec<_>>(),
            |_, _| 50.0,
        );
        let first = u32::try_from(two.vertices.len()).unwrap();
        two.vertices.extend(&big.vertices);
        two.triangles
            .extend(big.triangles.iter().map(|t| t.map(|v| v + first)));
        let filled = fill_holes(&two);
        assert_eq!(filled.holes.len(), 1);
        assert!((filled.holes[0].perimeter - 80.0).abs() < 1e-12);
    }
}
