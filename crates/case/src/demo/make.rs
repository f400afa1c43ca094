//! From the plan of a cast to its scan, at any resolution.

use super::cast::{Cast, CastPlan};
use super::polygonise::polygonise;
use super::relax::{relax, triangulate};
use super::scanner;
use super::stump::Stump;
use super::texture::Texture;
use super::trim::trim;
use nalgebra::Point3;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::mesh::Mesh;

/// How much of the cast the scanner saw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Coverage {
    /// All of it, with the trimmed bottom: a closed surface.
    Whole,
    /// What lies above this z, with a ragged border: an open surface.
    Above(f64),
}

/// Millimetres between grid planes of the trial that finds the triangles a step gives.
const TRIAL_STEP_MM: f64 = 1.5;
/// The coarsest grid, mm: about 2,000 triangles. Coarser ones lose the stumps.
const COARSEST_STEP_MM: f64 = 2.5;

/// The scan of a cast with about `target_triangles` triangles (within 5 % from 10,000 up, and
/// never fewer than about 1,500).
///
/// Deterministic. Noise and texture are drawn from the plan's seed.
pub(super) fn scan_of(
    plan: &CastPlan,
    copings: &[Coping],
    coverage: Coverage,
    target_triangles: usize,
) -> Mesh {
    let seed = plan.seed;
    let stumps = copings.iter().map(Stump::new).collect();
    let cast = Cast::new(plan.clone(), stumps);
    let border = Texture::seeded(seed ^ 0x5eed_b02d);
    let kept = |p: Point3<f64>| match coverage {
        Coverage::Whole => true,
        Coverage::Above(z) => {
            let ragged = 1.2 * border.at(Point3::new(p.x / 5.0, p.y / 5.0, 0.5))
                + 0.6 * border.at(Point3::new(p.x / 1.3, p.y / 1.3, 3.5));
            p.z > z + ragged
        }
    };
    // Triangles go with the inverse square of the step.
    let trial = trim(&triangulate(polygonise(&cast, TRIAL_STEP_MM)), kept);
    let share = trial.triangles.len().max(1) as f64 / target_triangles.max(1) as f64;
    let step = (TRIAL_STEP_MM * share.sqrt()).min(COARSEST_STEP_MM);
    let mut net = polygonise(&cast, step);
    relax(&mut net, &cast, step);
    let mut mesh = trim(&triangulate(net), kept);
    scanner::scan(&mut mesh, seed);
    mesh
}
