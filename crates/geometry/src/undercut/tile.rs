//! A facet in plan, and what is asked of it.

use super::plan::Plan;

/// A facet in plan, its corners in a fixed order of place.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Tile {
    corners: [[f64; 3]; 3],
    low: f64,
    high: f64,
}

/// Twice the signed area of a, b, x, from the first end of the edge.
fn side(a: &[f64; 3], b: &[f64; 3], x: Plan) -> f64 {
    (b[0] - a[0]) * (x[1] - a[1]) - (b[1] - a[1]) * (x[0] - a[0])
}

impl Tile {
    pub(crate) fn new(mut corners: [[f64; 3]; 3]) -> Self {
        corners.sort_unstable_by(|a, b| {
            a[0].total_cmp(&b[0])
                .then(a[1].total_cmp(&b[1]))
                .then(a[2].total_cmp(&b[2]))
        });
        let [a, b, c] = corners.map(|p| p[2]);
        Self {
            corners,
            low: a.min(b).min(c),
            high: a.max(b).max(c),
        }
    }

    /// Height over a plan position; `None` beside the facet, or if it has no area in plan.
    pub(crate) fn height_over(&self, x: Plan) -> Option<f64> {
        let [a, b, c] = &self.corners;
        // Corners are in order of x.
        if x[0] < a[0] || x[0] > c[0] {
            return None;
        }
        let (ab, bc) = (side(a, b, x), side(b, c, x));
        if (ab > 0.0 && bc < 0.0) || (ab < 0.0 && bc > 0.0) {
            return None;
        }
        let ca = -side(a, c, x);
        let inside = (ab >= 0.0 && bc >= 0.0 && ca >= 0.0) || (ab <= 0.0 && bc <= 0.0 && ca <= 0.0);
        let whole = ab + bc + ca;
        if !inside || whole == 0.0 {
            return None;
        }
        let height = (bc * a[2] + ca * b[2] + ab * c[2]) / whole;
        Some(height.clamp(self.low, self.high))
    }
}
