//! Cutting a polygon into triangles.
//!
//! Ears are clipped in the polygon's own plane, the best-shaped ear first, so concave polygons
//! come out right. A fan from the first corner, which is the common short cut, covers ground
//! outside a concave polygon. What holds of the result: `n - 2` triangles over the polygon's own
//! corners, wound as the polygon is, none overlapping another when seen across the plane. Polygons
//! that touch themselves (a hole joined to the rim by a bridge edge) are cut too.

use nalgebra::{Point2, Point3, Vector3};

/// Why a polygon cannot be cut into triangles.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PolygonError {
    /// Fewer than three corners.
    #[error("it has {0} corners, and a facet needs at least 3")]
    TooFew(usize),
    /// More corners than [`MAX_CORNERS`].
    #[error("it has {0} corners, and at most {MAX_CORNERS} are read; cut it into smaller polygons")]
    TooMany(usize),
    /// Two edges cross.
    #[error("its edges {0} and {1} cross, so it bounds no surface; cut it into triangles")]
    Crossing(usize, usize),
    /// The edges wind around no area although the corners do not lie on a line, or no ear is left.
    #[error("its edges bound no single area; cut it into triangles")]
    NoArea,
}

/// Most corners of one polygon: the cost grows with the square. A million corners in one polygon
/// would hang a reader; a flat cast base has some hundreds.
pub const MAX_CORNERS: usize = 10_000;

/// Greatest distance of a corner from the mean plane, over a quarter of the perimeter. Separates
/// the warped quads of modelled meshes from outlines over which the surface is anybody's guess.
pub const FLATNESS_LIMIT: f64 = 0.25;

/// A polygon cut into triangles.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Each by three numbers of corners.
    pub triangles: Vec<[usize; 3]>,
    /// Greatest distance of a corner from the mean plane, over a quarter of the perimeter.
    pub off_plane: f64,
}

impl Cut {
    fn flat(triangles: Vec<[usize; 3]>) -> Self {
        Self {
            triangles,
            off_plane: 0.0,
        }
    }

    /// Whether the corners tell which surface was meant: those of a polygon that is far from flat bound
    /// many, of which this is one.
    pub fn is_flat(&self) -> bool {
        self.off_plane <= FLATNESS_LIMIT
    }
}

/// Area over the square of the perimeter below which a polygon counts as a line. A needle of 1:1e9
/// still has an area; rounding of double coordinates is 1e-16.
const LINE_LIMIT: f64 = 1e-13;

/// Cuts a polygon into triangles. Returned numbers index `corners`.
///
/// A triangle is returned as it is, whatever its shape, and so is a polygon whose corners all lie
/// on a line (as a fan): [`super::check()`] reports such facets, nothing drops them in silence.
///
/// Cost: quadratic in the number of corners.
///
/// # Errors
/// [`PolygonError`], with the polygon's own edge numbers (edge i runs from corner i to the next).
///
/// ```
/// use tiltbench_geometry::{Point3, mesh::triangulate};
/// // An arrow head: corner 2 is a notch.
/// let corners = [[0.0, 0.0], [4.0, -3.0], [1.0, 0.0], [4.0, 3.0]].map(|[x, y]| Point3::new(x, y, 7.0));
/// assert_eq!(triangulate(&corners).unwrap().triangles.len(), 2);
/// ```
pub fn triangulate(corners: &[Point3<f64>]) -> Result<Cut, PolygonError> {
    match corners.len() {
        count @ 0..=2 => return Err(PolygonError::TooFew(count)),
        3 => return Ok(Cut::flat(vec![[0, 1, 2]])),
        count if count > MAX_CORNERS => return Err(PolygonError::TooMany(count)),
        _ => {}
    }
    // A corner repeated in a row adds no edge.
    let ring: Vec<usize> = (0..corners.len())
        .filter(|&i| corners[i] != corners[(i + 1) % corners.len()])
        .collect();
    if ring.len() < 3 {
        return Ok(Cut::flat(fan(corners.len())));
    }
    let Some(Projected { flat, off_plane }) = project(corners, &ring)? else {
        return Ok(Cut::flat(fan(corners.len())));
    };
    refuse_crossings(&flat, &ring)?;
    let mut triangles = Clipper::new(corners, flat, ring).clip()?;
    // Corners repeated in a row become facets without area, so that no corner is lost.
    for i in 0..corners.len() {
        let next = (i + 1) % corners.len();
        if corners[i] == corners[next] {
            triangles.push([i, next, next]);
        }
    }
    Ok(Cut {
        triangles,
        off_plane,
    })
}

fn fan(count: usize) -> Vec<[usize; 3]> {
    (1..count - 1).map(|i| [0, i, i + 1]).collect()
}

/// A polygon seen across its plane.
struct Projected {
    /// Its corners, counter-clockwise.
    flat: Vec<Point2<f64>>,
    off_plane: f64,
}

/// The corners seen across the polygon's plane; `None` when all lie on a line.
///
/// The plane's normal is the vector area, which is defined for a warped outline too. The corners
/// are projected by dropping the axis along which the normal is longest: that keeps their
/// coordinates exact.
fn project(corners: &[Point3<f64>], ring: &[usize]) -> Result<Option<Projected>, PolygonError> {
    let origin = corners[ring[0]];
    let edges = || ring.iter().zip(ring.iter().cycle().skip(1));
    let normal: Vector3<f64> = edges()
        .map(|(&a, &b)| (corners[a] - origin).cross(&(corners[b] - origin)))
        .sum();
    let perimeter: f64 = edges()
        .map(|(&a, &b)| (corners[b] - corners[a]).norm())
        .sum();
    if normal.norm() <= LINE_LIMIT * perimeter * perimeter {
        let far = ring
            .iter()
            .map(|&i| corners[i] - origin)
            .max_by(|a, b| a.norm_squared().total_cmp(&b.norm_squared()))
            .unwrap_or_default();
        let off_line = ring
            .iter()
            .map(|&i| (corners[i] - origin).cross(&far).norm())
            .fold(0.0, f64::max);
        return if off_line <= LINE_LIMIT * perimeter * perimeter {
            Ok(None)
        } else {
            Err(PolygonError::NoArea)
        };
    }
    let unit = normal / normal.norm();
    let heights = || ring.iter().map(|&i| unit.dot(&(corners[i] - origin)));
    let mean = heights().sum::<f64>() / ring.len() as f64;
    let off = heights().map(|h| (h - mean).abs()).fold(0.0, f64::max) / (0.25 * perimeter);
    let axis = unit.iamax();
    // The two other axes in the order that keeps the turn counter-clockwise.
    let (mut u, mut v) = ((axis + 1) % 3, (axis + 2) % 3);
    if unit[axis] < 0.0 {
        std::mem::swap(&mut u, &mut v);
    }
    let flat = corners.iter().map(|p| Point2::new(p[u], p[v])).collect();
    Ok(Some(Projected {
        flat,
        off_plane: off,
    }))
}

/// Which way a, b, c turn: positive counter-clockwise, 0 when rounding cannot tell from a line.
/// Every yes/no of this module goes through here.
///
/// Source: J. R. Shewchuk, "Adaptive precision floating-point arithmetic and fast robust geometric
/// predicates", Discrete Comput Geom 18 (1997), doi 10.1007/PL00009321, section 4.1: the error
/// bound of the plain determinant.
fn turn(a: Point2<f64>, b: Point2<f64>, c: Point2<f64>) -> f64 {
    const BOUND: f64 = (3.0 + 16.0 * f64::EPSILON) * f64::EPSILON;
    let left = (a.x - c.x) * (b.y - c.y);
    let right = (a.y - c.y) * (b.x - c.x);
    let determinant = left - right;
    if determinant.abs() > BOUND * (left.abs() + right.abs()) {
        determinant
    } else {
        0.0
    }
}

/// Refuses edges that properly cross. Edges that touch or run along each other pass.
fn refuse_crossings(flat: &[Point2<f64>], ring: &[usize]) -> Result<(), PolygonError> {
    let count = ring.len();
    let at = |i: usize| flat[ring[i % count]];
    for i in 0..count {
        for j in i + 2..count {
            let (a, b, c, d) = (at(i), at(i + 1), at(j), at(j + 1));
            let across_ab = turn(a, b, c) * turn(a, b, d);
            let across_cd = turn(c, d, a) * turn(c, d, b);
            if across_ab < 0.0 && across_cd < 0.0 {
                return Err(PolygonError::Crossing(ring[i], ring[j]));
            }
        }
    }
    Ok(())
}

struct Clipper<'a> {
    corners: &'a [Point3<f64>],
    flat: Vec<Point2<f64>>,
    ring: Vec<usize>,
    /// Shape of the ear at each place of the ring; `None` where there is no ear.
    ears: Vec<Option<f64>>,
}

impl<'a> Clipper<'a> {
    fn new(corners: &'a [Point3<f64>], flat: Vec<Point2<f64>>, ring: Vec<usize>) -> Self {
        let mut clipper = Self {
            corners,
            flat,
            ears: vec![None; ring.len()],
            ring,
        };
        for place in 0..clipper.ring.len() {
            clipper.ears[place] = clipper.ear(place);
        }
        clipper
    }

    fn clip(mut self) -> Result<Vec<[usize; 3]>, PolygonError> {
        let mut triangles = Vec::with_capacity(self.ring.len() - 2);
        while self.ring.len() > 3 {
            // The first of equals, so that the answer does not depend on anything else.
            let best = (0..self.ring.len())
                .filter_map(|place| self.ears[place].map(|shape| (shape, place)))
                .reduce(|best, next| if next.0 > best.0 { next } else { best });
            let Some((_, place)) = best else {
                return Err(PolygonError::NoArea);
            };
            triangles.push(self.triangle(place));
            self.ring.remove(place);
            self.ears.remove(place);
            let count = self.ring.len();
            for changed in [(place + count - 1) % count, place % count] {
                self.ears[changed] = self.ear(changed);
            }
        }
        triangles.push(self.triangle(1));
        Ok(triangles)
    }

    /// The corner before, at and after a place of the ring.
    fn triangle(&self, place: usize) -> [usize; 3] {
        let count = self.ring.len();
        [
            self.ring[(place + count - 1) % count],
            self.ring[place],
            self.ring[(place + 1) % count],
        ]
    }

    /// Whether the corner at `place` can be cut off, and how well-shaped that triangle is: its
    /// area over the sum of its squared edges.
    fn ear(&self, place: usize) -> Option<f64> {
        let triangle = self.triangle(place);
        let [a, b, c] = triangle.map(|i| self.flat[i]);
        if turn(a, b, c) <= 0.0 {
            return None;
        }
        let blocked = (0..self.ring.len()).any(|other| {
            let [before, here, after] = self.triangle(other).map(|i| self.flat[i]);
            // Only a corner that does not turn left can stand in an ear's way.
            here != a
                && here != b
                && here != c
                && turn(before, here, after) <= 0.0
                && turn(a, b, here) >= 0.0
                && turn(b, c, here) >= 0.0
                && turn(c, a, here) >= 0.0
        });
        if blocked {
            return None;
        }
        let [a, b, c] = triangle.map(|i| self.corners[i]);
        let squares = (b - a).norm_squared() + (c - b).norm_squared() + (a - c).norm_squared();
        Some((b - a).cross(&(c - a)).norm() / squares)
    }
}

#[cfg(test)]
#[path = "polygon_tests.rs"]
mod tests;
