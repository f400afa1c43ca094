//! The ring around all common draws.

use super::circles::{Circle, Limits, step};
use super::envelope::Cap;
use super::types::{Region, RegionLimit, RegionPoint};
use super::walls::GuidingWall;
use nalgebra::{UnitVector3, Vector2, Vector3};
use std::f64::consts::{FRAC_PI_4, PI, TAU};

/// Radians. Chords of the ring in the chart stay within this of the border; half of what is
/// promised (0.01 degree), as the distance is judged at a few points only.
const CHORD_RAD: f64 = 0.005 * PI / 180.0;

/// Radians. Special points nearer than this are one: separates rounding from two corners.
const SAME_POINT_RAD: f64 = 1e-9;

/// Radians. A region whose points all lie this near together is a single draw. Wider than
/// [`SAME_POINT_RAD`]: two circles that touch within rounding `e` cross over a length of `sqrt(e)`.
const SINGLE_DRAW_RAD: f64 = 1e-4;

/// Radians. Borders that meet at a smaller angle run on smoothly.
const CORNER_RAD: f64 = 1e-6;

/// Pure number. A best margin below this leaves no inside to look from: the region is a point or
/// an arc. (Sine of the angle by which all limits are met at once.)
const NO_INSIDE: f64 = 1e-9;

/// The region, given a draw that lies inside every limit by `margin` (a sine), or, where there is
/// no inside, a draw that meets them.
pub(super) fn region(
    walls: &[GuidingWall<'_>],
    cap: Cap,
    inside: &UnitVector3<f64>,
    margin: f64,
) -> Region {
    let limits = Limits::new(walls, cap);
    if margin < NO_INSIDE {
        return degenerate(&limits, inside);
    }
    let view = View::new(inside);
    let special = sorted_by_bearing(&view, limits.special_points());
    if special.len() <= 1 {
        // One circle all round, perhaps with a smooth join on it.
        let start = special.first().copied().unwrap_or_else(|| {
            let way = view.way(0.0);
            step(inside, &way, limits.way_out(inside, &way).0)
        });
        let (_, circle) = limits.way_out(inside, &view.way(view.bearing(&start) + PI));
        return Region {
            points: run(&limits.circles[circle], &start, &start, TAU),
        };
    }
    let count = special.len();
    let arcs: Vec<&Circle> = (0..count)
        .map(|i| {
            let (from, to) = (&special[i], &special[(i + 1) % count]);
            let from = view.bearing(from);
            let turn = positive_turn(view.bearing(to) - from);
            let (_, circle) = limits.way_out(inside, &view.way(from + 0.5 * turn));
            &limits.circles[circle]
        })
        .collect();
    let mut points = Vec::new();
    for i in 0..count {
        let (from, to) = (&special[i], &special[(i + 1) % count]);
        let start = points.len();
        points.extend(run(arcs[i], from, to, turn_about(arcs[i], from, to)));
        if let Some(first) = points.get_mut(start) {
            first.corner = meet_at_angle(arcs[(i + count - 1) % count], arcs[i], from);
        }
    }
    Region { points }
}

/// A region without an inside: one draw, or the two ends of an arc.
fn degenerate(limits: &Limits<'_>, draw: &UnitVector3<f64>) -> Region {
    let special = limits.special_points();
    let mut ends: Option<(f64, UnitVector3<f64>, UnitVector3<f64>)> = None;
    for (j, p) in special.iter().enumerate() {
        for q in &special[..j] {
            let apart = angle(p, q);
            if ends.is_none_or(|(farthest, ..)| apart > farthest) {
                ends = Some((apart, *q, *p));
            }
        }
    }
    let corners = match ends {
        Some((apart, p, q)) if apart > SINGLE_DRAW_RAD => vec![p, q],
        _ => vec![*draw],
    };
    Region {
        points: corners
            .into_iter()
            .map(|direction| RegionPoint {
                direction,
                corner: true,
                limit: tightest(limits.walls, &direction),
            })
            .collect(),
    }
}

/// The wall with the least margin at a draw.
fn tightest(walls: &[GuidingWall<'_>], draw: &UnitVector3<f64>) -> RegionLimit {
    walls
        .iter()
        .map(|wall| (wall.least_rad(draw) - wall.wall.draft_min_rad, wall.name))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map_or(RegionLimit::TiltMax, |(_, name)| RegionLimit::Wall(name))
}

fn angle(p: &UnitVector3<f64>, q: &UnitVector3<f64>) -> f64 {
    p.cross(q).norm().atan2(p.dot(q))
}

fn positive_turn(turn: f64) -> f64 {
    turn.rem_euclid(TAU)
}

/// Bearings around a draw, counter-clockwise seen from outside the sphere. The chart
/// (lambda, alpha) is the picture (x, y) turned by half a turn, so it keeps that sense.
struct View {
    centre: UnitVector3<f64>,
    first: Vector3<f64>,
    second: Vector3<f64>,
}

impl View {
    fn new(centre: &UnitVector3<f64>) -> Self {
        let d = centre.as_ref();
        // Draws stand upright (z > 0) or nearly so: y is never along d for tilts up to 85 degrees
        // unless d leans straight anteriorly, where x serves.
        let axis = if d.y.abs() < 0.7 {
            Vector3::y()
        } else {
            Vector3::x()
        };
        let first = axis.cross(d);
        let first = first / first.norm();
        Self {
            centre: *centre,
            first,
            second: d.cross(&first),
        }
    }

    fn bearing(&self, draw: &UnitVector3<f64>) -> f64 {
        let off = draw.as_ref() - self.centre.as_ref();
        off.dot(&self.second).atan2(off.dot(&self.first))
    }

    fn way(&self, bearing: f64) -> Vector3<f64> {
        let (sin, cos) = bearing.sin_cos();
        self.first * cos + self.second * sin
    }
}

/// In the order of bearings, doubles dropped.
fn sorted_by_bearing(view: &View, points: Vec<UnitVector3<f64>>) -> Vec<UnitVector3<f64>> {
    let mut sorted: Vec<(f64, UnitVector3<f64>)> = points
        .into_iter()
        .map(|draw| (view.bearing(&draw), draw))
        .collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut kept: Vec<UnitVector3<f64>> = Vec::with_capacity(sorted.len());
    for (_, draw) in sorted {
        if kept
            .iter()
            .all(|other| angle(other, &draw) > SAME_POINT_RAD)
        {
            kept.push(draw);
        }
    }
    kept
}

/// The turn about a circle's pole from one of its draws to another, in (0, 2 pi].
fn turn_about(circle: &Circle, from: &UnitVector3<f64>, to: &UnitVector3<f64>) -> f64 {
    let pole = circle.pole.as_ref();
    let start = from.as_ref() - pole * pole.dot(from);
    let end = to.as_ref() - pole * pole.dot(to);
    positive_turn(pole.dot(&start.cross(&end)).atan2(start.dot(&end)))
}

/// Border points from one draw up to, not including, another along a circle, the region being on
/// the left.
fn run(
    circle: &Circle,
    from: &UnitVector3<f64>,
    to: &UnitVector3<f64>,
    turn: f64,
) -> Vec<RegionPoint> {
    let pole = circle.pole.as_ref();
    let start = from.as_ref() - pole * pole.dot(from);
    let side = pole.cross(&start);
    let centre = from.as_ref() - start;
    let at =
        |angle: f64| UnitVector3::new_normalize(centre + start * angle.cos() + side * angle.sin());
    let mut points = Vec::new();
    let mut push = |direction| {
        points.push(RegionPoint {
            direction,
            corner: false,
            limit: circle.limit,
        });
    };
    push(*from);
    let pieces = (turn / FRAC_PI_4).ceil().max(1.0);
    let mut pending: Vec<(f64, f64)> = Vec::new();
    // A circle runs no more than eight eighths of a turn.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 1 and 9"
    )]
    for piece in (0..pieces as u32).rev() {
        let piece = f64::from(piece);
        pending.push((turn * piece / pieces, turn * (piece + 1.0) / pieces));
    }
    while let Some((low, high)) = pending.pop() {
        let middle = f64::midpoint(low, high);
        if chord_error(&at, low, high) > CHORD_RAD && high - low > 1e-6 {
            pending.push((middle, high));
            pending.push((low, middle));
        } else if high < turn {
            push(at(high));
        }
    }
    debug_assert!(turn >= TAU || angle(&at(turn), to) < 1e-6);
    points
}

/// How far the border strays from the chord of a piece in the chart, judged at its quarters.
fn chord_error(at: &impl Fn(f64) -> UnitVector3<f64>, low: f64, high: f64) -> f64 {
    let (p, q) = (chart(&at(low)), chart(&at(high)));
    let along = q - p;
    let length = along.norm();
    [0.25, 0.5, 0.75]
        .map(|part| {
            let off = chart(&at(low + part * (high - low))) - p;
            if length > 0.0 {
                along.perp(&off).abs() / length
            } else {
                off.norm()
            }
        })
        .into_iter()
        .fold(0.0, f64::max)
}

/// (lambda, alpha) of a draw.
fn chart(draw: &UnitVector3<f64>) -> Vector2<f64> {
    Vector2::new((0.0 - draw.x).atan2(draw.z), (0.0 - draw.y).atan2(draw.z))
}

/// Whether two circles leave a common draw in different directions.
fn meet_at_angle(before: &Circle, after: &Circle, at: &UnitVector3<f64>) -> bool {
    let tangent = |circle: &Circle| circle.pole.cross(at);
    let (t, u) = (tangent(before), tangent(after));
    t.cross(&u).norm().atan2(t.dot(&u)) > CORNER_RAD
}
