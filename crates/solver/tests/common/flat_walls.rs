//! A ridge whose zones are flat walls, so that every depth has a closed form.

use tiltbench_geometry::undercut::{
    DepthAsk, DepthCone, PointCone, SampleCone, SeatZone, Standing, Stop, ZoneCone, ZonePreview,
    ZoneReading,
};
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

/// Sine of the undercut beyond which a wall gets no deeper.
const SINE_AT_MOST: f64 = 0.9;

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
            })
            .collect();
        Self { zones, walls }
    }
}

impl RidgeReader for FlatWalls {
    fn zones(&self) -> &[SeatZone] {
        &self.zones
    }
    fn depths(
        &self,
        d: &UnitVector3<f64>,
        ask: &DepthAsk<'_>,
        stop: &Stop<'_>,
    ) -> Option<DepthCone> {
        // `h tan x` has slope `h / cos² x`, the most at the far side of the cone, and `x <= k sin x`.
        let zone = |(i, depth_mm): (usize, f64)| {
            let wall = &self.walls[i];
            let undercut = (-wall.normal.dot(d)).clamp(0.0, SINE_AT_MOST).asin();
            let farthest = (undercut + ask.cone_rad).min(SINE_AT_MOST.asin());
            let bent = ask.cone_rad.max(1e-9) / ask.cone_rad.max(1e-9).sin();
            let slope_mm = wall.height_mm / farthest.cos().powi(2) * bent;
            let point = PointCone {
                depth_mm,
                rise_mm: slope_mm,
                fall_mm: slope_mm,
                free_rad: (self.walls[i].normal.dot(d)).clamp(0.0, 1.0).asin(),
            };
            let sample = SampleCone {
                sample: 0,
                area_mm2: 100.0,
                standing: Standing::Known,
                corners: [point; 3],
            };
            ZoneCone::of_samples(vec![sample], 0.0)
        };
        (!stop()).then(|| DepthCone {
            direction: *d,
            cone_rad: ask.cone_rad,
            zones: self
                .depths_mm(d)
                .into_iter()
                .enumerate()
                .map(zone)
                .collect(),
        })
    }
    fn preview(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<ZonePreview>> {
        let preview = |zone: ZoneReading| ZonePreview {
            depth_mm: zone.undercut_depth_mm,
            depth_capped: false,
            undercut_area_mm2: zone.undercut_area_mm2,
            blockout_mm3: zone.blockout_mm3,
        };
        (!stop()).then(|| self.read(d).into_iter().map(preview).collect())
    }
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.depths_mm(d)
            .into_iter()
            .zip(&self.walls)
            .map(|(depth, wall)| ZoneReading {
                area_mm2: 100.0,
                undercut_depth_mm: depth,
                depth_capped: false,
                undercut_area_mm2: if depth > 0.0 { 100.0 } else { 0.0 },
                blockout_mm3: 0.5 * depth * wall.height_mm * 10.0,
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
}

impl FlatWalls {
    pub(crate) fn depths_mm(&self, d: &UnitVector3<f64>) -> Vec<f64> {
        self.walls
            .iter()
            .map(|wall| {
                let undercut = (-wall.normal.dot(d)).clamp(0.0, SINE_AT_MOST).asin();
                wall.height_mm * undercut.tan()
            })
            .collect()
    }
}
