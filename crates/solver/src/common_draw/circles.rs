//! The limits of a region as circles on the sphere.
//!
//! Every limit keeps a draw on one side of a circle: `pole . d >= level`, with `level >= 0`, so each
//! is a cap no larger than a hemisphere and the region is geodesically convex. A wall makes three
//! circles: those of the normals at the ends of its sector, and, between them, the envelope of the
//! others: where the worst normal lies inside the sector the least draft is
//! `taper - angle(d, axis)`, so the border is a circle about the coping's axis of radius
//! `taper - required`. That circle counts only where the worst normal does lie inside.

use super::envelope::Cap;
use super::types::RegionLimit;
use super::walls::GuidingWall;
use nalgebra::{UnitVector3, Vector3};

/// Pure number. A draw short of a limit by no more than this is on it: separates what rounding of
/// crossings leaves from a real miss. Well inside the tolerance for "met".
pub(super) const ON_LIMIT: f64 = 1e-10;

/// Sine of the least angle between two poles whose circles are told apart.
const SAME_POLE: f64 = 1e-9;

/// A limit `pole . d >= level`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Circle {
    pub(super) pole: UnitVector3<f64>,
    pub(super) level: f64,
    pub(super) limit: RegionLimit,
    /// Index of the wall whose least draft has to be the required one where this circle counts;
    /// `None` where it counts everywhere.
    pub(super) only_where_worst: Option<usize>,
}

/// All limits, as circles, with what they came from.
#[derive(Debug)]
pub(super) struct Limits<'a> {
    pub(super) walls: &'a [GuidingWall<'a>],
    pub(super) circles: Vec<Circle>,
    /// Draws where a wall's end circle runs smoothly into its envelope.
    pub(super) joins: Vec<UnitVector3<f64>>,
    cap: Cap,
}

impl<'a> Limits<'a> {
    pub(super) fn new(walls: &'a [GuidingWall<'a>], cap: Cap) -> Self {
        let mut circles = Vec::with_capacity(3 * walls.len() + 1);
        let mut joins = Vec::new();
        for (index, wall) in walls.iter().enumerate() {
            let limit = RegionLimit::Wall(wall.name);
            let required = wall.wall.draft_min_rad;
            for end in wall.ends() {
                circles.push(Circle {
                    pole: wall.normal(end).normal,
                    level: required.sin(),
                    limit,
                    only_where_worst: None,
                });
            }
            let radius = wall.wall.taper_rad - required;
            if radius <= 0.0 {
                continue;
            }
            let axis = wall.coping.axis;
            circles.push(Circle {
                pole: axis,
                level: radius.cos(),
                limit,
                only_where_worst: Some(index),
            });
            for end in wall.ends() {
                let outward = wall.coping.outward(end);
                joins.push(UnitVector3::new_normalize(
                    axis.as_ref() * radius.cos() - outward.as_ref() * radius.sin(),
                ));
            }
        }
        circles.push(Circle {
            pole: Vector3::z_axis(),
            level: cap.cos,
            limit: RegionLimit::TiltMax,
            only_where_worst: None,
        });
        Self {
            walls,
            circles,
            joins,
            cap,
        }
    }

    /// Whether a draw meets every limit within [`ON_LIMIT`].
    pub(super) fn met_by(&self, draw: &UnitVector3<f64>) -> bool {
        self.beyond_tilt_limit(draw) <= ON_LIMIT
            && self
                .walls
                .iter()
                .all(|wall| wall.least_rad(draw) >= wall.wall.draft_min_rad - ON_LIMIT)
    }

    fn beyond_tilt_limit(&self, draw: &UnitVector3<f64>) -> f64 {
        draw.x.hypot(draw.y).atan2(draw.z) - self.cap.limit_rad
    }

    /// Whether a circle is what limits at a draw on it.
    fn counts_at(&self, circle: &Circle, draw: &UnitVector3<f64>) -> bool {
        circle.only_where_worst.is_none_or(|index| {
            let wall = &self.walls[index];
            wall.least_rad(draw) <= wall.wall.draft_min_rad + ON_LIMIT
        })
    }

    /// The border points where two circles cross, and the smooth joins.
    pub(super) fn special_points(&self) -> Vec<UnitVector3<f64>> {
        let mut found: Vec<UnitVector3<f64>> = Vec::new();
        for (j, second) in self.circles.iter().enumerate() {
            for first in &self.circles[..j] {
                for draw in crossings(first, second).into_iter().flatten() {
                    if self.met_by(&draw)
                        && self.counts_at(first, &draw)
                        && self.counts_at(second, &draw)
                    {
                        found.push(draw);
                    }
                }
            }
        }
        found.extend(self.joins.iter().filter(|draw| self.met_by(draw)));
        found
    }

    /// From a draw inside every limit along a unit tangent: how far to the border, and which circle
    /// is met there.
    pub(super) fn way_out(&self, from: &UnitVector3<f64>, way: &Vector3<f64>) -> (f64, usize) {
        let mut nearest = (f64::INFINITY, 0);
        for (index, circle) in self.circles.iter().enumerate() {
            let (at, rate) = (circle.pole.dot(from), circle.pole.dot(way));
            let swing = at.hypot(rate);
            // pole . d(t) = swing cos(t - crest), at the level where the circle is left.
            // An envelope may lie aside altogether, where another part of its wall limits.
            if swing < circle.level {
                continue;
            }
            let crest = rate.atan2(at);
            let distance = crest + (circle.level / swing).acos();
            if distance > 0.0 && distance < nearest.0 {
                let draw = step(from, way, distance);
                if self.counts_at(circle, &draw) {
                    nearest = (distance, index);
                }
            }
        }
        nearest
    }
}

/// The draw at an angle from another along a unit tangent.
pub(super) fn step(from: &UnitVector3<f64>, way: &Vector3<f64>, angle: f64) -> UnitVector3<f64> {
    UnitVector3::new_normalize(from.as_ref() * angle.cos() + way * angle.sin())
}

/// Where two circles cross: none, or two draws (equal where they touch). Circles about one pole
/// have no crossings of their own.
///
/// Derivation: `u = p + q` and `v = q - p` are perpendicular, so of the line common to the planes
/// `p . x = a` and `q . x = b` the point nearest to the centre is `(a + b) u / |u|² + (b - a) v / |v|²`;
/// the line runs along `p × q = p × v` and meets the sphere where the remaining length is made up along
/// it. Poles a thousandth apart lose three digits in this way, and six where the foot is written with
/// `p . q`, which put the corners of two cones side by side off both of them.
fn crossings(first: &Circle, second: &Circle) -> [Option<UnitVector3<f64>>; 2] {
    let (p, q) = (first.pole.as_ref(), second.pole.as_ref());
    let (sum, difference) = (p + q, q - p);
    let along = p.cross(&difference);
    let square = along.norm_squared();
    if square <= SAME_POLE * SAME_POLE {
        return [None; 2];
    }
    let (a, b) = (first.level, second.level);
    let foot =
        sum * ((a + b) / sum.norm_squared()) + difference * ((b - a) / difference.norm_squared());
    let left = 1.0 - foot.norm_squared();
    // Rounding of a touch; beyond it the circles stay apart.
    if left < -1e-14 {
        return [None; 2];
    }
    let reach = along * (left.max(0.0) / square).sqrt();
    [foot + reach, foot - reach].map(|v| UnitVector3::try_new(v, 1e-6))
}
