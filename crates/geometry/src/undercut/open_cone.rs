//! By how much a draw may turn before something comes over a point.
//!
//! Derivation: a line from the point that leans by an angle from the draw has moved by its height times
//! the tangent when it has risen by that height. So a place of the scan at a height `h` over the point
//! and a distance `rho` in plan lies on a line that leans by `atan(rho / h)`. Divided by their heights, the
//! places of a facet above the point fill a polygon of the plane (the gnomonic projection), and the
//! least lean of all is the distance of that polygon from the origin.

use super::gauge::Probe;
use super::sight::Sight;
use super::spans::nearest;

/// Millimetres. What is less than this above a point is level with it.
const LEVEL_MM: f64 = 1e-9;

/// Radians. What rounding may hide of an angle: separates draws that meet the scan from such as pass it.
const HIDDEN_RAD: f64 = 1e-9;

/// The angle, at most `most_rad`, within which no draw about the one that is looked along meets the scan
/// from a point that faces it and is open.
pub(crate) fn open_rad(sight: &Sight<'_>, probe: &Probe, most_rad: f64) -> f64 {
    let lean = sight.lean(probe.facet).clamp(-1.0, 1.0).asin();
    let most = (most_rad + 2.0 * HIDDEN_RAD).min(lean);
    if most <= 0.0 {
        return 0.0;
    }
    let most = most.tan();
    let mut least = most;
    let ask = |facet: u32, so_far: f64| {
        if facet != probe.facet
            && let Some(lean) = least_lean(sight.corners(facet), probe)
        {
            least = so_far.min(lean);
        }
        least
    };
    sight.near_line(probe, ask, most);
    (least.atan() - HIDDEN_RAD).clamp(0.0, most_rad)
}

/// Tangent of the least lean of the lines from a point to a facet; `None` if none of it is above.
fn least_lean(corners: [[f64; 3]; 3], probe: &Probe) -> Option<f64> {
    let seen = corners.map(|c| [c[0] - probe.at[0], c[1] - probe.at[1], c[2] - probe.height]);
    let mut above: Vec<[f64; 3]> = Vec::with_capacity(4);
    for i in 0..3 {
        let (p, q) = (seen[i], seen[(i + 1) % 3]);
        if p[2] > LEVEL_MM {
            above.push([p[0] / p[2], p[1] / p[2], 0.0]);
        }
        if (p[2] > LEVEL_MM) != (q[2] > LEVEL_MM) {
            let t = (LEVEL_MM - p[2]) / (q[2] - p[2]);
            let cut = [0, 1].map(|k| (p[k] + t * (q[k] - p[k])) / LEVEL_MM);
            above.push([cut[0], cut[1], 0.0]);
        }
    }
    if above.is_empty() {
        return None;
    }
    let count = above.len();
    let side = |i: usize| {
        let (p, q) = (above[i], above[(i + 1) % count]);
        p[0] * q[1] - p[1] * q[0]
    };
    let around =
        count > 2 && ((0..count).all(|i| side(i) > 0.0) || (0..count).all(|i| side(i) < 0.0));
    if around {
        return Some(0.0);
    }
    let away = |i: usize| {
        nearest(&[above[i], above[(i + 1) % count]], [0.0; 2])
            .1
            .sqrt()
    };
    Some((0..count).map(away).fold(f64::INFINITY, f64::min))
}
