//! The nearest point of a mesh.

use super::Mesh;
use nalgebra::Point3;

/// The point of a triangle that is nearest to `p`. A triangle without area is the line or the
/// point it is.
///
/// Source: C. Ericson, Real-Time Collision Detection, 2005, ISBN 978-1-55860-732-3, section 5.1.5:
/// the regions of corners, sides and inside are told apart by the signs of barycentric coordinates.
pub fn nearest_of_triangle(p: &Point3<f64>, corners: &[Point3<f64>; 3]) -> Point3<f64> {
    let [a, b, c] = corners;
    let (ab, ac) = (b - a, c - a);
    let (ap, bp, cp) = (p - a, p - b, p - c);
    let (d1, d2) = (ab.dot(&ap), ac.dot(&ap));
    let (d3, d4) = (ab.dot(&bp), ac.dot(&bp));
    let (d5, d6) = (ab.dot(&cp), ac.dot(&cp));
    let (of_a, of_b, of_c) = (d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2);
    let all = of_a + of_b + of_c;
    if of_a > 0.0 && of_b > 0.0 && of_c > 0.0 && all > 0.0 {
        return a + ab * (of_b / all) + ac * (of_c / all);
    }
    // Not over the inside: on a side, or at its end. Three segments cannot be told apart wrongly.
    let sides = [(a, b), (b, c), (c, a)].map(|(from, to)| nearest_of_segment(p, from, to));
    let nearer = |x: Point3<f64>, y: Point3<f64>| {
        if (y - p).norm_squared() < (x - p).norm_squared() {
            y
        } else {
            x
        }
    };
    nearer(nearer(sides[0], sides[1]), sides[2])
}

fn nearest_of_segment(p: &Point3<f64>, a: &Point3<f64>, b: &Point3<f64>) -> Point3<f64> {
    let along = b - a;
    let length2 = along.norm_squared();
    if length2 > 0.0 {
        a + along * ((p - a).dot(&along) / length2).clamp(0.0, 1.0)
    } else {
        *a
    }
}

impl Mesh {
    /// The point of the mesh that is nearest to `p`, the first in facet order of equals; `None`
    /// without facets.
    ///
    /// Cost: every facet, most of them by their box alone.
    pub fn nearest(&self, p: &Point3<f64>) -> Option<Point3<f64>> {
        nearest_in(self.facets(), p)
    }
}

/// The point of some triangles that is nearest to `p`.
pub(crate) fn nearest_in(
    facets: impl Iterator<Item = [Point3<f64>; 3]>,
    p: &Point3<f64>,
) -> Option<Point3<f64>> {
    let mut best: Option<(f64, Point3<f64>)> = None;
    for corners in facets {
        let [a, b, c] = &corners;
        let low = a.inf(b).inf(c);
        let high = a.sup(b).sup(c);
        let box2 = (0..3)
            .map(|k| (low[k] - p[k]).max(p[k] - high[k]).max(0.0).powi(2))
            .sum::<f64>();
        if best.is_some_and(|(least2, _)| box2 >= least2) {
            continue;
        }
        let near = nearest_of_triangle(p, &corners);
        let distance2 = (near - p).norm_squared();
        if best.is_none_or(|(least2, _)| distance2 < least2) {
            best = Some((distance2, near));
        }
    }
    best.map(|(_, near)| near)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against a fine sampling of the triangle, which can only be farther away, and by no more than
    /// its spacing.
    #[test]
    fn nothing_sampled_is_nearer() {
        let mut state = 3_u64;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64 / f64::from(1 << 24) * 4.0 - 2.0
        };
        let mut point = || Point3::new(next(), next(), next());
        for _ in 0..200 {
            let (p, corners) = (point(), [point(), point(), point()]);
            let near = nearest_of_triangle(&p, &corners);
            let distance = (near - p).norm();
            let [a, b, c] = corners;
            let mut least = f64::INFINITY;
            for i in 0..=40 {
                for j in 0..=40 - i {
                    let q = a + (b - a) * (f64::from(i) / 40.0) + (c - a) * (f64::from(j) / 40.0);
                    least = least.min((q - p).norm());
                }
            }
            let spacing = (b - a).norm().max((c - a).norm()) / 40.0;
            assert!(distance <= least + 1e-12, "{distance} {least}");
            assert!(distance >= least - spacing, "{distance} {least}");
        }
    }

    #[test]
    fn triangles_without_area_are_lines_and_points() {
        let at = |x: f64| Point3::new(x, 0.0, 0.0);
        let p = Point3::new(1.0, 2.0, 0.0);
        assert_eq!(
            nearest_of_triangle(&p, &[at(0.0), at(3.0), at(2.0)]),
            at(1.0)
        );
        assert_eq!(nearest_of_triangle(&p, &[at(4.0); 3]), at(4.0));
        assert_eq!(Mesh::default().nearest(&p), None);
    }
}
