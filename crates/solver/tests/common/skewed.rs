//! Flat walls whose cheaper readings are off by what a scan may make them.

use super::flat_walls::FlatWalls;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::{SeatZone, Stop, Told, ZoneGlance, ZoneReading};
use tiltbench_solver::RidgeReader;

/// What is added to every depth at a draw, mm.
pub(crate) type Added = Box<dyn Fn(&UnitVector3<f64>) -> f64 + Sync>;

/// Flat walls, read in three ways that do not agree.
pub(crate) struct Skewed {
    pub walls: FlatWalls,
    pub to_glance: Added,
    pub to_skim: Added,
    pub to_read: Added,
}

impl Skewed {
    fn cheaply(&self, d: &UnitVector3<f64>, added: &Added) -> Vec<ZoneGlance> {
        let glance = |(zone, depth): (ZoneReading, f64)| ZoneGlance {
            depth_mm: depth + added(d),
            sector_depths_mm: vec![depth + added(d)],
            undercut_area_mm2: zone.undercut_area_mm2,
            blockout_mm3: zone.blockout_mm3,
        };
        let zones = self.walls.read(d).into_iter().zip(self.walls.depths_mm(d));
        zones.map(glance).collect()
    }
}

impl RidgeReader for Skewed {
    fn zones(&self) -> &[SeatZone] {
        self.walls.zones()
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.walls.areas_mm2()
    }
    fn glance(&self, d: &UnitVector3<f64>, _: Told<'_>, _: &Stop<'_>) -> Option<Vec<ZoneGlance>> {
        Some(self.cheaply(d, &self.to_glance))
    }
    fn skim(&self, d: &UnitVector3<f64>, _: Told<'_>, _: &Stop<'_>) -> Option<Vec<ZoneGlance>> {
        Some(self.cheaply(d, &self.to_skim))
    }
    fn read_against(&self, d: &UnitVector3<f64>, zones: &[SeatZone]) -> Vec<ZoneReading> {
        let mut zones = self.walls.read_against(d, zones);
        for zone in &mut zones {
            zone.undercut_depth_mm += (self.to_read)(d);
        }
        zones
    }
}
