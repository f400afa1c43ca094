//! Copings for the tests.

use nalgebra::{Point3, Rotation3, UnitVector3, Vector3};
use tiltbench_geometry::coping::{Coping, MillPlan, Side, Wall, WallBasis};
use tiltbench_geometry::work::Standing;
use tiltbench_testkit::problems::Draws;

pub(crate) fn unit(x: f64, y: f64, z: f64) -> UnitVector3<f64> {
    UnitVector3::new_normalize(Vector3::new(x, y, z))
}

/// A wall of +-45 degrees with a taper in degrees, 5 mm high.
pub(crate) fn wall(taper_deg: f64) -> Wall {
    Wall {
        taper_rad: taper_deg.to_radians(),
        half_sector_rad: 45_f64.to_radians(),
        height_mm: 5.0,
        guides: true,
        draft_min_rad: 0.0,
        draft_max_rad: 10_f64.to_radians(),
    }
}

/// A finished coping standing upright, round, 6 mm wide; tapers in the order of the sides.
pub(crate) fn upright(tapers_deg: [Option<f64>; 4]) -> Coping {
    Coping {
        id: "33".into(),
        tooth: "33".into(),
        margin_centre: Point3::origin(),
        axis: Vector3::z_axis(),
        mesial: Vector3::x_axis(),
        labial: Vector3::y_axis(),
        width_mesiodistal_mm: 6.0,
        width_labiolingual_mm: 6.0,
        height_mm: 5.0,
        walls: tapers_deg.map(|taper| taper.map(wall)),
        basis: WallBasis::Finished,
        canal_axis: None,
        standing: Standing::Stays,
    }
}

/// All four walls of one taper.
pub(crate) fn cone(taper_deg: f64) -> Coping {
    upright([Some(taper_deg); 4])
}

/// A prep of one taper all round.
pub(crate) fn prep(taper_deg: f64, mill_deg: f64, margin_mm: f64, height_mm: f64) -> Coping {
    let mut coping = cone(taper_deg);
    coping.basis = WallBasis::Prep(MillPlan {
        taper_rad: mill_deg.to_radians(),
        margin_thickness_mm: margin_mm,
    });
    coping.height_mm = height_mm;
    for wall in coping.walls.iter_mut().flatten() {
        wall.height_mm = height_mm;
    }
    coping
}

/// The draw that leans by `lean_deg` from +z toward azimuth `azimuth_deg` (0 = +x, 90 = +y).
pub(crate) fn leaning(lean_deg: f64, azimuth_deg: f64) -> UnitVector3<f64> {
    let (sin, cos) = lean_deg.to_radians().sin_cos();
    let (y, x) = azimuth_deg.to_radians().sin_cos();
    unit(sin * x, sin * y, cos)
}

/// A random coping in a random pose: lean up to 15 degrees, tapers from -3 to 12, some walls
/// absent, sectors from 10 to 60 degrees, either handedness.
pub(crate) fn random(draws: &mut Draws) -> Coping {
    let mut coping = cone(0.0);
    for wall in &mut coping.walls {
        let mut made = self::wall(draws.range(-3.0, 12.0));
        made.half_sector_rad = draws.range(10.0, 60.0).to_radians();
        made.height_mm = draws.range(2.0, 8.0);
        *wall = (draws.unit() < 0.85).then_some(made);
    }
    let turn =
        Rotation3::from_axis_angle(&Vector3::z_axis(), draws.range(0.0, std::f64::consts::TAU));
    let lean = Rotation3::from_scaled_axis(Vector3::new(
        draws.range(-0.18, 0.18),
        draws.range(-0.18, 0.18),
        0.0,
    ));
    let pose = lean * turn;
    coping.axis = pose * coping.axis;
    coping.mesial = pose * coping.mesial;
    coping.labial = pose * coping.labial;
    if draws.unit() < 0.5 {
        coping.labial = -coping.labial;
    }
    coping
}

/// Azimuths over the sector of a wall, both ends included.
pub(crate) fn sector(side: Side, wall: &Wall, steps: u32) -> impl Iterator<Item = f64> {
    let (centre, half) = (side.azimuth_rad(), wall.half_sector_rad);
    (0..=steps).map(move |i| centre - half + 2.0 * half * f64::from(i) / f64::from(steps))
}

#[track_caller]
pub(crate) fn assert_near(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found} instead of {expected} (within {tolerance})"
    );
}
