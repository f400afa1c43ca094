//! Small problems for the solver's tests.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::f64::consts::FRAC_PI_4;
use tiltbench_geometry::coping::{Coping, Wall, WallBasis};
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::work::Standing;
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
use tiltbench_solver::Problem;

/// A finished coping whose four walls guide and make a cone of the given half-angle.
pub(crate) fn cone(id: &str, axis: UnitVector3<f64>, half_angle_deg: f64) -> Coping {
    let mesial = UnitVector3::new_normalize(Vector3::y().cross(&axis));
    let labial = UnitVector3::new_normalize(axis.cross(&mesial));
    let wall = Wall {
        taper_rad: half_angle_deg.to_radians(),
        half_sector_rad: FRAC_PI_4,
        height_mm: 5.0,
        guides: true,
        draft_min_rad: 0.0,
        draft_max_rad: 10f64.to_radians(),
    };
    Coping {
        id: id.to_owned(),
        tooth: "33".to_owned(),
        margin_centre: Point3::origin(),
        axis,
        mesial,
        labial,
        width_mesiodistal_mm: 5.5,
        width_labiolingual_mm: 7.0,
        height_mm: 5.0,
        walls: [Some(wall); 4],
        basis: WallBasis::Finished,
        canal_axis: None,
        standing: Standing::Stays,
    }
}

/// Cones whose axes lean by `lean_deg` toward the azimuths, about the occlusal direction.
pub(crate) fn copings_at(azimuths_deg: &[f64], lean_deg: f64, half_angle_deg: f64) -> Vec<Coping> {
    azimuths_deg
        .iter()
        .enumerate()
        .map(|(index, azimuth)| {
            let (sin, cos) = lean_deg.to_radians().sin_cos();
            let (y, x) = azimuth.to_radians().sin_cos();
            let axis = UnitVector3::new_normalize(Vector3::new(sin * x, sin * y, cos));
            let mut coping = cone(&format!("c{index}"), axis, half_angle_deg);
            for wall in coping.walls.iter_mut().flatten() {
                wall.draft_max_rad = 45f64.to_radians();
            }
            coping
        })
        .collect()
}

/// Default limits with a tilt limit.
pub(crate) fn limits(tilt_max_deg: f64) -> Limits {
    Limits {
        tilt_max_rad: tilt_max_deg.to_radians(),
        metal_min_mm: 0.3,
        metal_max_mm: 2.0,
        opposing_undercut_limit_mm: 1.0,
        allowance_wanted_rad: 2f64.to_radians(),
        setting_step_rad: 1f64.to_radians(),
    }
}

/// A problem of walls only.
pub(crate) fn problem(copings: &[Coping], limits: Limits) -> Problem<'_> {
    Problem {
        copings,
        limits,
        ridge: None,
    }
}

pub(crate) mod flat_walls;
pub(crate) mod skewed;

/// A generator of repeatable pseudo-random numbers in `0..1` (`SplitMix64`; Steele, Lea and Flood,
/// "Fast splittable pseudorandom number generators", OOPSLA 2014).
pub(crate) struct Random(pub u64);

impl Random {
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
    pub(crate) fn below(&mut self, count: usize) -> usize {
        (0..count)
            .rfind(|n| self.unit() * (*n as f64 + 1.0) < 1.0)
            .unwrap_or(0)
    }
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

/// Whether a draw is acceptable, judged only from an evaluation: no search involved.
pub(crate) fn is_acceptable(problem: &Problem<'_>, d: &UnitVector3<f64>) -> bool {
    tiltbench_geometry::tilt::Tilt::from_direction(d)
        .is_ok_and(|tilt| tiltbench_solver::evaluation::evaluate(problem, tilt).acceptable)
}

/// Whether a draw of the search window breaks no rigid limit and none of the seat, judged only from an
/// evaluation.
pub(crate) fn holds(problem: &Problem<'_>, d: &UnitVector3<f64>) -> bool {
    tiltbench_geometry::tilt::Tilt::from_direction(d).is_ok_and(|tilt| {
        // Five degrees beyond the greatest tilt: what is wanted is less.
        tilt.total_rad() <= problem.limits.tilt_max_rad + 5f64.to_radians() + 1e-9
            && tiltbench_solver::evaluation::evaluate(problem, tilt).holds()
    })
}

/// Setting allowance by brute force: the nearest draw that does not hold on a polar grid about `d`, in
/// degrees, refined along each ray. At most `reach_deg`.
pub(crate) fn brute_allowance_deg(
    problem: &Problem<'_>,
    d: &UnitVector3<f64>,
    reach_deg: f64,
) -> f64 {
    if !holds(problem, d) {
        return 0.0;
    }
    let mut nearest = reach_deg;
    for ray in 0..180 {
        let bearing = f64::from(ray) * 2f64.to_radians();
        let there = |deg: f64| tiltbench_solver::sphere::travel(d, bearing, deg.to_radians());
        let mut at = 0.0;
        while at < nearest {
            let next = at + 0.25;
            if !holds(problem, &there(next)) {
                let (mut low, mut high) = (at, next);
                for _ in 0..20 {
                    let middle = f64::midpoint(low, high);
                    if holds(problem, &there(middle)) {
                        low = middle;
                    } else {
                        high = middle;
                    }
                }
                nearest = nearest.min(high);
                break;
            }
            at = next;
        }
    }
    nearest
}
