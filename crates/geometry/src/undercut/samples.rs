//! Samples of a zone: small triangles, each judged at its centroid.

use super::clip::Polygon;
use nalgebra::Point3;

/// A small triangle of a facet.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sample {
    pub(crate) corners: [Point3<f64>; 3],
    pub(crate) area: f64,
    pub(crate) facet: u32,
}

impl Sample {
    pub(crate) fn centroid(&self) -> Point3<f64> {
        let [a, b, c] = &self.corners;
        Point3::from((a.coords + b.coords + c.coords) / 3.0)
    }

    /// Its corners, each moved a sixty-fourth of its way toward the centroid: so that it lies in the
    /// air of its own facet, not of a neighbour's.
    pub(crate) fn inner_corners(&self) -> [Point3<f64>; 3] {
        let middle = self.centroid();
        self.corners.map(|p| p + (middle - p) / 64.0)
    }
}

/// Square millimetres. A piece smaller than this is rounding left over from cutting.
const LEAST_AREA_MM2: f64 = 1e-13;

/// Cuts a convex polygon of a facet into samples with no edge longer than `edge_mm`.
///
/// It starts at the longest side, so that neither the order of a facet's corners nor a motion of
/// the whole changes the samples.
pub(crate) fn sample(polygon: &Polygon, facet: u32, edge_mm: f64, samples: &mut Vec<Sample>) {
    let n = polygon.len();
    let side = |i: usize| (polygon[(i + 1) % n] - polygon[i]).norm_squared();
    let first = (0..n).fold(0, |m, i| if side(i) > side(m) { i } else { m });
    let corner = |i: usize| polygon[(first + i) % n];
    for i in 1..n.saturating_sub(1) {
        split(
            [corner(0), corner(i), corner(i + 1)],
            facet,
            edge_mm,
            samples,
        );
    }
}

/// Halves a triangle across its longest edge until no edge is longer than asked for.
///
/// Halving the longest edge keeps the smallest angle above half of what it was (Rosenberg and
/// Stenger, "A lower bound on the angles of triangles constructed by bisecting the longest side",
/// Math. Comp. 29, 1975, 390-395), so samples are no more needle-like than their facet.
fn split(triangle: [Point3<f64>; 3], facet: u32, edge_mm: f64, samples: &mut Vec<Sample>) {
    let mut left = vec![triangle];
    while let Some(t) = left.pop() {
        let edge = |i: usize| (t[(i + 1) % 3] - t[i]).norm_squared();
        let longest = (0..3).fold(0, |m, i| if edge(i) > edge(m) { i } else { m });
        if edge(longest) > edge_mm * edge_mm {
            let [a, b, c] = [0, 1, 2].map(|k| t[(longest + k) % 3]);
            let middle = nalgebra::center(&a, &b);
            left.push([middle, b, c]);
            left.push([a, middle, c]);
        } else {
            let area = 0.5 * (t[1] - t[0]).cross(&(t[2] - t[0])).norm();
            if area > LEAST_AREA_MM2 {
                samples.push(Sample {
                    corners: t,
                    area,
                    facet,
                });
            }
        }
    }
}
