//! Smoothed normals at the corners of facets, not smoothed across creases.

use super::surface::Surface;
use super::tolerance::CREASE_RAD;
use super::zone::root;
use nalgebra::Vector3;

/// A normal for every corner of every facet. Corners that meet at a vertex without a crease between
/// them share one, the mean of their facets' normals weighted by the angle at the corner (Thürmer
/// and Wüthrich, "Computing vertex normals from polygonal facets", J. Graphics Tools 3, 1998,
/// 43-46).
#[derive(Debug)]
pub(crate) struct SmoothNormals {
    /// Which normal each corner uses.
    corner: Vec<[u32; 3]>,
    pub(crate) normals: Vec<Vector3<f64>>,
    /// Whether each edge joins exactly two facets across a crease.
    pub(crate) crease: Vec<bool>,
}

impl SmoothNormals {
    pub(crate) fn new(surface: &Surface) -> Self {
        let facets = &surface.triangles;
        let corner_of = |facet: u32, vertex: u32| {
            let t = &facets[facet as usize];
            3 * facet as usize + t.iter().position(|&v| v == vertex).unwrap_or(0)
        };
        let mut parent: Vec<usize> = (0..3 * facets.len()).collect();
        let mut crease = vec![false; surface.edges.len()];
        for (edge, creased) in surface.edges.iter().zip(&mut crease) {
            // Open borders and edges of three or more facets join nothing.
            let [a, b] = surface.beside(edge) else {
                continue;
            };
            let [na, nb] = [a, b].map(|f| surface.normals[f.facet as usize]);
            let flat = na == Vector3::zeros() || nb == Vector3::zeros();
            if a.along == b.along || (!flat && na.dot(&nb) < CREASE_RAD.cos()) {
                *creased = a.along != b.along;
                continue;
            }
            for end in edge.ends {
                let p = root(&mut parent, corner_of(a.facet, end));
                let q = root(&mut parent, corner_of(b.facet, end));
                parent[p.max(q)] = p.min(q);
            }
        }
        let mut normals = Vec::new();
        let mut number = vec![u32::MAX; parent.len()];
        let mut corner = vec![[0; 3]; facets.len()];
        for (facet, names) in corner.iter_mut().enumerate() {
            let p = surface.corners(facet);
            for k in 0..3 {
                let r = root(&mut parent, 3 * facet + k);
                if number[r] == u32::MAX {
                    number[r] = u32::try_from(normals.len()).unwrap_or(u32::MAX);
                    normals.push(Vector3::zeros());
                }
                names[k] = number[r];
                let (u, v) = (p[(k + 1) % 3] - p[k], p[(k + 2) % 3] - p[k]);
                let angle = u.cross(&v).norm().atan2(u.dot(&v));
                normals[number[r] as usize] += surface.normals[facet] * angle;
            }
        }
        for n in &mut normals {
            let length = n.norm();
            if length > 0.0 {
                *n /= length;
            }
        }
        Self {
            corner,
            normals,
            crease,
        }
    }

    /// The normals of a facet's corners, by number.
    pub(crate) fn of_facet(&self, facet: usize) -> [u32; 3] {
        self.corner[facet]
    }
}
