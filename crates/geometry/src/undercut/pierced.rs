//! Facets that others pass through without an edge, as where two pieces of a scan cross.
//!
//! What lies over a place changes there though no contour comes over it, so such facets are looked at
//! sample by sample.

use super::surface::Surface;
use super::tree::Tree;
use nalgebra::{Point3, Vector3};

/// Tells which facets are pierced.
pub(crate) struct Pierced<'a> {
    surface: &'a Surface,
    tree: &'a Tree,
}

/// As a share of the size of what meets: a point nearer than this to a facet's border may be on it.
const ROUNDING: f64 = 1e-9;

impl<'a> Pierced<'a> {
    pub(crate) fn new(surface: &'a Surface, tree: &'a Tree) -> Self {
        Self { surface, tree }
    }

    /// Whether an edge of some other facet passes through this one, or one of its own through another.
    pub(crate) fn is(&self, facet: u32) -> bool {
        let corners = self.surface.corners(facet as usize);
        let low = corners.iter().fold(corners[0], |low, p| low.inf(p));
        let high = corners.iter().fold(corners[0], |high, p| high.sup(p));
        let mut found = false;
        self.tree.ask_in(&low, &high, |other| {
            found = found || other != facet && self.cross(facet, other);
            found
        });
        found
    }

    fn cross(&self, a: u32, b: u32) -> bool {
        let [of_a, of_b] = [a, b].map(|f| self.surface.triangles[f as usize]);
        if of_a.iter().filter(|v| of_b.contains(v)).count() > 1 {
            // Neighbours, or copies: there the edge between them is looked at.
            return false;
        }
        self.passes(of_a, of_b) || self.passes(of_b, of_a)
    }

    /// Whether an edge of `a` that shares no corner with `b` meets it.
    fn passes(&self, a: [u32; 3], b: [u32; 3]) -> bool {
        let [p, q, r] = b.map(|v| self.surface.vertices()[v as usize]);
        (0..3).any(|i| {
            let ends = [a[i], a[(i + 1) % 3]];
            !ends.iter().any(|v| b.contains(v)) && {
                let [s, t] = ends.map(|v| self.surface.vertices()[v as usize]);
                meets(&s, &t, &[p, q, r])
            }
        })
    }
}

/// Whether a segment meets a triangle; also said of some that just miss it.
///
/// Source: the signs of the volumes of the tetrahedra that the segment and each side span (Segura and
/// Feito, "Algorithms to test ray-triangle intersection", J. WSCG 9, 2001, 76-81).
fn meets(s: &Point3<f64>, t: &Point3<f64>, [p, q, r]: &[Point3<f64>; 3]) -> bool {
    let volume = |a: &Vector3<f64>, b: &Vector3<f64>, c: &Vector3<f64>| a.cross(b).dot(c);
    let [p, q, r, t] = [p - s, q - s, r - s, t - s];
    let size = p.norm().max(q.norm()).max(r.norm()).max(t.norm());
    let slack = ROUNDING * size * size * size;
    let normal = (q - p).cross(&(r - p));
    let (at_s, at_t) = (-p.dot(&normal), (t - p).dot(&normal));
    let is_beside = at_s.min(at_t) > slack || at_s.max(at_t) < -slack;
    // In one plane neither comes over the other.
    let is_level = at_s.abs().max(at_t.abs()) <= slack;
    if is_beside || is_level {
        return false;
    }
    let sides = [volume(&p, &q, &t), volume(&q, &r, &t), volume(&r, &p, &t)];
    sides.iter().all(|v| *v >= -slack) || sides.iter().all(|v| *v <= slack)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Mesh;
    use std::sync::Arc;

    fn pierced(extra: [[f64; 3]; 3]) -> Vec<bool> {
        let square = [
            [0.0, 0.0, 0.0],
            [4.0, 0.0, 0.0],
            [4.0, 4.0, 0.0],
            [0.0, 4.0, 0.0],
        ];
        let surface = Surface::new(Arc::new(Mesh {
            vertices: square
                .iter()
                .chain(&extra)
                .map(|p| Point3::from(*p))
                .collect(),
            triangles: vec![[0, 1, 2], [0, 2, 3], [4, 5, 6]],
        }));
        let tree = Tree::new(&surface);
        let pierced = Pierced::new(&surface, &tree);
        (0..3).map(|facet| pierced.is(facet)).collect()
    }

    #[test]
    fn a_facet_that_passes_through_another_is_told_and_one_beside_it_is_not() {
        let through = [[3.0, 0.5, -1.0], [3.0, 0.5, 1.0], [3.2, 0.6, 0.0]];
        assert_eq!(pierced(through), [true, false, true]);
        let above = through.map(|[x, y, z]| [x, y, z + 1.1]);
        assert_eq!(pierced(above), [false, false, false]);
        let larger = [[3.0, -5.0, -9.0], [3.0, -5.0, 9.0], [3.0, 30.0, 0.0]];
        assert_eq!(pierced(larger), [true, true, true]);
    }
}
