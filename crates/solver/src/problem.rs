//! What is asked: copings, ridge and limits.

use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::undercut::{Ridge, SeatZone, Stop, Told, ZoneGlance, ZoneReading};

/// mm. What a skimmed depth may fall short of the accurate one; it is never deeper. Separates draws
/// that a skim decides from those that have to be read accurately.
/// Tuned: 0.012. Smaller leaves a broken limit unseen (`chart`, `open_scans`: skimmed figures against
/// those read), larger reads accurately what is plain.
pub const SKIM_DEPTH_MM: f64 = 0.012;

/// Something that reads seat zones for a draw, in three ways, each dearer and closer than the last.
///
/// All answers are in the order of the zones. `stop` is asked now and then, from any thread, whether
/// to give up; the answer then is `None`.
pub trait RidgeReader: Sync {
    /// The zones.
    fn zones(&self) -> &[SeatZone];
    /// Area of each zone, mm²; the same for every draw.
    fn areas_mm2(&self) -> Vec<f64>;
    /// Depths by sector, undercut area and blockout, as well as they can be had cheaply.
    fn glance(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>>;
    /// The same figures off the whole scan, depths within [`SKIM_DEPTH_MM`] and never too deep. With
    /// nothing told, sectors are not told apart.
    fn skim(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>>;
    /// All figures of every zone, accurately: the only ones that are reported. What is owed is counted by what
    /// may stay of other zones, of the same places and in the same order.
    fn read_against(&self, d: &UnitVector3<f64>, zones: &[SeatZone]) -> Vec<ZoneReading>;
    /// The same by its own zones.
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.read_against(d, self.zones())
    }
}

impl RidgeReader for Ridge {
    fn zones(&self) -> &[SeatZone] {
        self.zones()
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.areas_mm2()
    }
    fn glance(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        self.glance(d, told, stop)
    }
    fn skim(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        self.skim(d, told, stop)
    }
    fn read_against(&self, d: &UnitVector3<f64>, zones: &[SeatZone]) -> Vec<ZoneReading> {
        self.read_against(d, zones)
    }
}

/// A ridge with other zones laid over it, of the same places and in the same order: what may stay of them is
/// another matter, what is there is not.
pub struct LaidOver<'a> {
    /// The ridge.
    pub ridge: &'a dyn RidgeReader,
    /// The zones.
    pub zones: Vec<SeatZone>,
}

impl std::fmt::Debug for LaidOver<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("LaidOver")
            .field("zones", &self.zones)
            .finish_non_exhaustive()
    }
}

impl RidgeReader for LaidOver<'_> {
    fn zones(&self) -> &[SeatZone] {
        &self.zones
    }
    fn read_against(&self, d: &UnitVector3<f64>, zones: &[SeatZone]) -> Vec<ZoneReading> {
        self.ridge.read_against(d, zones)
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.ridge.areas_mm2()
    }
    fn glance(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        self.ridge.glance(d, told, stop)
    }
    fn skim(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        self.ridge.skim(d, told, stop)
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
