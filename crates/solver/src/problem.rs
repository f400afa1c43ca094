//! What is asked: copings, ridge and limits.

use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::undercut::{
    DepthAsk, DepthCone, Ridge, SeatZone, Stop, ZonePreview, ZoneReading,
};

/// Something that reads seat zones for a draw.
///
/// All answers are in the order of the zones. `stop` is asked now and then, from any thread, whether
/// to give up; the answer then is `None`.
pub trait RidgeReader: Sync {
    /// The zones.
    fn zones(&self) -> &[SeatZone];
    /// Area of each zone, mm²; the same for every draw.
    fn areas_mm2(&self) -> Vec<f64>;
    /// The depths of all zones, and what bounds them over a cone of draws; `None` if stopped.
    fn depths(
        &self,
        d: &UnitVector3<f64>,
        ask: &DepthAsk<'_>,
        stop: &Stop<'_>,
    ) -> Option<DepthCone>;
    /// What a draw costs on each zone, quickly: depths as read, areas and blockout estimated; `None` if
    /// stopped.
    fn preview(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<ZonePreview>>;
    /// The blockout of each zone, mm³, as read but for what holes of the scan leave unknown; `None` if
    /// stopped.
    fn blockouts_mm3(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<f64>>;
    /// All figures of every zone, accurately: the only ones that are reported.
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading>;
}

impl RidgeReader for Ridge {
    fn zones(&self) -> &[SeatZone] {
        self.zones()
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.areas_mm2()
    }
    fn depths(
        &self,
        d: &UnitVector3<f64>,
        ask: &DepthAsk<'_>,
        stop: &Stop<'_>,
    ) -> Option<DepthCone> {
        self.depths(d, ask, stop)
    }
    fn preview(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<ZonePreview>> {
        self.preview(d, stop)
    }
    fn blockouts_mm3(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<f64>> {
        self.blockouts_mm3(d, stop)
    }
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.read(d)
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
    /// What is taken out of the undercut of each zone, by wax or by relief, mm: a limit compares the
    /// depth that is left. Zones that are not listed are left as they are.
    pub cleared_mm: &'a [f64],
}

impl std::fmt::Debug for Problem<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Problem")
            .field("copings", &self.copings)
            .field("limits", &self.limits)
            .field("zones", &self.zones())
            .field("cleared_mm", &self.cleared_mm)
            .finish()
    }
}

impl<'a> Problem<'a> {
    /// The seat zones; none without a ridge.
    pub fn zones(&self) -> &'a [SeatZone] {
        self.ridge.map_or(&[], RidgeReader::zones)
    }

    /// What is taken out of the undercut of a zone, mm.
    pub(crate) fn cleared_mm(&self, zone: usize) -> f64 {
        self.cleared_mm.get(zone).copied().unwrap_or(0.0)
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
