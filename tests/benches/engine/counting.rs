//! A ridge that counts how often it is read.

use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::{
    DepthAsk, DepthCone, Ridge, SeatZone, Stop, ZonePreview, ZoneReading,
};
use tiltbench_solver::RidgeReader;

pub(crate) struct Counting<'r> {
    ridge: &'r Ridge,
    previews: AtomicUsize,
    whole: AtomicUsize,
    within: AtomicUsize,
    exact: AtomicUsize,
}

impl<'r> Counting<'r> {
    pub(crate) fn new(ridge: &'r Ridge) -> Self {
        Self {
            ridge,
            previews: AtomicUsize::new(0),
            whole: AtomicUsize::new(0),
            within: AtomicUsize::new(0),
            exact: AtomicUsize::new(0),
        }
    }

    /// How often it was read since it was last asked.
    pub(crate) fn counted(&self) -> String {
        let [exact, whole, within, previews] =
            [&self.exact, &self.whole, &self.within, &self.previews].map(|n| n.swap(0, Relaxed));
        format!("{exact} exact, {whole} cones, {within} within, {previews} previews")
    }
}

impl RidgeReader for Counting<'_> {
    fn zones(&self) -> &[SeatZone] {
        self.ridge.zones()
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.ridge.areas_mm2()
    }
    fn depths(
        &self,
        d: &UnitVector3<f64>,
        ask: &DepthAsk<'_>,
        stop: &Stop<'_>,
    ) -> Option<DepthCone> {
        let of = if ask.within.is_some() {
            &self.within
        } else {
            &self.whole
        };
        of.fetch_add(1, Relaxed);
        self.ridge.depths(d, ask, stop)
    }
    fn preview(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<ZonePreview>> {
        self.previews.fetch_add(1, Relaxed);
        self.ridge.preview(d, stop)
    }
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.exact.fetch_add(1, Relaxed);
        self.ridge.read(d)
    }
}
