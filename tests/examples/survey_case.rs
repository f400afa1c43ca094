use std::sync::Arc;
use std::time::Instant;
use tiltbench_case::read_case;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::{Problem, RidgeReader, SurveyOptions, survey};
struct Count<'r>(
    &'r Ridge,
    std::sync::Mutex<(usize, std::collections::BTreeMap<i64, (usize, usize, f64)>)>,
);
impl RidgeReader for Count<'_> {
    fn zones(&self) -> &[tiltbench_geometry::undercut::SeatZone] {
        self.0.zones()
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.0.areas_mm2()
    }
    fn depths(
        &self,
        d: &tiltbench_geometry::UnitVector3<f64>,
        ask: &tiltbench_geometry::undercut::DepthAsk<'_>,
        stop: &tiltbench_geometry::undercut::Stop<'_>,
    ) -> Option<tiltbench_geometry::undercut::DepthCone> {
        let t = Instant::now();
        let r = self.0.depths(d, ask, stop);
        let dt = t.elapsed().as_secs_f64();
        *OTHER.lock().unwrap().entry("depths").or_default() += dt;
        *OTHER.lock().unwrap().entry("n depths").or_default() += 1.0;
        let kept: usize = r.as_ref().map_or(0, |r| {
            r.zones
                .iter()
                .map(|z| z.samples.len() + z.patches.len())
                .sum()
        });
        let mut m = self.1.lock().unwrap();
        m.0 += 1;
        let e =
            m.1.entry(-((ask.cone_rad.to_degrees() * 1000.0) as i64))
                .or_default();
        e.0 += 1;
        e.1 += kept;
        e.2 += dt;
        if m.0 % 200 == 0 {
            println!("{} readings", m.0);
            for (k, (n, kept, t)) in &m.1 {
                println!(
                    "   cone {:.3}: n {n} kept {:.0} ms {:.2}",
                    -*k as f64 / 1000.0,
                    *kept as f64 / *n as f64,
                    t / *n as f64 * 1e3
                );
            }
        }
        r
    }
    fn preview(
        &self,
        d: &tiltbench_geometry::UnitVector3<f64>,
        stop: &tiltbench_geometry::undercut::Stop<'_>,
    ) -> Option<Vec<tiltbench_geometry::undercut::ZonePreview>> {
        self.0.preview(d, stop)
    }
    fn blockouts_mm3(
        &self,
        d: &tiltbench_geometry::UnitVector3<f64>,
        stop: &tiltbench_geometry::undercut::Stop<'_>,
    ) -> Option<Vec<f64>> {
        let t = Instant::now();
        let r = self.0.blockouts_mm3(d, stop);
        *OTHER.lock().unwrap().entry("blockouts").or_default() += t.elapsed().as_secs_f64();
        *OTHER.lock().unwrap().entry("n blockouts").or_default() += 1.0;
        r
    }
    fn read(
        &self,
        d: &tiltbench_geometry::UnitVector3<f64>,
    ) -> Vec<tiltbench_geometry::undercut::ZoneReading> {
        let t = Instant::now();
        let r = self.0.read(d);
        *OTHER.lock().unwrap().entry("reads").or_default() += t.elapsed().as_secs_f64();
        *OTHER.lock().unwrap().entry("n reads").or_default() += 1.0;
        r
    }
}
static OTHER: std::sync::Mutex<std::collections::BTreeMap<&str, f64>> =
    std::sync::Mutex::new(std::collections::BTreeMap::new());
fn main() {
    for path in std::env::args().skip(1) {
        let t0 = Instant::now();
        let case = match read_case(std::path::Path::new(&path)) {
            Ok(c) => c,
            Err(e) => {
                println!("{path}: {e:?}");
                continue;
            }
        };
        let ridge = case
            .cast()
            .map(|cast| {
                let read = case.load_cast().unwrap().unwrap();
                let margins: Vec<MarginFootprint> = case.copings().iter().map(Into::into).collect();
                Ridge::new(Arc::new(read.mesh), case.seat_zones(), &margins).unwrap()
            })
            .filter(|_| !case.seat_zones().is_empty());
        let ridge = ridge.as_ref().map(|r| Count(r, Default::default()));
        let t1 = Instant::now();
        let problem = Problem {
            cleared_mm: &[],
            copings: case.copings(),
            limits: *case.limits(),
            ridge: ridge.as_ref().map(|r| r as &dyn RidgeReader),
        };
        let s = survey(problem, &SurveyOptions::default(), &Quiet).unwrap();
        let t2 = Instant::now();
        println!("{:?}", OTHER.lock().unwrap());
        println!(
            "{path}: load {:.2} survey {:.2}",
            (t1 - t0).as_secs_f64(),
            (t2 - t1).as_secs_f64()
        );
        if let Some(r) = &s.recommended {
            println!(
                "   rec {:?} allowance {:.3}..{:.3} gov {:?}",
                tilt(&r.evaluation),
                r.allowance_rad.to_degrees(),
                r.allowance_upper_rad.to_degrees(),
                r.governing
                    .iter()
                    .map(|g| (g.limit.kind, g.limit.place))
                    .collect::<Vec<_>>()
            );
        }
        if let Some(l) = &s.least_bad {
            println!(
                "   least bad {:?} worst {:.3}",
                tilt(&l.evaluation),
                l.worst_overrun
            );
        }
        for a in &s.alternatives {
            println!(
                "   {:?} {:?} {:.3}..{:.3} acc {}",
                a.name,
                tilt(&a.evaluation),
                a.allowance_rad.to_degrees(),
                a.allowance_upper_rad.to_degrees(),
                a.evaluation.acceptable
            );
        }
        for c in &s.changes {
            println!(
                "   change {:?} -> {:?} {:.3}",
                c.changes,
                tilt(&c.result),
                c.allowance_rad.to_degrees()
            );
        }
    }
}
fn tilt(e: &tiltbench_solver::evaluation::Evaluation) -> (f64, f64) {
    (
        e.tilt.anterior_rad().to_degrees(),
        e.tilt.lateral_rad().to_degrees(),
    )
}
