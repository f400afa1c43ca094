//! Whether a zone's outline is a simple polygon.

use crate::problem::ProblemKind;
use tiltbench_geometry::tolerance::MET_MM;

/// Checks count, repeated points and crossings, in that order: the first kind of defect found is
/// reported, as it usually causes the others.
///
/// The cost grows as the square of the points, of which the reader lets in
/// [`MOST_POINTS`](crate::schema::keys::MOST_POINTS).
///
/// Points closer than [`MET_MM`] are the same. Sides that touch count as crossing, and so do sides
/// too close to touching for floating point to tell.
pub(crate) fn check(points: &[[f64; 2]]) -> Result<(), ProblemKind> {
    let count = points.len();
    if count < 3 {
        return Err(ProblemKind::OutlineTooFew { count });
    }
    if let Some((first, second)) = repeated(points) {
        return Err(ProblemKind::OutlineRepeats { first, second });
    }
    if let Some((first, second)) = crossing(points) {
        return Err(ProblemKind::OutlineCrosses { first, second });
    }
    Ok(())
}

/// The area that a simple polygon bounds, mm².
///
/// Derivation: the shoelace sum, about the first point to keep the terms small.
pub(crate) fn area_mm2(points: &[[f64; 2]]) -> f64 {
    let Some(&[x, y]) = points.first() else {
        return 0.0;
    };
    let from = |p: &[f64; 2]| [p[0] - x, p[1] - y];
    let pairs = points.iter().zip(points.iter().cycle().skip(1));
    let twice: f64 = pairs
        .map(|(p, q)| {
            let ([a, b], [c, d]) = (from(p), from(q));
            a * d - b * c
        })
        .sum();
    0.5 * twice.abs()
}

fn repeated(points: &[[f64; 2]]) -> Option<(usize, usize)> {
    for (second, q) in points.iter().enumerate() {
        for (first, p) in points[..second].iter().enumerate() {
            if (p[0] - q[0]).hypot(p[1] - q[1]) <= MET_MM {
                return Some((first, second));
            }
        }
    }
    None
}

/// Indices at which the first pair of sides that meet begin. A polygon without one has an area:
/// with none, its sides would lie on each other.
fn crossing(points: &[[f64; 2]]) -> Option<(usize, usize)> {
    let count = points.len();
    let side = |index: usize| (points[index], points[(index + 1) % count]);
    for second in 1..count {
        for first in 0..second {
            let (a, b) = side(first);
            let (c, d) = side(second);
            let meets = if first + 1 == second {
                folds_back(a, b, d)
            } else if (second + 1) % count == first {
                folds_back(c, d, b)
            } else {
                sides_meet(a, b, c, d)
            };
            if meets {
                return Some((first, second));
            }
        }
    }
    None
}

/// Whether the side from `corner` to `to` lies on the side from `from` to `corner`.
fn folds_back(from: [f64; 2], corner: [f64; 2], to: [f64; 2]) -> bool {
    let dot =
        (from[0] - corner[0]) * (to[0] - corner[0]) + (from[1] - corner[1]) * (to[1] - corner[1]);
    turn(from, corner, to) == 0 && dot > 0.0
}

fn sides_meet(a: [f64; 2], b: [f64; 2], c: [f64; 2], d: [f64; 2]) -> bool {
    // Boxes that are apart settle most pairs, and all collinear ones that do not overlap.
    for axis in 0..2 {
        let (low, high) = (a[axis].min(b[axis]), a[axis].max(b[axis]));
        if c[axis].max(d[axis]) < low || c[axis].min(d[axis]) > high {
            return false;
        }
    }
    turn(a, b, c) * turn(a, b, d) <= 0 && turn(c, d, a) * turn(c, d, b) <= 0
}

/// 1 when `a`, `b`, `c` turn left, -1 when right, 0 when straight or too close to tell.
///
/// Source: J. R. Shewchuk, Adaptive precision floating-point arithmetic and fast robust geometric
/// predicates, 1997, doi 10.1007/PL00009321, section 4.3: beyond
/// `(3 + 16 u) u (|left| + |right|)`, with `u = 2^-53`, the sign of the difference is certain.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> i8 {
    const BOUND: f64 = (3.0 + 8.0 * f64::EPSILON) * (f64::EPSILON / 2.0);
    let left = (a[0] - c[0]) * (b[1] - c[1]);
    let right = (a[1] - c[1]) * (b[0] - c[0]);
    let twice_area = left - right;
    let doubt = BOUND * (left.abs() + right.abs());
    if twice_area > doubt {
        1
    } else if twice_area < -doubt {
        -1
    } else {
        0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn simple_polygons_pass_either_way_round() {
        let mut notched = vec![
            [0.0, 0.0],
            [10.0, 0.0],
            [10.0, 10.0],
            [5.0, 1.0],
            [0.0, 10.0],
        ];
        assert_eq!(check(&notched), Ok(()));
        notched.reverse();
        assert_eq!(check(&notched), Ok(()));
        // Points along a straight side do no harm.
        let straight = [[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [2.0, 2.0]];
        assert_eq!(check(&straight), Ok(()));
    }

    #[test]
    fn each_defect_is_named_with_its_points() {
        use ProblemKind::{OutlineCrosses, OutlineRepeats, OutlineTooFew};
        let cases: [(&[[f64; 2]], ProblemKind); 8] = [
            (&[], OutlineTooFew { count: 0 }),
            (&[[0.0, 0.0], [1.0, 0.0]], OutlineTooFew { count: 2 }),
            (
                &[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 0.0]],
                OutlineRepeats {
                    first: 0,
                    second: 3,
                },
            ),
            // A bow tie.
            (
                &[[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]],
                OutlineCrosses {
                    first: 0,
                    second: 2,
                },
            ),
            // No area: out and back.
            (
                &[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]],
                OutlineCrosses {
                    first: 0,
                    second: 2,
                },
            ),
            // A corner that touches another side.
            (
                &[[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [2.0, 0.0], [0.0, 4.0]],
                OutlineCrosses {
                    first: 0,
                    second: 2,
                },
            ),
            // A spike.
            (
                &[[0.0, 0.0], [4.0, 0.0], [2.0, 0.0], [2.0, 4.0]],
                OutlineCrosses {
                    first: 0,
                    second: 1,
                },
            ),
            // The last side crosses the second.
            (
                &[[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [6.0, 2.0], [6.0, 3.0]],
                OutlineCrosses {
                    first: 1,
                    second: 4,
                },
            ),
        ];
        for (points, expected) in cases {
            assert_eq!(check(points), Err(expected), "{points:?}");
        }
    }

    #[test]
    fn nearly_touching_counts_as_touching() {
        // 0.1 + 0.2 is a little more than 0.3, so the corner stands 4e-17 clear of the first side:
        // too little for floating point to tell.
        let points = [
            [0.0, 0.0],
            [1.0, 1.0],
            [1.0, 3.0],
            [0.3, 0.1 + 0.2],
            [-1.0, 3.0],
        ];
        assert_eq!(
            check(&points),
            Err(ProblemKind::OutlineCrosses {
                first: 0,
                second: 2
            })
        );
    }

    #[test]
    fn agrees_with_a_dense_sampling_of_the_sides() {
        // Independent check: seeded pentagons, sides intersected by solving for both parameters.
        let mut state = 7_u64;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64 / f64::from(1 << 24) * 10.0
        };
        let (mut simple, mut crossed) = (0, 0);
        for _ in 0..400 {
            let points: Vec<[f64; 2]> = (0..5).map(|_| [next(), next()]).collect();
            let side = |i: usize| (points[i % 5], points[(i + 1) % 5]);
            let expected = [(0, 2), (0, 3), (1, 3), (1, 4), (2, 4)]
                .iter()
                .any(|(i, j)| {
                    let ((a, b), (c, d)) = (side(*i), side(*j));
                    let (r, s) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
                    let det = r[0] * s[1] - r[1] * s[0];
                    let t = ((c[0] - a[0]) * s[1] - (c[1] - a[1]) * s[0]) / det;
                    let u = ((c[0] - a[0]) * r[1] - (c[1] - a[1]) * r[0]) / det;
                    (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u)
                });
            assert_eq!(check(&points).is_err(), expected, "{points:?}");
            if expected { crossed += 1 } else { simple += 1 }
        }
        assert!(
            simple > 50 && crossed > 50,
            "{simple} simple, {crossed} crossed"
        );
    }
}
