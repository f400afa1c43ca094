//! The surface of gum: a smooth random field over space.
//!
//! Random gradients on a unit lattice, blended with a quintic so that slope and curvature are
//! continuous. Source: Perlin, "Improving noise", ACM Trans. Graph. 21 (2002) 681-682,
//! doi 10.1145/566654.566636 (its blend; the gradients here are drawn, not listed).

use nalgebra::{Point3, Vector3};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

const TABLE: usize = 256;

/// A seeded random field: zero mean, within ±1, one feature a unit of length.
#[derive(Debug, Clone)]
pub(super) struct Texture {
    gradients: Vec<Vector3<f64>>,
    shuffle: Vec<u8>,
}

impl Texture {
    /// The field of a seed; the same on every machine.
    pub(super) fn seeded(seed: u64) -> Self {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut gradients = Vec::with_capacity(TABLE);
        while gradients.len() < TABLE {
            let v = Vector3::from_fn(|_, _| 2.0 * random.random::<f64>() - 1.0);
            let length = v.norm();
            // Inside the ball and not at its centre: directions without a preferred axis.
            if length > 0.1 && length <= 1.0 {
                gradients.push(v / length);
            }
        }
        let mut shuffle: Vec<u8> = (0..=u8::MAX).collect();
        for i in (1..TABLE).rev() {
            shuffle.swap(i, random.random_range(0..=i));
        }
        Self { gradients, shuffle }
    }

    /// The value at a point measured in features, each coordinate within ±2^52.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "whole numbers far inside the range of i64"
    )]
    pub(super) fn at(&self, p: Point3<f64>) -> f64 {
        let base = p.map(f64::floor);
        let f = p - base;
        let cell = base.map(|c| c as i64);
        let w = f.map(|t| t * t * t * (t * (6.0 * t - 15.0) + 10.0));
        let mut sum = 0.0;
        for corner in 0..8_i64 {
            let (cx, cy, cz) = (corner & 1, (corner >> 1) & 1, corner >> 2);
            let gradient = self.gradient(cell.x + cx, cell.y + cy, cell.z + cz);
            let offset = Vector3::new(f.x - cx as f64, f.y - cy as f64, f.z - cz as f64);
            let weight = pick(w.x, cx) * pick(w.y, cy) * pick(w.z, cz);
            sum += weight * gradient.dot(&offset);
        }
        sum
    }

    fn gradient(&self, x: i64, y: i64, z: i64) -> &Vector3<f64> {
        // The low eight bits: the lattice repeats every 256 cells.
        let wrap = |i: i64| usize::from(i.to_le_bytes()[0]);
        let a = i64::from(self.shuffle[wrap(x)]);
        let b = i64::from(self.shuffle[wrap(a + y)]);
        let c = i64::from(self.shuffle[wrap(b + z)]);
        &self.gradients[wrap(c)]
    }
}

fn pick(weight: f64, upper: i64) -> f64 {
    if upper == 1 { weight } else { 1.0 - weight }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn is_smooth_bounded_and_repeats_with_its_seed() {
        let (a, b, other) = (Texture::seeded(7), Texture::seeded(7), Texture::seeded(8));
        let mut differs = 0;
        for i in 0..500 {
            let t = f64::from(i) * 0.173;
            let p = Point3::new(t, 3.1 - 0.7 * t, -0.31 * t);
            assert_eq!(a.at(p).to_bits(), b.at(p).to_bits());
            differs += usize::from((a.at(p) - other.at(p)).abs() > 0.01);
            assert!(a.at(p).abs() <= 1.0);
            let near = p + Vector3::new(1e-6, -1e-6, 1e-6);
            assert!((a.at(near) - a.at(p)).abs() < 1e-5);
        }
        assert!(differs > 400);
        // Zero on the lattice, whatever the gradients.
        assert!(a.at(Point3::new(4.0, -2.0, 9.0)).abs() < 1e-15);
    }
}
