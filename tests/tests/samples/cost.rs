//! What a survey costs in readings of the scan, which is nearly all of it.

use crate::{read, thinned};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_case::demo::SampleKind;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::{
    DepthAsk, DepthCone, Ridge, SeatZone, Stop, ZonePreview, ZoneReading,
};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::{Problem, RidgeReader, SurveyOptions, survey};

/// A ridge that counts how often it is read as a whole: everything about a draw, depths over a tile of
/// draws, previews. Depths within what a wider reading left open cost little and are not counted.
struct Counting<'r> {
    ridge: &'r Ridge,
    tiles: AtomicUsize,
    previews: AtomicUsize,
    readings: AtomicUsize,
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
        if ask.within.is_none() {
            self.tiles.fetch_add(1, Relaxed);
        }
        self.ridge.depths(d, ask, stop)
    }
    fn preview(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<ZonePreview>> {
        self.previews.fetch_add(1, Relaxed);
        self.ridge.preview(d, stop)
    }
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.readings.fetch_add(1, Relaxed);
        self.ridge.read(d)
    }
}

/// Tiles, previews and accurate readings of a sample's survey.
fn readings_of(kind: SampleKind) -> [usize; 3] {
    let (file, cast) = thinned(kind);
    let (case, ridge) = read(&file, cast);
    let counting = Counting {
        ridge: &ridge,
        tiles: AtomicUsize::new(0),
        previews: AtomicUsize::new(0),
        readings: AtomicUsize::new(0),
    };
    let problem = Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: Some(&counting),
        cleared_mm: &[],
    };
    survey(problem, &SurveyOptions::default(), &Quiet).expect("never cancelled");
    [&counting.tiles, &counting.previews, &counting.readings].map(|n| n.load(Relaxed))
}

/// Tiles of 12 degrees that some draw up to 15 degrees, and 30 more for the least bad tilt, lies in.
const TILES_AT_MOST: usize = 72;

/// Previews: those of a grid of 3 degrees, and of a walk from the best.
const PREVIEWS_AT_MOST: usize = 350;

/// Accurate readings: one for each tilt that is reported, and one for each set of changes that is tried.
const ACCURATE_AT_MOST: usize = 75;

#[test]
fn a_survey_reads_the_whole_scan_a_few_hundred_times_at_most() {
    for kind in [
        SampleKind::TwoCanines,
        SampleKind::BeforeWaxing,
        SampleKind::UpperCompromise,
        SampleKind::ThreeNoCommonDraw,
        SampleKind::RidgeOnly,
    ] {
        let [tiles, previews, readings] = readings_of(kind);
        assert!(
            tiles <= TILES_AT_MOST && previews <= PREVIEWS_AT_MOST && readings <= ACCURATE_AT_MOST,
            "{kind:?}: {tiles} tiles, {previews} previews, {readings} accurate readings"
        );
    }
}
