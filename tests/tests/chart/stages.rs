//! What each stage of a chart promises.

use crate::{CASTS, REACH_RAD, Worst, draws, errors, ridge};
use tiltbench_geometry::undercut::ZoneReading;
use tiltbench_solver::chart::{RidgeChart, ZoneFigures};
use tiltbench_solver::control::Quiet;

/// The fine chart's figures of a zone, as if they had been read.
fn as_read(fine: &ZoneFigures, read: &ZoneReading) -> ZoneReading {
    ZoneReading {
        undercut_depth_mm: fine.depth_mm,
        undercut_area_mm2: fine.undercut_area_mm2,
        blockout_mm3: fine.blockout_mm3,
        ..*read
    }
}

/// Every stage is within its own bound of what is read, and no refinement changes a figure by more than
/// the bound of the stage before it.
#[test]
fn refinement_changes_no_figure_by_more_than_a_stage_promises() {
    for kind in CASTS {
        let ridge = ridge(kind);
        let mut stages: Vec<RidgeChart> = Vec::new();
        RidgeChart::read(&ridge, REACH_RAD, &Quiet, &mut |stage| {
            stages.push(stage.clone());
        })
        .expect("not cancelled");
        assert_eq!(stages.len(), 3);
        let mut against_read: Vec<Worst> = stages.iter().map(|_| Worst::default()).collect();
        let mut against_later: Vec<Worst> = stages.iter().map(|_| Worst::default()).collect();
        for d in draws(16) {
            let read = ridge.read(&d);
            let told: Vec<Vec<ZoneFigures>> = stages
                .iter()
                .map(|stage| stage.at(&d).expect("within the reach"))
                .collect();
            for (n, stage) in stages.iter().enumerate() {
                let bound = stage.bound();
                for (zone, read) in read.iter().enumerate() {
                    against_read[n].take(errors(&told[n][zone], read, &bound));
                    for later in &told[n + 1..] {
                        let later = as_read(&later[zone], read);
                        against_later[n].take(errors(&told[n][zone], &later, &bound));
                    }
                }
            }
        }
        for (n, stage) in stages.iter().enumerate() {
            assert!(
                against_read[n].is_within() && against_later[n].is_within(),
                "{kind:?}, {:?}: depth, area, blockout off what is read by {:.2?} of the bound, off \
                 later stages by {:.2?}",
                stage.stage(),
                against_read[n].errors,
                against_later[n].errors
            );
        }
    }
}
