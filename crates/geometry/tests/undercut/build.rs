//! From test solids to ridges.

use std::sync::Arc;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{Ridge, RidgeError, SeatZone, ZoneGlance, ZoneReading};
use tiltbench_geometry::{UnitVector3, Vector3};
use tiltbench_testkit::solids::Solid;

pub(crate) fn mesh(solid: Solid) -> Arc<Mesh> {
    Arc::new(Mesh {
        vertices: solid.vertices,
        triangles: solid.triangles,
    })
}

/// A square zone about the z axis.
pub(crate) fn square(half: f64, z_range: Option<[f64; 2]>) -> SeatZone {
    zone(
        &[[-half, -half], [half, -half], [half, half], [-half, half]],
        z_range,
    )
}

pub(crate) fn zone(outline: &[[f64; 2]], z_range: Option<[f64; 2]>) -> SeatZone {
    SeatZone {
        name: "test zone".into(),
        outline: outline.to_vec(),
        z_range,
        undercut_limit_mm: Some(1.0),
        opposes: None,
        blockout: None,
    }
}

pub(crate) fn ridge(solid: Solid, zone: SeatZone) -> Ridge {
    built(Ridge::new(mesh(solid), &[zone], &[]))
}

/// What a test builds of its own must be good.
pub(crate) fn built(ridge: Result<Ridge, RidgeError>) -> Ridge {
    ridge.unwrap_or_else(|error| unreachable!("the test's own solid: {error}"))
}

pub(crate) fn up() -> UnitVector3<f64> {
    Vector3::z_axis()
}

/// The draw that leans by an angle (degrees) toward an azimuth (degrees from +x).
pub(crate) fn leaning(angle_deg: f64, azimuth_deg: f64) -> UnitVector3<f64> {
    let (s, c) = angle_deg.to_radians().sin_cos();
    let (sa, ca) = azimuth_deg.to_radians().sin_cos();
    UnitVector3::new_normalize(Vector3::new(s * ca, s * sa, c))
}

/// Fails unless `measured` is within a share of `expected`.
#[track_caller]
pub(crate) fn assert_share(what: &str, measured: f64, expected: f64, share: f64) {
    let off = (measured - expected).abs() / expected.abs();
    assert!(
        off <= share,
        "{what}: {measured} is off {expected} by {:.3} %, more than {:.3} %",
        off * 100.0,
        share * 100.0
    );
}

/// Fails unless `measured` is within a distance of `expected`.
#[track_caller]
pub(crate) fn assert_near(what: &str, measured: f64, expected: f64, within: f64) {
    let off = (measured - expected).abs();
    assert!(
        off <= within,
        "{what}: {measured} is off {expected} by {off}, more than {within}"
    );
}

/// What a ridge skims off its scan, zone by zone.
pub(crate) fn skimmed(ridge: &Ridge, d: &UnitVector3<f64>) -> Vec<ZoneGlance> {
    ridge
        .skim(d, None, &|| false)
        .unwrap_or_else(|| unreachable!("nothing stops it"))
}

/// Fails unless what was skimmed off the scan is what is read: areas and volumes to the last digits
/// of their sums, the depth to a fifth of the chart's tolerance.
#[track_caller]
pub(crate) fn assert_skimmed(what: &str, skimmed: &ZoneGlance, read: &ZoneReading) {
    let close = 1e-9 * (1.0 + read.area_mm2);
    assert_near(
        what,
        skimmed.undercut_area_mm2,
        read.undercut_area_mm2,
        close,
    );
    assert_near(what, skimmed.blockout_mm3, read.blockout_mm3, close);
    assert_near(what, skimmed.depth_mm, read.undercut_depth_mm, 0.006);
}
