//! The outline of a zone: a simple polygon in x-y, cut into triangles.

use crate::undercut::plan::{Frame, Plan};

/// Why a polygon does not bound an area.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum OutlineError {
    /// Fewer than three corners, or corners that are not finite numbers.
    #[error("it needs at least three corners with finite coordinates, and has {0} such")]
    TooFewCorners(usize),
    /// The polygon has no area.
    #[error("its corners span an area of {0} mm², which is none")]
    NoArea(f64),
    /// Two sides meet that are not neighbours.
    #[error(
        "side {0} meets side {1} (counted from 0): a side may only meet its neighbours, at its ends"
    )]
    CrossesItself(usize, usize),
}

/// A simple polygon.
#[derive(Debug, Clone)]
pub(crate) struct Outline {
    /// Counter-clockwise.
    corners: Vec<Plan>,
    pub(crate) frame: Frame,
    /// Counter-clockwise triangles that tile it.
    pub(crate) tiles: Vec<[Plan; 3]>,
}

fn turn(a: Plan, b: Plan, c: Plan) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

impl Outline {
    /// # Errors
    /// [`OutlineError`] when the polygon does not bound an area, or crosses itself.
    pub(crate) fn new(polygon: &[[f64; 2]]) -> Result<Self, OutlineError> {
        let finite = polygon
            .iter()
            .filter(|p| p[0].is_finite() && p[1].is_finite());
        if finite.count() < polygon.len().max(3) {
            let finite = polygon
                .iter()
                .filter(|p| p[0].is_finite() && p[1].is_finite());
            return Err(OutlineError::TooFewCorners(finite.count()));
        }
        let mut corners = polygon.to_vec();
        corners.dedup_by(|p, q| same(*p, *q));
        while corners.len() > 1 && same(corners[0], corners[corners.len() - 1]) {
            corners.pop();
        }
        let frame = Frame::around(corners.iter().copied());
        let area = area(&corners);
        let size = (frame.high[0] - frame.low[0]).max(frame.high[1] - frame.low[1]);
        if corners.len() < 3 || area.abs() <= 1e-12 * size * size {
            return Err(OutlineError::NoArea(area.abs()));
        }
        if let Some((i, j)) = first_crossing(polygon) {
            return Err(OutlineError::CrossesItself(i, j));
        }
        if area < 0.0 {
            corners.reverse();
        }
        let tiles = cut_ears(&corners);
        Ok(Self {
            corners,
            frame,
            tiles,
        })
    }

    /// Whether a triangle meets a side of the polygon: none of their four lines keeps them apart.
    pub(crate) fn side_meets(&self, triangle: &[Plan; 3]) -> bool {
        let frame = Frame::around(*triangle);
        (0..self.corners.len()).any(|i| {
            let (a, b) = (self.corners[i], self.corners[(i + 1) % self.corners.len()]);
            if !Frame::around([a, b]).meets(&frame) {
                return false;
            }
            let sides = triangle.map(|p| turn(a, b, p));
            let beside = sides.iter().all(|&s| s > 0.0) || sides.iter().all(|&s| s < 0.0);
            let beyond = (0..3).any(|k| {
                let [p, q, r] = [0, 1, 2].map(|l| triangle[(k + l) % 3]);
                let inner = turn(p, q, r);
                [a, b].iter().all(|&end| turn(p, q, end) * inner < 0.0)
            });
            !beside && !beyond
        })
    }

    /// Whether a point lies inside; on a side, either.
    pub(crate) fn contains(&self, p: Plan) -> bool {
        let mut inside = false;
        for i in 0..self.corners.len() {
            let (a, b) = (self.corners[i], self.corners[(i + 1) % self.corners.len()]);
            if (a[1] > p[1]) != (b[1] > p[1]) {
                let x = a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
                if p[0] < x {
                    inside = !inside;
                }
            }
        }
        inside
    }
}

/// Whether two corners are at the same place.
fn same(p: Plan, q: Plan) -> bool {
    (0..2).all(|k| (p[k] + 0.0).total_cmp(&(q[k] + 0.0)).is_eq())
}

fn area(corners: &[Plan]) -> f64 {
    let Some(&origin) = corners.first() else {
        return 0.0;
    };
    corners
        .windows(2)
        .map(|w| 0.5 * turn(origin, w[0], w[1]))
        .sum()
}

fn on_segment(a: Plan, b: Plan, p: Plan) -> bool {
    Frame::around([a, b]).contains(p)
}

fn segments_meet(a: Plan, b: Plan, c: Plan, d: Plan) -> bool {
    let (c1, c2) = (turn(a, b, c), turn(a, b, d));
    let (a1, a2) = (turn(c, d, a), turn(c, d, b));
    let apart = |s: f64, t: f64| (s > 0.0 && t < 0.0) || (s < 0.0 && t > 0.0);
    (apart(c1, c2) && apart(a1, a2))
        || (c1 == 0.0 && on_segment(a, b, c))
        || (c2 == 0.0 && on_segment(a, b, d))
        || (a1 == 0.0 && on_segment(c, d, a))
        || (a2 == 0.0 && on_segment(c, d, b))
}

/// The first two sides that meet without being neighbours, or neighbours that fold back.
fn first_crossing(polygon: &[Plan]) -> Option<(usize, usize)> {
    // Sides without length are left out, but the others keep the numbers they have in the case.
    let n = polygon.len();
    let sides: Vec<usize> = (0..n)
        .filter(|&i| !same(polygon[i], polygon[(i + 1) % n]))
        .collect();
    let ends = |i: usize| (polygon[i], polygon[(i + 1) % n]);
    for (x, &i) in sides.iter().enumerate() {
        let (a, b) = ends(i);
        for (y, &j) in sides.iter().enumerate().skip(x + 1) {
            let (c, d) = ends(j);
            let next = y == x + 1;
            let around = x == 0 && y + 1 == sides.len();
            let meets = if next || around {
                // Neighbours share one end; they must not run back over each other.
                let (before, shared, after) = if next { (a, b, d) } else { (c, a, b) };
                let back = (before[0] - shared[0]) * (after[0] - shared[0])
                    + (before[1] - shared[1]) * (after[1] - shared[1]);
                turn(before, shared, after) == 0.0 && back > 0.0
            } else {
                segments_meet(a, b, c, d)
            };
            if meets {
                return Some((i, j));
            }
        }
    }
    None
}

/// Cuts a simple counter-clockwise polygon into triangles, ear by ear.
///
/// Every simple polygon has two ears (Meisters, "Polygons have ears", Amer. Math. Monthly 82, 1975,
/// 648-651). Corners are straight or reflex or not by the sign of one product, so an ear may be
/// missed by rounding when the polygon all but touches itself; then the corner that bends most is
/// cut, which changes the area by rounding only.
fn cut_ears(corners: &[Plan]) -> Vec<[Plan; 3]> {
    let mut left = corners.to_vec();
    let mut tiles = Vec::with_capacity(corners.len());
    while left.len() > 3 {
        let n = left.len();
        let at = |i: usize| [left[(i + n - 1) % n], left[i], left[(i + 1) % n]];
        // Straight corners go first: they cut off nothing.
        let straight = (0..n).find(|&i| {
            let [a, b, c] = at(i);
            turn(a, b, c) == 0.0
        });
        if let Some(i) = straight {
            left.remove(i);
            continue;
        }
        let ear = (0..n).find(|&i| {
            let [a, b, c] = at(i);
            turn(a, b, c) > 0.0
                && !left.iter().any(|&p| {
                    !(same(p, a) || same(p, b) || same(p, c))
                        && turn(a, b, p) >= 0.0
                        && turn(b, c, p) >= 0.0
                        && turn(c, a, p) >= 0.0
                })
        });
        let bend = |&i: &usize| {
            let [a, b, c] = at(i);
            turn(a, b, c)
        };
        let most = || {
            (0..n)
                .max_by(|i, j| bend(i).total_cmp(&bend(j)))
                .unwrap_or(0)
        };
        let i = ear.unwrap_or_else(most);
        tiles.push(at(i));
        left.remove(i);
    }
    if let [a, b, c] = left[..] {
        tiles.push([a, b, c]);
    }
    tiles
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tiled_area(outline: &Outline) -> f64 {
        outline.tiles.iter().map(|t| area(&t[..])).sum()
    }

    #[test]
    fn concave_polygon_of_either_winding_is_tiled_whole() {
        let mut comb = vec![[0.0, 0.0], [9.0, 0.0], [9.0, 5.0]];
        for i in (0..4).rev() {
            let x = 2.0 * f64::from(i);
            comb.extend([[x + 2.0, 5.0], [x + 1.5, 1.0], [x + 0.5, 1.0]]);
        }
        comb.push([0.0, 5.0]);
        for polygon in [comb.clone(), comb.iter().rev().copied().collect()] {
            let outline = Outline::new(&polygon).unwrap();
            let expected = area(&comb).abs();
            assert!((tiled_area(&outline) - expected).abs() < 1e-12);
            assert!(outline.tiles.iter().all(|t| turn(t[0], t[1], t[2]) > 0.0));
        }
    }

    #[test]
    fn straight_and_repeated_corners_are_harmless() {
        let polygon = [
            [0.0, 0.0],
            [1.0, 0.0],
            [1.0, 0.0],
            [2.0, 0.0],
            [2.0, 2.0],
            [0.0, 2.0],
            [0.0, 0.0],
        ];
        let outline = Outline::new(&polygon).unwrap();
        assert!((tiled_area(&outline) - 4.0).abs() < 1e-12);
        assert!(outline.contains([1.0, 1.0]) && !outline.contains([3.0, 1.0]));
    }

    #[test]
    fn what_bounds_no_area_is_refused() {
        let bow = [[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.5]];
        assert_eq!(
            Outline::new(&bow).unwrap_err(),
            OutlineError::CrossesItself(0, 2)
        );
        let line = [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]];
        assert!(matches!(Outline::new(&line), Err(OutlineError::NoArea(_))));
        let spike = [[0.0, 0.0], [4.0, 0.0], [2.0, 0.0], [2.0, 2.0]];
        assert_eq!(
            Outline::new(&spike).unwrap_err(),
            OutlineError::CrossesItself(0, 1)
        );
        assert_eq!(
            Outline::new(&[[0.0, 0.0], [1.0, f64::NAN]]).unwrap_err(),
            OutlineError::TooFewCorners(1)
        );
    }
}
