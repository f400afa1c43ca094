//! The cells of the map, and the borders traced through them.

use crate::sphere::from_chart;
use tiltbench_geometry::{UnitVector3, Vector2, Vector3};

/// Radians. Side of a cell: half a degree. Tuned: inside a cell overruns are bilinear, which on a
/// ridge 10 mm high is off by 0.02 mm where a bend crosses it; larger shows in allowances, smaller
/// costs corners as its square. `samples` (allowances against brute force) would notice.
pub(super) const CELL_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;

/// Radians. Spacing of the points kept along a border: 0.05 degree. From a draw 0.5 degree away
/// the chain looks 0.0006 degree farther than the line. Tuned: larger shows in allowances (`survey`
/// would notice), smaller costs time wherever the nearest of them is looked for.
const CHAIN_RAD: f64 = 0.05 * std::f64::consts::PI / 180.0;

/// A corner or, by its lower left corner, a cell; in sides of a cell.
pub(super) type Place = [i32; 2];

pub(super) fn chart_point(corner: Place) -> Vector2<f64> {
    Vector2::new(f64::from(corner[0]), f64::from(corner[1])) * CELL_RAD
}

pub(super) fn corners(cell: Place) -> [Place; 4] {
    let [i, j] = cell;
    [[i, j], [i + 1, j], [i + 1, j + 1], [i, j + 1]]
}

/// The cell of a chart point, and where in it, in sides of a cell. A point on a border belongs to the
/// cell nearer to flat, as in the grid.
pub(super) fn cell_at(point: Vector2<f64>) -> (Place, Vector2<f64>) {
    let at = point / CELL_RAD * (1.0 - 1e-12);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the chart is a few radians wide"
    )]
    let cell = [at.x, at.y].map(|c| c.floor() as i32);
    let offset = at - Vector2::new(f64::from(cell[0]), f64::from(cell[1]));
    (cell, offset)
}

/// Cells that may hold a draw of interest within the reach, in a fixed order.
pub(super) fn cells_of(reach_rad: f64, interest: impl Fn(&UnitVector3<f64>) -> f64) -> Vec<Place> {
    let radius = CELL_RAD * std::f64::consts::FRAC_1_SQRT_2;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the chart is a few radians wide"
    )]
    let count = (reach_rad / CELL_RAD).ceil() as i32;
    let mut cells = Vec::new();
    for j in -count..count {
        for i in -count..count {
            let centre = chart_point([i, j]) + Vector2::repeat(0.5 * CELL_RAD);
            let near = centre.norm() - radius <= reach_rad;
            if near && interest(&from_chart(centre)) >= -radius {
                cells.push([i, j]);
            }
        }
    }
    cells
}

/// Adds to a border what of it runs through a cell, given by how much its limit is broken at each
/// corner, and between one corner and the next.
pub(super) fn trace(
    border: &mut Vec<Vector3<f64>>,
    cell: Place,
    broken_by: [f64; 4],
    between: impl Fn(usize, f64) -> f64,
) {
    let places = corners(cell);
    let crossings: Vec<Vector2<f64>> = (0..4)
        .filter_map(|i| {
            let next = (i + 1) % 4;
            let (a, b) = (broken_by[i], broken_by[next]);
            ((a > 0.0) != (b > 0.0)).then(|| {
                let (from, to) = (chart_point(places[i]), chart_point(places[next]));
                from + (to - from) * crossing([a, b], |part| between(i, part))
            })
        })
        .collect();
    // Two crossings make one run. Four make two; both ways of pairing them are drawn, which errs
    // to the safe side.
    for (n, a) in crossings.iter().enumerate() {
        for b in &crossings[n + 1..] {
            chain(border, *a, *b);
        }
    }
}

/// Where along an edge a limit begins to be broken: where a straight line between its ends says, unless
/// blockout bends it.
fn crossing([a, b]: [f64; 2], broken_by: impl Fn(f64) -> f64) -> f64 {
    let straight = a / (a - b);
    let (mut met, mut broken) = if a > 0.0 { (1.0, 0.0) } else { (0.0, 1.0) };
    let mut part: f64 = straight;
    for _ in 0..HALVINGS {
        let here = broken_by(part);
        if here.abs() <= STRAIGHT_MM {
            break;
        }
        if here > 0.0 {
            broken = part;
        } else {
            met = part;
        }
        part = f64::midpoint(met, broken);
    }
    part
}

/// A line that is off by less is straight, mm.
const STRAIGHT_MM: f64 = 1e-9;

/// Halvings of an edge of half a degree: to a millionth of a degree.
const HALVINGS: usize = 20;

fn chain(border: &mut Vec<Vector3<f64>>, a: Vector2<f64>, b: Vector2<f64>) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cell is small"
    )]
    let steps = ((b - a).norm() / CHAIN_RAD).ceil().max(1.0) as usize;
    let at = |n: usize| from_chart(a + (b - a) * (n as f64 / steps as f64)).into_inner();
    border.extend((0..=steps).map(at));
}
