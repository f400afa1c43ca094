//! What is asked: copings, ridge and limits.

use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::undercut::{Ridge, SeatZone, ZoneReading, ZoneSketch};

/// Something that reads seat zones for a draw.
pub trait RidgeReader: Sync {
    /// The zones, in the order of the readings.
    fn zones(&self) -> &[SeatZone];
    /// All figures of every zone.
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading>;
    /// Only the undercut depths, mm; the same values as [`RidgeReader::read`] gives.
    fn depths_mm(&self, d: &UnitVector3<f64>) -> Vec<f64>;
    /// Depth and blockout as well as they can be had cheaply: for looking over many draws.
    fn sketch(&self, d: &UnitVector3<f64>) -> Vec<ZoneSketch>;
}

impl RidgeReader for Ridge {
    fn zones(&self) -> &[SeatZone] {
        self.zones()
    }
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.read(d)
    }
    fn depths_mm(&self, d: &UnitVector3<f64>) -> Vec<f64> {
        self.read_depths(d)
            .iter()
            .map(|reading| reading.depth_mm)
            .collect()
    }
    fn sketch(&self, d: &UnitVector3<f64>) -> Vec<ZoneSketch> {
        self.sketch(d)
    }
}

/// A case as the solver sees it.
#[derive(Clone, Copy)]
pub struct Problem<'a> {
    /// The copings, already checked: axes unit, walls complete.
    pub copings: &'a [Coping],
    /// Limits of the case as a whole.
    pub limits: Limits,
    /// The ridge, if the case has a cast with seat zones.
    pub ridge: Option<&'a dyn RidgeReader>,
}

impl std::fmt::Debug for Problem<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Problem")
            .field("copings", &self.copings)
            .field("limits", &self.limits)
            .field("zones", &self.zones())
            .finish()
    }
}

impl<'a> Problem<'a> {
    /// The seat zones; none without a ridge.
    pub fn zones(&self) -> &'a [SeatZone] {
        self.ridge.map_or(&[], RidgeReader::zones)
    }

    /// Pairs of zones that oppose each other, each once, lower index first, in order.
    pub fn opposing_zones(&self) -> Vec<[usize; 2]> {
        let mut pairs: Vec<[usize; 2]> = self
            .zones()
            .iter()
            .enumerate()
            .filter_map(|(i, zone)| zone.opposes.map(|j| [i.min(j), i.max(j)]))
            .collect();
        pairs.sort_unstable();
        pairs.dedup();
        pairs
    }
}
