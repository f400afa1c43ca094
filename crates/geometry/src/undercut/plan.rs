//! The plan: places across the draw, and heights along it.

use nalgebra::Vector3;

/// Plan position across the draw.
pub(crate) type Plan = [f64; 2];

/// A rectangle of the plan.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Frame {
    pub(crate) low: Plan,
    pub(crate) high: Plan,
}

impl Frame {
    pub(crate) fn around(points: impl IntoIterator<Item = Plan>) -> Self {
        let mut frame = Self {
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
        };
        for p in points {
            frame.low = [frame.low[0].min(p[0]), frame.low[1].min(p[1])];
            frame.high = [frame.high[0].max(p[0]), frame.high[1].max(p[1])];
        }
        frame
    }

    pub(crate) fn grown(&self, by: f64) -> Self {
        Self {
            low: self.low.map(|x| x - by),
            high: self.high.map(|x| x + by),
        }
    }

    pub(crate) fn meets(&self, other: &Self) -> bool {
        (0..2).all(|k| self.low[k] <= other.high[k] && other.low[k] <= self.high[k])
    }

    pub(crate) fn contains(&self, p: Plan) -> bool {
        (0..2).all(|k| self.low[k] <= p[k] && p[k] <= self.high[k])
    }
}

/// A right-handed frame with the draw as its third axis.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Axes {
    pub(crate) right: Vector3<f64>,
    pub(crate) ahead: Vector3<f64>,
    pub(crate) up: Vector3<f64>,
}

impl Axes {
    pub(crate) fn along(up: Vector3<f64>) -> Self {
        // The axis the draw leans on least gives the best conditioned cross product.
        let least = up.iamin();
        let mut seed = Vector3::zeros();
        seed[(least + 1) % 3] = 1.0;
        if up[(least + 1) % 3].abs() > up[(least + 2) % 3].abs() {
            seed = Vector3::zeros();
            seed[(least + 2) % 3] = 1.0;
        }
        let right = seed.cross(&up);
        let right = right / right.norm();
        Self {
            right,
            ahead: up.cross(&right),
            up,
        }
    }

    /// Plan position and height of a vector.
    pub(crate) fn see(&self, v: &Vector3<f64>) -> (Plan, f64) {
        ([self.right.dot(v), self.ahead.dot(v)], self.up.dot(v))
    }
}
