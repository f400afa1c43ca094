//! The rest of a facet, in triangles.
//!
//! Derivation: let the polygon O be convex and hold the convex polygon Q, and c be a point inside Q.
//! A corner o of O whose angle about c lies between those of the neighbours q, q' of Q is not inside
//! the line q q', so the segment o q does not enter Q. Between o and the next corner o' of O, Q has
//! a chain of corners; let n be the outward normal of the side o o' and q* the corner of the chain
//! farthest along n. A side of the chain before q* has a normal m = a n0 + b n with a, b >= 0, n0 that of
//! the side of Q in front of o. For its corner q, m (o - q) = a n0 (o - q) + b n (o - q), and neither
//! part is negative: o lies outside the side n0, and Q inside the side o o'. So o sees every side
//! of the chain before q*, likewise o' every one after it, and the triangle o o' q* lies between.
//! Together these fill what is between the polygons. Where a corner of both is one vertex the
//! triangle has a vertex twice, and is left out.

use nalgebra::{Point3, Vector3};

/// Square millimetres. What is smaller than this is not cut out.
///
/// Tuned: the angles of corners about the middle of a polygon this small are still told apart in
/// doubles at coordinates of 1000 mm; smaller, they are not; larger, slivers of surface stay.
const LEAST_AREA_MM2: f64 = 1e-14;

/// `inner` in order round its middle, and the triangles between it and `outer`; `None` where it
/// has no area. `outer` is a convex polygon in order, corners on its sides allowed; `inner` the
/// corners of a convex polygon in it, in any order.
pub(super) fn between(
    outer: &[u32],
    inner: &[u32],
    vertices: &[Point3<f64>],
) -> Option<(Vec<u32>, Vec<[u32; 3]>)> {
    if inner.len() < 3 {
        return None;
    }
    let at = |v: u32| vertices[v as usize];
    let sum: Vector3<f64> = inner.iter().map(|&v| at(v).coords).sum();
    let middle = Point3::from(sum / inner.len() as f64);
    let angles = Angles::about(middle, outer, vertices)?;
    let sorted = |all: &[u32]| {
        let mut all: Vec<(f64, u32)> = all.iter().map(|&v| (angles.of(&at(v)), v)).collect();
        all.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
        all
    };
    let ring = sorted(inner);
    let area: f64 = (0..ring.len())
        .map(|k| {
            let (a, b) = (at(ring[k].1), at(ring[(k + 1) % ring.len()].1));
            0.5 * (a - middle).cross(&(b - middle)).dot(&angles.normal)
        })
        .sum();
    if area <= LEAST_AREA_MM2 {
        return None;
    }
    let rim = sorted(outer);
    let triangles = merge(&rim, &ring, &angles.normal, vertices);
    Some((ring.iter().map(|&(_, v)| v).collect(), triangles))
}

/// Goes round once and gives the triangles between two polygons, each sorted by angle.
fn merge(
    rim: &[(f64, u32)],
    ring: &[(f64, u32)],
    normal: &Vector3<f64>,
    vertices: &[Point3<f64>],
) -> Vec<[u32; 3]> {
    let at = |v: u32| vertices[v as usize].coords;
    let of_ring = |k: usize| ring[k % ring.len()].1;
    // The last corner of the ring up to an angle; counted on by one round, so never below zero.
    let up_to = |angle: f64| ring.partition_point(|corner| corner.0 <= angle) + ring.len() - 1;
    let mut triangles = Vec::new();
    for i in 0..rim.len() {
        let round = (i + 1) / rim.len();
        let (o, next) = (rim[i], rim[(i + 1) % rim.len()]);
        let (first, last) = (up_to(o.0), up_to(next.0) + round * ring.len());
        let outward = (at(next.1) - at(o.1)).cross(normal);
        let farther = |a: usize, b: usize| {
            let [a_far, b_far] = [a, b].map(|k| outward.dot(&at(of_ring(k))));
            if b_far > a_far { b } else { a }
        };
        let farthest = (first..=last).fold(first, farther);
        triangles.extend((first..farthest).map(|k| [of_ring(k), o.1, of_ring(k + 1)]));
        triangles.push([o.1, next.1, of_ring(farthest)]);
        triangles.extend((farthest..last).map(|k| [of_ring(k), next.1, of_ring(k + 1)]));
    }
    triangles.retain(|[a, b, c]| a != b && b != c && c != a);
    triangles
}

/// Angles about a point in the plane of a polygon, counter-clockwise as the polygon runs.
struct Angles {
    middle: Point3<f64>,
    x: Vector3<f64>,
    y: Vector3<f64>,
    normal: Vector3<f64>,
}

impl Angles {
    /// `None` where the polygon has no area.
    fn about(middle: Point3<f64>, polygon: &[u32], vertices: &[Point3<f64>]) -> Option<Self> {
        let at = |k: usize| vertices[polygon[k % polygon.len()] as usize] - middle;
        let double: Vector3<f64> = (0..polygon.len()).map(|k| at(k).cross(&at(k + 1))).sum();
        let normal = double.try_normalize(LEAST_AREA_MM2)?;
        let x = (at(0) - normal * normal.dot(&at(0))).try_normalize(0.0)?;
        let y = normal.cross(&x);
        Some(Self {
            middle,
            x,
            y,
            normal,
        })
    }

    fn of(&self, p: &Point3<f64>) -> f64 {
        let offset = p - self.middle;
        offset.dot(&self.y).atan2(offset.dot(&self.x))
    }
}
