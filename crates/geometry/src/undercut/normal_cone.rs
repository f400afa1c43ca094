//! Cones that hold the normals of some facets.

use nalgebra::Vector3;
use std::f64::consts::{FRAC_PI_2, PI};

/// A cone that holds the normals of some facets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct NormalCone {
    axis: [f32; 3],
    /// Half-angle, radians; pi: any direction.
    half_rad: f32,
}

/// How facets stand toward all draws of a cone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Facing {
    /// All face all of the draws.
    Toward,
    /// All face away from all of them.
    Away,
    /// That is not known.
    Either,
}

/// Radians. What is nearer to parallel than this faces neither way for sure: ten times what separates
/// parallel from not, and more than the rounding of an axis.
const HIDDEN_RAD: f64 = 1e-5;

impl NormalCone {
    /// Any direction.
    pub(crate) const ANY: Self = Self {
        axis: [0.0, 0.0, 1.0],
        half_rad: std::f32::consts::PI,
    };

    /// Around some unit normals; any direction if one is no unit.
    pub(crate) fn around(normals: impl Iterator<Item = Vector3<f64>> + Clone) -> Self {
        let sum: Vector3<f64> = normals.clone().sum();
        let length = sum.norm();
        if length < 1e-6 || normals.clone().any(|n| n.norm_squared() < 0.5) {
            return Self::ANY;
        }
        let axis = sum / length;
        let half_rad = normals.map(|n| between(&n, &axis)).fold(0.0, f64::max);
        Self::of(&axis, half_rad)
    }

    /// Around two cones.
    pub(crate) fn both(&self, other: &Self) -> Self {
        let (a, b) = (self.direction(), other.direction());
        let (of_a, of_b) = (f64::from(self.half_rad), f64::from(other.half_rad));
        let apart = between(&a, &b);
        if apart + of_b <= of_a {
            return *self;
        }
        if apart + of_a <= of_b {
            return *other;
        }
        let half_rad = 0.5 * (of_a + of_b + apart);
        let across = b - a * a.dot(&b);
        if half_rad >= PI || across.norm_squared() < 1e-12 {
            return if apart < FRAC_PI_2 {
                Self::of(&a, of_a.max(of_b) + apart)
            } else {
                Self::ANY
            };
        }
        let turn = half_rad - of_a;
        let (sin, cos) = turn.sin_cos();
        Self::of(&(a * cos + across.normalize() * sin), half_rad)
    }

    /// How they stand toward the draws of a cone.
    pub(crate) fn facing(&self, up: &Vector3<f64>, cone_rad: f64) -> Facing {
        let room_rad = FRAC_PI_2 - HIDDEN_RAD - cone_rad - f64::from(self.half_rad);
        if room_rad <= 0.0 {
            return Facing::Either;
        }
        let lean = self.direction().dot(up);
        // An angle below a right one has a cosine above that of any larger.
        let least = room_rad.cos();
        if lean > least {
            Facing::Toward
        } else if lean < -least {
            Facing::Away
        } else {
            Facing::Either
        }
    }

    /// Rounded outward.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "made wider by more than that rounds"
    )]
    fn of(axis: &Vector3<f64>, half_rad: f64) -> Self {
        if half_rad >= FRAC_PI_2 {
            return Self::ANY;
        }
        Self {
            axis: [axis.x as f32, axis.y as f32, axis.z as f32],
            half_rad: (half_rad + 1e-6) as f32,
        }
    }

    fn direction(&self) -> Vector3<f64> {
        Vector3::from(self.axis.map(f64::from))
    }
}

/// Angle between unit vectors, exact for small and for large ones.
fn between(a: &Vector3<f64>, b: &Vector3<f64>) -> f64 {
    a.cross(b).norm().atan2(a.dot(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seeded directions about an axis.
    fn some(seed: u32, around: &Vector3<f64>, wide: f64) -> Vec<Vector3<f64>> {
        (0..40)
            .map(|i| {
                let turn = f64::from(seed * 97 + i) * 2.399_963;
                let off = Vector3::new(turn.cos(), turn.sin(), (3.0 * turn).sin());
                (around + wide * off * f64::from(i % 7) / 7.0).normalize()
            })
            .collect()
    }

    #[test]
    fn what_a_cone_says_holds_for_every_normal_and_draw() {
        let mut told = 0;
        for seed in 0..60_u32 {
            let turn = f64::from(seed);
            let a = Vector3::new(turn.sin(), turn.cos(), (0.7 * turn).sin()).normalize();
            let b =
                (a + 0.3 * Vector3::new((2.0 * turn).cos(), 0.4, (3.0 * turn).sin())).normalize();
            let (one, two) = (some(seed, &a, 0.2), some(seed + 1, &b, 0.1));
            let of = |n: &[Vector3<f64>]| NormalCone::around(n.iter().copied());
            let cone = of(&one).both(&of(&two));
            for k in 0..40 {
                let up = some(k, &Vector3::z(), 0.9)[(seed % 40) as usize];
                let cone_rad = f64::from(k) * 0.004;
                let facing = cone.facing(&up, cone_rad);
                let leans = one.iter().chain(&two).map(|n| n.dot(&up));
                let sin = cone_rad.sin();
                match facing {
                    Facing::Toward => assert!(leans.clone().all(|lean| lean > sin)),
                    Facing::Away => assert!(leans.clone().all(|lean| lean < -sin)),
                    Facing::Either => (),
                }
                told += usize::from(facing != Facing::Either);
            }
        }
        assert!(told > 600, "{told}");
    }
}
