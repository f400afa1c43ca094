//! t
#![allow(missing_docs, clippy::all, clippy::pedantic, clippy::unwrap_used)]
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::Instant;
use tiltbench_case::Case;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::*;
use tiltbench_solver::RidgeReader;
use tiltbench_solver::chart::RidgeChart;
use tiltbench_solver::control::Quiet;
fn ms(t: Instant) -> f64 {
    t.elapsed().as_secs_f64() * 1e3
}
struct Count<'r>(
    &'r Ridge,
    Mutex<BTreeMap<String, (usize, f64, usize, usize)>>,
);
impl RidgeReader for Count<'_> {
    fn zones(&self) -> &[SeatZone] {
        self.0.zones()
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.0.areas_mm2()
    }
    fn depths(
        &self,
        d: &UnitVector3<f64>,
        ask: &DepthAsk<'_>,
        stop: &Stop<'_>,
    ) -> Option<DepthCone> {
        let t = Instant::now();
        let r = self.0.depths(d, ask, stop);
        let n = |c: &DepthCone| {
            c.zones
                .iter()
                .map(|z| z.samples.len() + z.patches.len())
                .sum::<usize>()
        };
        let mut m = self.1.lock().unwrap();
        let e = m
            .entry(format!(
                "cone {:.2} within {:.2}",
                ask.cone_rad.to_degrees(),
                ask.within.map_or(99.0, |w| w.cone_rad.to_degrees())
            ))
            .or_default();
        e.0 += 1;
        e.1 += ms(t);
        e.2 += r.as_ref().map_or(0, n);
        e.3 += ask.within.map_or(0, n);
        r
    }
    fn preview(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<ZonePreview>> {
        let t = Instant::now();
        let r = self.0.preview(d, stop);
        let mut m = self.1.lock().unwrap();
        let e = m.entry("preview".into()).or_default();
        e.0 += 1;
        e.1 += ms(t);
        r
    }
    fn blockouts_mm3(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<f64>> {
        self.0.blockouts_mm3(d, stop)
    }
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.0.read(d)
    }
}
fn main() {
    let n: usize = std::env::args().nth(1).unwrap().parse().unwrap();
    let kind = match std::env::args().nth(2).as_deref() {
        Some("u") => SampleKind::UpperCompromise,
        _ => SampleKind::TwoCanines,
    };
    let demo = sample(kind, n);
    let case = Case::new(&demo.case, Path::new("")).unwrap();
    let margins: Vec<MarginFootprint> = case.copings().iter().map(Into::into).collect();
    let r = Ridge::new(Arc::new(demo.mesh.unwrap()), case.seat_zones(), &margins).unwrap();
    let r = Count(&r, Default::default());
    let t = Instant::now();
    RidgeChart::read(&r, 20f64.to_radians(), &Quiet, &mut |c| {
        println!("stage {:?} {:.0}", c.stage(), ms(t));
        for (k, e) in r.1.lock().unwrap().iter() {
            println!(
                "  {k}: n {} ms {:.1} kept {} of {}",
                e.0,
                e.1 / e.0 as f64,
                e.2 / e.0,
                e.3 / e.0
            );
        }
    })
    .unwrap();
}
