//! The max-min over the continuum of a wall's normals, by exchange.
//!
//! The finite problem over some of the normals is solved globally ([`super::envelope`]): its value
//! bounds the true maximum from above. At its solution the closed form names the worst normal of
//! every wall; the least of those is attained, and bounds it from below. The normals that cut the
//! solution off are added, until the bounds meet.
//!
//! A required draft `s = sin(required)` enters by linearisation: for any unit `e`,
//! `n . d - s <= (n - s e) . d` on the sphere, since `e . d <= 1`, with equality at `d = e`.
//!
//! Source: the exchange (cutting plane) method, J. E. Kelley, "The cutting-plane method for solving
//! convex programs", J. SIAM 8 (1960) 703-712, doi 10.1137/0108053. Here the master problem is
//! global, so convexity is not needed.

use super::envelope::{Cap, Envelope, Peak};
use super::walls::{GuidingWall, WallNormal};
use nalgebra::{UnitVector3, Vector3};

/// Rounds. A handful reach the last digits at corners, some thirty on smooth optima; beyond this
/// the bound that was reached is reported.
const MAX_ROUNDS: usize = 200;

/// Pure number. The bounds count as met: what rounding of the products leaves.
const CLOSED: f64 = 1e-13;

/// Pure number. Attained values this near are equal: the ties of the finite problems and rounding.
const EQUAL: f64 = 1e-12;

/// What is maximised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Goal {
    /// The least draft, to the last digits. The value is its sine.
    BestDraft,
    /// The least of `n . d - sin(required)` over all walls and of the tilt limit's own
    /// `z . d - cos(limit)`: a draw well inside every limit. Ends once its sign is settled and the
    /// value is near the greatest.
    WellInside,
}

/// What the exchange ends with.
#[derive(Debug)]
pub(super) struct Solution {
    /// Value attained at its direction.
    pub(super) peak: Peak,
    /// No direction within the cap exceeds this.
    pub(super) upper: f64,
    /// Direction of the last finite problem, whose value is `upper`.
    pub(super) master: UnitVector3<f64>,
    /// The normals of the last finite problem.
    pub(super) normals: Vec<WallNormal>,
}

/// Maximises over a cap. `None` without walls.
pub(super) fn maximise(walls: &[GuidingWall<'_>], cap: Cap, goal: Goal) -> Option<Solution> {
    let up = Vector3::z_axis();
    let mut normals: Vec<WallNormal> = Vec::new();
    for wall in walls {
        let [from, to] = wall.ends();
        normals.extend([from, wall.name.side.azimuth_rad(), to].map(|phi| wall.normal(phi)));
    }
    let mut cuts: Vec<Vector3<f64>> = Vec::new();
    for normal in &normals {
        let sine = walls
            .iter()
            .find(|wall| wall.name == normal.wall)
            .map_or(0.0, |wall| required_sine(wall, goal));
        cuts.push(normal.normal.as_ref() - up.as_ref() * sine);
    }
    let mut attained: Option<Peak> = None;
    let mut envelope = Envelope::new(cap);
    let mut upper = f64::INFINITY;
    let mut master = up;
    for _ in 0..MAX_ROUNDS {
        let floor = attained.map_or(f64::NEG_INFINITY, |peak| peak.value);
        envelope.add(&cuts, floor);
        cuts.clear();
        let Some(peak) = envelope.peak() else { break };
        upper = upper.min(peak.value);
        master = peak.direction;
        let value = judge(
            walls,
            &cap,
            goal,
            &master,
            peak.value,
            &mut normals,
            &mut cuts,
        );
        let found = Peak {
            value,
            direction: master,
        };
        // Among equals the latest: it solves the last finite problem, which the proof is about.
        if attained.is_none_or(|attained| value >= attained.value - EQUAL) {
            attained = Some(found);
        }
        if cuts.is_empty() || settled(goal, value, upper) {
            break;
        }
    }
    attained.map(|peak| Solution {
        peak,
        upper: upper.max(peak.value),
        master,
        normals,
    })
}

/// Whether the value attained at the latest direction is near enough to the bound.
fn settled(goal: Goal, value: f64, upper: f64) -> bool {
    let gap = upper - value;
    match goal {
        Goal::BestDraft => gap <= CLOSED,
        Goal::WellInside => {
            gap <= CLOSED
                || (value > 0.0 && gap <= 0.1 * value)
                // Far beyond what counts as met.
                || upper < -10.0 * tiltbench_geometry::tolerance::MET_RAD
        }
    }
}

fn required_sine(wall: &GuidingWall<'_>, goal: Goal) -> f64 {
    match goal {
        Goal::BestDraft => 0.0,
        Goal::WellInside => wall.wall.draft_min_rad.sin(),
    }
}

/// The value at a direction; adds the normals and cuts that hold it below `claimed`.
fn judge(
    walls: &[GuidingWall<'_>],
    cap: &Cap,
    goal: Goal,
    at: &UnitVector3<f64>,
    claimed: f64,
    normals: &mut Vec<WallNormal>,
    cuts: &mut Vec<Vector3<f64>>,
) -> f64 {
    let mut least = f64::INFINITY;
    for wall in walls {
        let worst = wall.worst(at);
        let sine = required_sine(wall, goal);
        let value = worst.normal.dot(at) - sine;
        least = least.min(value);
        if value < claimed {
            normals.push(worst);
            cuts.push(worst.normal.as_ref() - at.as_ref() * sine);
        }
    }
    if goal == Goal::WellInside {
        let value = at.z - cap.cos;
        least = least.min(value);
        if value < claimed {
            cuts.push(Vector3::z() - at.as_ref() * cap.cos);
        }
    }
    least
}
