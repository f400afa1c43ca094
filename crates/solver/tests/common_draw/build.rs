//! Copings for the tests.
#![expect(clippy::unwrap_used, reason = "test helpers fail loudly")]

use nalgebra::{Point3, UnitVector3, Vector3};
use tiltbench_geometry::coping::{Coping, Wall, WallBasis};
use tiltbench_geometry::work::Standing;
use tiltbench_testkit::problems::{CopingNumbers, DrawProblem};

pub(crate) fn unit(x: f64, y: f64, z: f64) -> UnitVector3<f64> {
    UnitVector3::new_normalize(Vector3::new(x, y, z))
}

/// The direction that leans by `lean_deg` from +z toward azimuth `azimuth_deg` (0 = +x, 90 = +y).
pub(crate) fn leaning(lean_deg: f64, azimuth_deg: f64) -> UnitVector3<f64> {
    let (sin, cos) = lean_deg.to_radians().sin_cos();
    let (y, x) = azimuth_deg.to_radians().sin_cos();
    unit(sin * x, sin * y, cos)
}

pub(crate) fn angle_deg(a: &UnitVector3<f64>, b: &UnitVector3<f64>) -> f64 {
    a.cross(b).norm().atan2(a.dot(b)).to_degrees()
}

/// A guiding wall, by taper and half sector in degrees.
pub(crate) fn wall(taper_deg: f64, half_sector_deg: f64) -> Wall {
    Wall {
        taper_rad: taper_deg.to_radians(),
        half_sector_rad: half_sector_deg.to_radians(),
        height_mm: 5.0,
        guides: true,
        draft_min_rad: 0.0,
        draft_max_rad: 0.3,
    }
}

/// A finished coping with an axis and a mesial direction, walls in the order of the sides.
pub(crate) fn coping(
    axis: UnitVector3<f64>,
    mesial: Vector3<f64>,
    walls: [Option<Wall>; 4],
) -> Coping {
    let mesial = mesial - axis.as_ref() * axis.dot(&mesial);
    let mesial = UnitVector3::new_normalize(mesial);
    Coping {
        id: "33".into(),
        tooth: "33".into(),
        margin_centre: Point3::origin(),
        axis,
        mesial,
        labial: UnitVector3::new_normalize(axis.cross(&mesial)),
        width_mesiodistal_mm: 6.0,
        width_labiolingual_mm: 6.0,
        height_mm: 5.0,
        walls,
        basis: WallBasis::Finished,
        canal_axis: None,
        standing: Standing::Stays,
    }
}

/// A cone: four guiding walls of +-45 degrees.
pub(crate) fn cone(axis: UnitVector3<f64>, taper_deg: f64) -> Coping {
    coping(axis, Vector3::x(), [Some(wall(taper_deg, 45.0)); 4])
}

pub(crate) fn build(numbers: &CopingNumbers) -> Coping {
    let axis = unit(numbers.axis[0], numbers.axis[1], numbers.axis[2]);
    let walls = numbers
        .walls_deg
        .map(|given| given.map(|(taper, half_sector)| wall(taper, half_sector)));
    let mut made = coping(axis, Vector3::from(numbers.mesial), walls);
    if !numbers.right_handed {
        made.labial = -made.labial;
    }
    made
}

pub(crate) fn build_all(problem: &DrawProblem) -> Vec<Coping> {
    problem.copings.iter().map(build).collect()
}

/// Normals of all walls, sampled over their sectors with at most `step_deg` between them.
pub(crate) fn sampled_normals(copings: &[Coping], step_deg: f64) -> Vec<Vector3<f64>> {
    let mut normals = Vec::new();
    for coping in copings {
        for (side, wall) in coping.existing_walls() {
            let half = wall.half_sector_rad.to_degrees();
            let mut count = 1.0;
            while 2.0 * half / count > step_deg {
                count += 1.0;
            }
            let mut i = 0.0;
            while i <= count {
                let phi = side.azimuth_rad() + (2.0 * i / count - 1.0) * half.to_radians();
                normals.push(normal_at(coping, wall, phi));
                i += 1.0;
            }
        }
    }
    normals
}

/// Written out here so that the checks do not lean on the code under test.
pub(crate) fn normal_at(coping: &Coping, wall: &Wall, phi: f64) -> Vector3<f64> {
    let r = coping.mesial.as_ref() * phi.cos() + coping.labial.as_ref() * phi.sin();
    r * wall.taper_rad.cos() + coping.axis.as_ref() * wall.taper_rad.sin()
}

/// The least draft of all walls, by sampling each sector and refining the worst sample.
pub(crate) fn least_draft_by_sampling(copings: &[Coping], d: &Vector3<f64>) -> (f64, Vector3<f64>) {
    let mut least = (f64::INFINITY, Vector3::zeros());
    for coping in copings {
        for (side, wall) in coping.existing_walls() {
            let (_, found) = worst_by_sampling(coping, side.azimuth_rad(), wall, d);
            let value = found.dot(d);
            if value < least.0 {
                least = (value, found);
            }
        }
    }
    (least.0.clamp(-1.0, 1.0).asin(), least.1)
}

/// Worst azimuth and normal of one wall, by sampling and ternary search.
pub(crate) fn worst_by_sampling(
    coping: &Coping,
    centre: f64,
    wall: &Wall,
    d: &Vector3<f64>,
) -> (f64, Vector3<f64>) {
    const STEPS: usize = 24;
    let value = |phi: f64| normal_at(coping, wall, phi).dot(d);
    let at = |i: usize| centre + wall.half_sector_rad * (2.0 * i as f64 / STEPS as f64 - 1.0);
    let best = (0..=STEPS)
        .min_by(|&i, &j| value(at(i)).total_cmp(&value(at(j))))
        .unwrap();
    let (mut low, mut high) = (at(best.saturating_sub(1)), at((best + 1).min(STEPS)));
    for _ in 0..45 {
        let third = (high - low) / 3.0;
        if value(low + third) < value(high - third) {
            high -= third;
        } else {
            low += third;
        }
    }
    let phi = f64::midpoint(low, high);
    let phi = if value(at(best)) < value(phi) {
        at(best)
    } else {
        phi
    };
    (phi, normal_at(coping, wall, phi))
}

#[track_caller]
pub(crate) fn assert_near(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found} instead of {expected} (within {tolerance})"
    );
}
