//! How many readings a chart takes, and that each is asked for as a reader may want it.

use crate::{CASTS, REACH_RAD, ridge};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::{
    DepthAsk, DepthCone, Ridge, SeatZone, Stop, ZonePreview, ZoneReading,
};
use tiltbench_solver::RidgeReader;
use tiltbench_solver::chart::RidgeChart;
use tiltbench_solver::control::Quiet;
use tiltbench_solver::sphere::angle_between;

/// A ridge that counts how it is read.
struct Counting<'r> {
    ridge: &'r Ridge,
    previews: AtomicUsize,
    /// Over a cone, of everything.
    whole: AtomicUsize,
    /// Within a cone that was read before.
    within: AtomicUsize,
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
        match ask.within {
            None => self.whole.fetch_add(1, Relaxed),
            Some(cone) => {
                let apart = angle_between(&cone.direction, d);
                assert!(
                    apart + ask.cone_rad <= cone.cone_rad,
                    "a cone beyond its cone"
                );
                self.within.fetch_add(1, Relaxed)
            }
        };
        self.ridge.depths(d, ask, stop)
    }
    fn preview(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<ZonePreview>> {
        self.previews.fetch_add(1, Relaxed);
        self.ridge.preview(d, stop)
    }
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.ridge.read(d)
    }
}

#[test]
fn a_chart_takes_few_readings() {
    for kind in CASTS {
        let ridge = ridge(kind);
        let counting = Counting {
            ridge: &ridge,
            previews: AtomicUsize::new(0),
            whole: AtomicUsize::new(0),
            within: AtomicUsize::new(0),
        };
        RidgeChart::read(&counting, REACH_RAD, &Quiet, &mut |_| {}).expect("not cancelled");
        let of = [&counting.previews, &counting.whole, &counting.within].map(|n| n.load(Relaxed));
        let [previews, whole, within] = of;
        println!("{kind:?}: {previews} previews, {whole} whole readings, {within} within another");
        // The cells that are read as a whole are those of the second level.
        assert!(
            previews <= 220 && whole <= 16 && within <= 4_000,
            "{kind:?}: {of:?}"
        );
    }
}
