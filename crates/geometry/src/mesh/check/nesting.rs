//! Which closed pieces lie inside which.
//!
//! A closed piece inside another one may rightly face inward: a hollow cast is an outer and an
//! inner wall. Pieces are taken not to cut each other, so one point of a piece speaks for all of
//! it. The point is inside a closed surface when a line up from it meets the surface an odd number
//! of times. Each edge is judged alike from both its facets, so a line never slips between two.

use crate::mesh::{Extent, Mesh};
use nalgebra::Point3;

/// A closed piece.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shell {
    pub(super) extent: Extent,
    /// A point of its surface.
    pub(super) point: Point3<f64>,
}

/// A point, and whether an odd number of facets of one shell were met above it so far.
struct Query {
    point: Point3<f64>,
    shell: usize,
    odd: bool,
}

/// For each shell, the shells it lies inside of, in order. `shell_of` numbers each facet's shell.
///
/// Cost: a facet looks only at the points in its own range of y.
pub(super) fn containers(
    mesh: &Mesh,
    shell_of: &[Option<usize>],
    shells: &[Shell],
) -> Vec<Vec<usize>> {
    let mut queries = queries(shells);
    for (facet, shell) in shell_of.iter().enumerate() {
        let Some(points) = shell
            .map(|shell| &mut queries[shell])
            .filter(|points| !points.is_empty())
        else {
            continue;
        };
        let corners = mesh.corners(facet);
        let ys = corners.map(|corner| corner.y);
        let (low, high) = (ys[0].min(ys[1]).min(ys[2]), ys[0].max(ys[1]).max(ys[2]));
        let from = points.partition_point(|query| query.point.y < low);
        for query in points[from..]
            .iter_mut()
            .take_while(|query| query.point.y <= high)
        {
            query.odd ^= is_above(&corners, query.point);
        }
    }
    let mut containers = vec![Vec::new(); shells.len()];
    for (container, points) in queries.iter().enumerate() {
        for query in points.iter().filter(|query| query.odd) {
            containers[query.shell].push(container);
        }
    }
    containers
}

/// For each shell, the points of the shells whose boxes lie in its box, by y.
fn queries(shells: &[Shell]) -> Vec<Vec<Query>> {
    let mut by_x: Vec<usize> = (0..shells.len()).collect();
    by_x.sort_by(|&a, &b| shells[a].extent.min.x.total_cmp(&shells[b].extent.min.x));
    let x = |shell: usize| shells[shell].extent.min.x;
    shells
        .iter()
        .enumerate()
        .map(|(container, shell)| {
            let from = by_x.partition_point(|&other| x(other) < shell.extent.min.x);
            let mut points: Vec<Query> = by_x[from..]
                .iter()
                .take_while(|&&other| x(other) <= shell.extent.max.x)
                .filter(|&&other| other != container && shell.extent.holds(&shells[other].extent))
                .map(|&other| Query {
                    point: shells[other].point,
                    shell: other,
                    odd: false,
                })
                .collect();
            points.sort_by(|a, b| a.point.y.total_cmp(&b.point.y).then(a.shell.cmp(&b.shell)));
            points
        })
        .collect()
}

/// Whether a line up from `point` meets the facet.
fn is_above(corners: &[Point3<f64>; 3], point: Point3<f64>) -> bool {
    let [a, b, c] = corners;
    let odd = is_right_of(a, b, point) ^ is_right_of(b, c, point) ^ is_right_of(c, a, point);
    if !odd {
        return false;
    }
    let normal = (b - a).cross(&(c - a));
    let off = point - a;
    let rise = -(normal.x * off.x + normal.y * off.y) / normal.z;
    // A facet on edge can only be met through rounding; then any of its heights will do.
    let rise = if rise.is_finite() { rise } else { 0.0 };
    a.z + rise > point.z
}

/// Seen along z: whether a line toward +x from `point` crosses the edge. The ends are put in order
/// first, so both facets of an edge get the same answer.
fn is_right_of(a: &Point3<f64>, b: &Point3<f64>, point: Point3<f64>) -> bool {
    let (low, high) = if (a.y, a.x) <= (b.y, b.x) {
        (a, b)
    } else {
        (b, a)
    };
    if (low.y > point.y) == (high.y > point.y) {
        return false;
    }
    let along = (point.y - low.y) / (high.y - low.y);
    low.x + along * (high.x - low.x) > point.x
}
