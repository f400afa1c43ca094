//! From solids to scans, zones and draws.

use crate::curtain::with_curtain;
use crate::definition::{CAP_MM, Definition};
use std::sync::Arc;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{Ridge, SeatZone, UndercutSample};
use tiltbench_geometry::{UnitVector3, Vector3};
use tiltbench_testkit::solids::Solid;

pub(crate) fn mesh(solid: Solid) -> Mesh {
    Mesh {
        vertices: solid.vertices,
        triangles: solid.triangles,
    }
}

/// A zone between two corners in plan.
pub(crate) fn zone(low: [f64; 2], high: [f64; 2], z_range: Option<[f64; 2]>) -> SeatZone {
    SeatZone {
        name: "zone".into(),
        outline: vec![low, [high[0], low[1]], high, [low[0], high[1]]],
        z_range,
        undercut_limit_mm: Some(1.0),
        opposes: None,
    }
}

pub(crate) fn ridge(scan: &Mesh, zones: &[SeatZone]) -> Ridge {
    Ridge::new(Arc::new(scan.clone()), zones, &[]).unwrap_or_else(|error| panic!("{error}"))
}

/// The draw that leans by an angle toward +x.
pub(crate) fn leaning(lean_rad: f64) -> UnitVector3<f64> {
    let (sin, cos) = lean_rad.sin_cos();
    UnitVector3::new_normalize(Vector3::new(sin, 0.0, cos))
}

/// The draw that leans by an angle toward an azimuth, both in degrees.
pub(crate) fn toward(lean_deg: f64, azimuth_deg: f64) -> UnitVector3<f64> {
    let (sin, cos) = lean_deg.to_radians().sin_cos();
    let (y, x) = azimuth_deg.to_radians().sin_cos();
    UnitVector3::new_normalize(Vector3::new(sin * x, sin * y, cos))
}

/// A sample's depth; 0 where it is not undercut.
pub(crate) fn depth_of(sample: &UndercutSample) -> f64 {
    sample.depth_mm.unwrap_or(0.0)
}

/// A scan beside its definition.
pub(crate) struct Defined {
    scan: Mesh,
    whole: Definition,
}

impl Defined {
    pub(crate) fn new(scan: &Mesh, d: &UnitVector3<f64>) -> Self {
        Self::of(scan, scan, d)
    }

    /// Points of a scan, but the air of another one.
    pub(crate) fn of(scan: &Mesh, air: &Mesh, d: &UnitVector3<f64>) -> Self {
        Self {
            scan: scan.clone(),
            whole: Definition::new(&with_curtain(air), d),
        }
    }

    /// The depth of a sample by the definition.
    pub(crate) fn depth(&self, sample: &UndercutSample) -> f64 {
        let [a, b, c] = self.scan.corners(sample.facet as usize);
        let depth = self.whole.depth(&sample.position, &(b - a).cross(&(c - a)));
        assert!((0.0..=CAP_MM).contains(&depth));
        depth
    }
}

/// Every so many of some samples, about `count` in all.
pub(crate) fn some<T>(all: &[T], count: usize) -> impl Iterator<Item = &T> {
    all.iter().step_by(all.len().div_ceil(count).max(1))
}
