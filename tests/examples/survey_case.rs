use std::sync::Arc;
use std::time::Instant;
use tiltbench_case::read_case;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::{Problem, RidgeReader, SurveyOptions, survey};
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
                let read = cast.load().unwrap();
                let margins: Vec<MarginFootprint> = case.copings().iter().map(Into::into).collect();
                Ridge::new(Arc::new(read.mesh), case.seat_zones(), &margins).unwrap()
            })
            .filter(|_| !case.seat_zones().is_empty());
        let t1 = Instant::now();
        let problem = Problem {
            cleared_mm: &[],
            copings: case.copings(),
            limits: *case.limits(),
            ridge: ridge.as_ref().map(|r| r as &dyn RidgeReader),
        };
        let s = survey(problem, &SurveyOptions::default(), &Quiet).unwrap();
        let t2 = Instant::now();
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
