//! Leaving out part of a surface the way a scan leaves it out: a ragged open border, one piece.

#![expect(
    clippy::cast_possible_truncation,
    reason = "no more vertices than the mesh has, and those are counted in u32"
)]

use nalgebra::Point3;
use tiltbench_geometry::mesh::Mesh;

/// Keeps the largest piece of the surface made of the triangles whose centroid is `kept`, without
/// the triangles that hang on by a corner only: every vertex left has one fan of triangles.
pub(super) fn trim(mesh: &Mesh, kept: impl Fn(Point3<f64>) -> bool) -> Mesh {
    let mut triangles: Vec<[u32; 3]> = (0..mesh.triangles.len())
        .filter(|&t| {
            let [a, b, c] = mesh.corners(t).map(|p| p.coords);
            kept(Point3::from((a + b + c) / 3.0))
        })
        .map(|t| mesh.triangles[t])
        .collect();
    loop {
        let pieces = Pieces::of(&triangles, mesh.vertices.len());
        let before = triangles.len();
        let mut index = 0..before;
        triangles.retain(|_| index.next().is_some_and(|t| pieces.is_largest(t)));
        if triangles.len() == before {
            // One piece, joined by edges. Fans that touch within it are cut loose.
            triangles.retain(|t| t.iter().all(|&v| !pieces.pinched[v as usize]));
        }
        if triangles.len() == before {
            return compact(mesh, &triangles);
        }
    }
}

/// Edge-connected pieces, and the vertices where fans meet by a corner only.
struct Pieces {
    of_triangle: Vec<usize>,
    largest: usize,
    pinched: Vec<bool>,
}

impl Pieces {
    fn of(triangles: &[[u32; 3]], vertices: usize) -> Self {
        // Edges as (low vertex, high vertex, triangle), sorted: neighbours stand side by side.
        let mut edges: Vec<(u32, u32, usize)> = Vec::with_capacity(3 * triangles.len());
        for (t, triangle) in triangles.iter().enumerate() {
            for i in 0..3 {
                let (a, b) = (triangle[i], triangle[(i + 1) % 3]);
                edges.push((a.min(b), a.max(b), t));
            }
        }
        edges.sort_unstable();
        let shared = |pair: &&[(u32, u32, usize)]| (pair[0].0, pair[0].1) == (pair[1].0, pair[1].1);
        let mut parent: Vec<usize> = (0..triangles.len()).collect();
        // Around a vertex of one fan, triangles exceed shared edges by one (open) or not (closed).
        let mut excess = vec![0_i32; vertices];
        for &v in triangles.iter().flatten() {
            excess[v as usize] += 1;
        }
        for pair in edges.windows(2).filter(shared) {
            let (a, b) = (root(&mut parent, pair[0].2), root(&mut parent, pair[1].2));
            parent[a.max(b)] = a.min(b);
            excess[pair[0].0 as usize] -= 1;
            excess[pair[0].1 as usize] -= 1;
        }
        let of_triangle: Vec<usize> = (0..triangles.len()).map(|t| root(&mut parent, t)).collect();
        let mut size = vec![0_usize; triangles.len()];
        for &piece in &of_triangle {
            size[piece] += 1;
        }
        // The first of the largest, so that ties fall the same way every time.
        let largest = (0..size.len()).rev().max_by_key(|&p| size[p]).unwrap_or(0);
        Self {
            of_triangle,
            largest,
            pinched: excess.into_iter().map(|e| e > 1).collect(),
        }
    }

    fn is_largest(&self, triangle: usize) -> bool {
        self.of_triangle[triangle] == self.largest
    }
}

fn root(parent: &mut [usize], mut t: usize) -> usize {
    while parent[t] != t {
        parent[t] = parent[parent[t]];
        t = parent[t];
    }
    t
}

/// The triangles with the vertices they use, in the order of first use.
fn compact(mesh: &Mesh, triangles: &[[u32; 3]]) -> Mesh {
    const UNUSED: u32 = u32::MAX;
    let mut place = vec![UNUSED; mesh.vertices.len()];
    let mut out = Mesh::default();
    for triangle in triangles {
        out.triangles.push(triangle.map(|v| {
            if place[v as usize] == UNUSED {
                place[v as usize] = out.vertices.len() as u32;
                out.vertices.push(mesh.vertices[v as usize]);
            }
            place[v as usize]
        }));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A strip of unit squares in the plane, two triangles each, `n` long and `m` wide.
    fn grid(n: u32, m: u32) -> Mesh {
        let at = |i: u32, j: u32| i * (m + 1) + j;
        let mut mesh = Mesh::default();
        for i in 0..=n {
            for j in 0..=m {
                mesh.vertices
                    .push(Point3::new(f64::from(i), f64::from(j), 0.0));
            }
        }
        for i in 0..n {
            for j in 0..m {
                mesh.triangles
                    .push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
                mesh.triangles
                    .push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
            }
        }
        mesh
    }

    #[test]
    fn keeps_the_largest_piece_and_drops_unused_vertices() {
        let out = trim(&grid(10, 1), |p| !(3.0..4.0).contains(&p.x));
        assert_eq!(out.triangles.len(), 12);
        assert_eq!(out.vertices.len(), 14);
        assert!(out.vertices.iter().all(|p| p.x >= 4.0));
    }

    #[test]
    fn a_piece_that_hangs_by_a_corner_goes() {
        // Squares (0,0) and (1,1) meet in one corner only; a third square joins the second.
        let out = trim(&grid(3, 2), |p| {
            let first_row = p.y < 1.0;
            if p.x < 1.0 { first_row } else { !first_row }
        });
        assert_eq!(out.triangles.len(), 4);
        assert!(out.vertices.iter().all(|p| p.y >= 1.0));
    }

    #[test]
    fn fans_that_touch_within_one_piece_are_cut_loose() {
        // Around the corner (2, 2) two squares are left out, across from each other; the other two
        // hang together by the ring around them, and by that corner.
        let out = trim(&grid(4, 4), |p| {
            let square = (p.x < 2.0, p.y < 2.0);
            let inner = (1.0..3.0).contains(&p.x) && (1.0..3.0).contains(&p.y);
            !inner || square.0 == square.1
        });
        assert_eq!(out.triangles.len(), 32 - 4 - 4);
    }

    #[test]
    fn nothing_kept_is_an_empty_mesh() {
        assert_eq!(trim(&grid(2, 2), |_| false), Mesh::default());
    }
}
