//! A facet in plan, and what is asked of it.

use super::plan::Plan;

/// A facet in plan, its corners in a fixed order of place.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Tile {
    pub(super) corners: [[f64; 3]; 3],
    low: f64,
    high: f64,
}

/// A facet listed in a cell, with bounds of its heights.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Listed {
    pub(super) facet: u32,
    /// Rounded outward, so that a facet that reaches a height is never passed over.
    low: f32,
    high: f32,
}

impl Listed {
    pub(super) fn new(facet: u32, tile: &Tile) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "rounded outward below")]
        let (low, high) = (tile.low as f32, tile.high as f32);
        Self {
            facet,
            low: low.next_down(),
            high: high.next_up(),
        }
    }

    pub(super) fn reaches_above(&self, height: f64) -> bool {
        f64::from(self.high) > height
    }

    pub(super) fn reaches_below(&self, height: f64) -> bool {
        f64::from(self.low) < height
    }
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

/// Least and greatest x of a triangle between two y.
pub(super) fn span_in_band(corners: &[[f64; 3]; 3], bottom: f64, top: f64) -> (f64, f64) {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut take = |x: f64| {
        low = low.min(x);
        high = high.max(x);
    };
    for i in 0..3 {
        let (p, q) = (&corners[i], &corners[(i + 1) % 3]);
        if (bottom..=top).contains(&p[1]) {
            take(p[0]);
        }
        for y in [bottom, top] {
            if (p[1] < y) != (q[1] < y) {
                take(p[0] + (y - p[1]) / (q[1] - p[1]) * (q[0] - p[0]));
            }
        }
    }
    (low, high)
}
