//! Compass search: a minimum on the chart when only values and a yes-or-no are to be had.
//!
//! Several directions a step, the step halved when none improves (Kolda, Lewis and Torczon,
//! "Optimization by Direct Search", SIAM Review 45(3), 2003, algorithm 3.2). More than four, and
//! turned by the golden angle from step to step, let it slide along a border that cuts
//! the chart at a slant. Finds a local minimum.

use crate::control::Cancelled;
use crate::sphere::travel;
use std::f64::consts::TAU;
use tiltbench_geometry::UnitVector3;

/// Steps at the most: a bound on work where a value improves by less and less.
const STEPS: usize = 200;

/// Radians: the turn that leaves every later set of directions between the earlier ones.
const GOLDEN_ANGLE_RAD: f64 = 2.399_963_229_728_653;

/// How a walk steps.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Steps {
    /// The first step.
    pub first_rad: f64,
    /// The walk ends when the step falls below this.
    pub last_rad: f64,
    /// Directions that are looked in at each step: each is a value to be had.
    pub directions: u32,
}

/// A draw and what was minimised there.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Found {
    /// The draw.
    pub direction: UnitVector3<f64>,
    /// The value.
    pub value: f64,
}

/// Walks down from `start`. `value` is given the draw and the value to beat, and returns `None` where a draw is not allowed or cannot beat it.
pub(crate) fn descend(
    start: Found,
    steps: &Steps,
    mut value: impl FnMut(&UnitVector3<f64>, f64) -> Result<Option<f64>, Cancelled>,
) -> Result<Found, Cancelled> {
    let mut best = start;
    let mut step = steps.first_rad;
    let mut turn = 0.0;
    for _ in 0..STEPS {
        if step < steps.last_rad {
            break;
        }
        let base = best;
        turn += GOLDEN_ANGLE_RAD;
        for i in 0..steps.directions {
            let bearing = turn + f64::from(i) / f64::from(steps.directions) * TAU;
            let there = travel(&base.direction, bearing, step);
            if let Some(at) = value(&there, best.value)?
                && at < best.value
            {
                best = Found {
                    direction: there,
                    value: at,
                };
            }
        }
        if best.value >= base.value {
            step *= 0.5;
        }
    }
    Ok(best)
}
