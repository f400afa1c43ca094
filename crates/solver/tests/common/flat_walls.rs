//! A ridge whose zones are flat walls, so that every depth has a closed form.

use tiltbench_geometry::undercut::{SeatZone, Stop, Told, ZoneGlance, ZoneReading};
use tiltbench_geometry::{UnitVector3, Vector3};
use tiltbench_solver::RidgeReader;

/// One flat wall: height along its foot line, and its outward normal.
#[derive(Debug, Clone)]
pub(crate) struct FlatWall {
    pub height_mm: f64,
    pub normal: UnitVector3<f64>,
    pub limit_mm: Option<f64>,
    pub opposes: Option<usize>,
}

impl FlatWall {
    /// A wall that faces `azimuth_deg` (0 toward +x) and is undercut by `beta_deg`.
    pub(crate) fn undercut(height_mm: f64, azimuth_deg: f64, beta_deg: f64, limit_mm: f64) -> Self {
        let (y, x) = azimuth_deg.to_radians().sin_cos();
        let (sin, cos) = beta_deg.to_radians().sin_cos();
        Self {
            height_mm,
            normal: UnitVector3::new_normalize(Vector3::new(cos * x, cos * y, -sin)),
            limit_mm: Some(limit_mm),
            opposes: None,
        }
    }
}

/// Several flat walls. `u = h tan(undercut)` with the height along the draw
/// (Derivation: a surface undercut by an angle recedes by its tangent over a rise of `h`).
#[derive(Debug, Clone)]
pub(crate) struct FlatWalls {
    zones: Vec<SeatZone>,
    walls: Vec<FlatWall>,
}

impl FlatWalls {
    pub(crate) fn new(walls: Vec<FlatWall>) -> Self {
        let zones = walls
            .iter()
            .enumerate()
            .map(|(i, wall)| SeatZone {
                name: format!("zone {i}"),
                outline: vec![[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]],
                z_range: None,
                undercut_limit_mm: wall.limit_mm,
                opposes: wall.opposes,
                blockout: None,
            })
            .collect();
        Self { zones, walls }
    }
}

impl RidgeReader for FlatWalls {
    fn zones(&self) -> &[SeatZone] {
        &self.zones
    }
    fn read_against(&self, d: &UnitVector3<f64>, _: &[SeatZone]) -> Vec<ZoneReading> {
        self.depths_mm(d)
            .into_iter()
            .zip(&self.walls)
            .map(|(depth, wall)| ZoneReading {
                area_mm2: 100.0,
                undercut_depth_mm: depth,
                depth_capped: false,
                undercut_area_mm2: if depth > 0.0 { 100.0 } else { 0.0 },
                blockout_mm3: 0.5 * depth * wall.height_mm * 10.0,
                blockout_owed_mm3: 0.0,
                blockout_open: false,
                area_beyond_mm2: [0.0; 3],
                unknown_area_mm2: 0.0,
                unknown_at: None,
            })
            .collect()
    }
    fn areas_mm2(&self) -> Vec<f64> {
        vec![100.0; self.walls.len()]
    }
    fn glance(
        &self,
        d: &UnitVector3<f64>,
        _told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        let glance = |zone: &ZoneReading| ZoneGlance {
            depth_mm: zone.undercut_depth_mm,
            sector_depths_mm: vec![zone.undercut_depth_mm],
            undercut_area_mm2: zone.undercut_area_mm2,
            blockout_mm3: zone.blockout_mm3,
        };
        (!stop()).then(|| self.read(d).iter().map(glance).collect())
    }
    fn skim(
        &self,
        d: &UnitVector3<f64>,
        _told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        self.glance(d, None, stop)
    }
}

impl FlatWalls {
    pub(crate) fn depths_mm(&self, d: &UnitVector3<f64>) -> Vec<f64> {
        self.walls
            .iter()
            .map(|wall| {
                let undercut = (-wall.normal.dot(d)).clamp(0.0, 0.9).asin();
                wall.height_mm * undercut.tan()
            })
            .collect()
    }
}
