//! Seeded random problems, as plain numbers: whoever uses them builds its own types.
//!
//! The same seed gives the same problem on every platform.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A seeded source of random numbers.
#[derive(Debug, Clone)]
pub struct Draws(ChaCha8Rng);

impl Draws {
    /// The source of a seed.
    pub fn new(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    /// Uniform in [0, 1).
    pub fn unit(&mut self) -> f64 {
        self.0.random()
    }

    /// Uniform in [low, high).
    pub fn range(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Uniform among 0..count; 0 for an empty range.
    pub fn index(&mut self, count: usize) -> usize {
        if count == 0 {
            0
        } else {
            self.0.random_range(0..count)
        }
    }

    /// About normal, by the sum of twelve uniforms (tails end at six deviations).
    pub fn normal(&mut self, mean: f64, deviation: f64) -> f64 {
        let sum: f64 = (0..12).map(|_| self.unit()).sum();
        mean + deviation * (sum - 6.0)
    }
}

/// One coping of a random problem. Angles in degrees.
#[derive(Debug, Clone, PartialEq)]
pub struct CopingNumbers {
    /// Long axis, not unit.
    pub axis: [f64; 3],
    /// Direction of the mesial side; not unit, not perpendicular to the axis.
    pub mesial: [f64; 3],
    /// Whether labial is `axis x mesial` (else its opposite).
    pub right_handed: bool,
    /// Taper and half sector of the walls, mesial, labial, distal, lingual; `None` where absent.
    pub walls_deg: [Option<(f64, f64)>; 4],
}

/// A random common draw problem: every wall guides.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawProblem {
    /// The copings.
    pub copings: Vec<CopingNumbers>,
    /// Greatest total tilt, degrees.
    pub tilt_max_deg: f64,
}

/// A problem of two to eight copings. Axes scatter by up to some degrees about a cast that leans
/// itself, tapers are about normal with a mean of 4 to 11 degrees, and the tilt limit runs from 2 to
/// 20 degrees: common draws, missing ones and ones that only the tilt limit forbids all come up.
pub fn draw_problem(seed: u64) -> DrawProblem {
    let mut draws = Draws::new(seed);
    let count = 2 + draws.index(7);
    // The whole cast leans too, so that the tilt limit matters.
    let cast = [draws.normal(0.0, 0.1), draws.normal(0.0, 0.1)];
    let spread = draws.range(0.01, 0.09);
    let mean = draws.range(4.0, 11.0);
    let copings = (0..count)
        .map(|_| {
            let mut wall = |present: f64| {
                let taper = draws.normal(mean, 2.5);
                let half_sector = if draws.unit() < 0.7 {
                    45.0
                } else {
                    draws.range(10.0, 60.0)
                };
                (draws.unit() < present).then_some((taper, half_sector))
            };
            let walls_deg = [wall(0.95), wall(0.3), wall(0.95), wall(0.95)];
            let turn = draws.range(0.0, std::f64::consts::TAU);
            CopingNumbers {
                axis: [
                    cast[0] + draws.normal(0.0, spread),
                    cast[1] + draws.normal(0.0, spread),
                    1.0,
                ],
                mesial: [turn.cos(), turn.sin(), 0.0],
                right_handed: draws.unit() < 0.5,
                walls_deg,
            }
        })
        .collect();
    DrawProblem {
        copings,
        tilt_max_deg: draws.range(2.0, 20.0),
    }
}
