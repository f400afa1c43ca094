//! t
#![allow(missing_docs, clippy::all, clippy::pedantic, clippy::unwrap_used)]
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;
use tiltbench_case::Case;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{DepthAsk, MarginFootprint, Ridge};
use tiltbench_solver::chart::RidgeChart;
use tiltbench_solver::control::Quiet;
fn ms(t: Instant) -> f64 {
    t.elapsed().as_secs_f64() * 1e3
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
    let t = Instant::now();
    let r = Ridge::new(Arc::new(demo.mesh.unwrap()), case.seat_zones(), &margins).unwrap();
    println!("new {:.1}", ms(t));
    let d = Tilt::from_degrees(-6.0, 2.0).unwrap().direction();
    if std::env::args().nth(2).as_deref() == Some("w") {
        let ask = DepthAsk {
            cone_rad: 3.54f64.to_radians(),
            floor_mm: &|_, _| 0.0,
            ceilings_mm: &[],
            within: None,
        };
        let c = r.depths(&d, &ask, &|| false).unwrap();
        let ask = DepthAsk {
            cone_rad: 1.77f64.to_radians(),
            floor_mm: &|_, _| 0.0,
            ceilings_mm: &[],
            within: Some(&c),
        };
        let c = r.depths(&d, &ask, &|| false).unwrap();
        println!(
            "kept {}",
            c.zones
                .iter()
                .map(|z| z.samples.len() + z.patches.len())
                .sum::<usize>()
        );
        let t = Instant::now();
        for i in 0..200 {
            let d = Tilt::from_degrees(-7.0 + 0.01 * i as f64, 2.5)
                .unwrap()
                .direction();
            let ask = DepthAsk {
                cone_rad: 0.0,
                floor_mm: &|_, _| 0.0,
                ceilings_mm: &[],
                within: Some(&c),
            };
            r.depths(&d, &ask, &|| false).unwrap();
        }
        println!("200 nodes {:.1}", ms(t));
        return;
    }
    if std::env::args().nth(2).as_deref() == Some("z") {
        let t = Instant::now();
        for i in 0..40 {
            let d = Tilt::from_degrees(-6.0 + 0.3 * i as f64, 2.0)
                .unwrap()
                .direction();
            let ask = DepthAsk {
                cone_rad: 0.0,
                floor_mm: &|_, _| 0.0,
                ceilings_mm: &[],
                within: None,
            };
            r.depths(&d, &ask, &|| false).unwrap();
        }
        println!("40 depths {:.1}", ms(t));
        return;
    }
    if std::env::args().nth(2).as_deref() == Some("p") {
        let t = Instant::now();
        for i in 0..40 {
            let d = Tilt::from_degrees(-6.0 + 0.3 * i as f64, 2.0)
                .unwrap()
                .direction();
            r.preview(&d, &|| false).unwrap();
        }
        println!("40 previews {:.1}", ms(t));
        return;
    }
    for _ in 0..3 {
        let t = Instant::now();
        let p = r.preview(&d, &|| false).unwrap();
        println!(
            "preview {:.1} {:?}",
            ms(t),
            p.iter()
                .map(|p| (p.depth_mm, p.undercut_area_mm2, p.blockout_mm3))
                .collect::<Vec<_>>()
        );
        let t = Instant::now();
        let _ = r.blockouts_mm3(&d, &|| false);
        println!("blockouts {:.1}", ms(t));
        let t = Instant::now();
        let _ = r.read(&d);
        println!("read {:.1}", ms(t));
        for cone in [0.0_f64, 0.3, 1.0, 5.0] {
            let ask = DepthAsk {
                cone_rad: cone.to_radians(),
                floor_mm: &|_, _| 0.0,
                ceilings_mm: &[],
                within: None,
            };
            let t = Instant::now();
            let c = r.depths(&d, &ask, &|| false).unwrap();
            println!(
                "depths cone {cone} {:.1} {:?} kept {}",
                ms(t),
                c.depths_mm(),
                c.zones
                    .iter()
                    .map(|z| z.samples.len() + z.patches.len())
                    .sum::<usize>()
            );
        }
    }
    if std::env::args().nth(3).is_some() {
        let t = Instant::now();
        RidgeChart::read(&r, 20f64.to_radians(), &Quiet, &mut |c| {
            println!("stage {:?} {:.0}", c.stage(), ms(t))
        })
        .unwrap();
        println!("chart {:.0}", ms(t));
    }
}
