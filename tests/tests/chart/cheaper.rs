//! The readings a chart stands on, each against the accurate one.

use crate::{CASTS, Worst, draws, errors, made, ridge};
use tiltbench_solver::chart::{ChartBound, ZoneFigures};
use tiltbench_solver::problem::SKIM_DEPTH_MM;

/// What the chart's corrections stand on: off the scan itself, quickly, is as read. 200 draws in all.
#[test]
fn skimmed_figures_of_the_samples_are_those_read() {
    for kind in CASTS {
        let ridge = made(kind, 12_000);
        for d in draws(40) {
            let skimmed = ridge.skim(&d, None, &|| false).expect("nothing stops it");
            for (skimmed, read) in skimmed.iter().zip(ridge.read(&d)) {
                let off = [
                    (skimmed.undercut_area_mm2 - read.undercut_area_mm2).abs() / 1e-6,
                    (skimmed.blockout_mm3 - read.blockout_mm3).abs() / 1e-6,
                    (skimmed.depth_mm - read.undercut_depth_mm).abs() / SKIM_DEPTH_MM,
                ];
                assert!(off.iter().all(|off| *off < 1.0), "{kind:?} {d:?}: {off:?}");
                let too_deep = skimmed.depth_mm - read.undercut_depth_mm;
                assert!(too_deep < 1e-9, "{kind:?} {d:?}: too deep by {too_deep}");
            }
        }
    }
}

/// What a glance off a cast with fewer facets may be off. It is for comparing draws, and for the tilt under
/// the hand until the accurate reading is there.
const GLANCE: ChartBound = ChartBound {
    depth_mm: 0.1,
    depth_share: 0.0,
    area_share: 0.016,
    blockout_share: 0.05,
    blockout_mm3: 2.5,
};

#[test]
fn glances_of_the_samples_are_near_what_is_read() {
    for kind in CASTS {
        let ridge = ridge(kind);
        let mut worst = Worst::default();
        for d in draws(25) {
            let glanced = ridge.glance(&d, None, &|| false).expect("nothing stops it");
            for (glanced, read) in glanced.iter().zip(ridge.read(&d)) {
                let told = ZoneFigures {
                    depth_mm: glanced.depth_mm,
                    undercut_area_mm2: glanced.undercut_area_mm2,
                    blockout_mm3: glanced.blockout_mm3,
                };
                worst.take(errors(&told, &read, &GLANCE));
            }
        }
        assert!(worst.is_within(), "{kind:?}: {worst:.2?}");
    }
}
