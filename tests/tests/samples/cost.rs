//! What a survey costs in readings of the scan, which is nearly all of it.

use crate::{read, thinned};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_case::demo::SampleKind;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::{Ridge, SeatZone, Stop, Told, ZoneGlance, ZoneReading};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::{Problem, RidgeReader, SurveyOptions, survey};

/// A ridge that counts how often it is read.
struct Counting<'r> {
    ridge: &'r Ridge,
    glances: AtomicUsize,
    skims: AtomicUsize,
    readings: AtomicUsize,
}

impl RidgeReader for Counting<'_> {
    fn zones(&self) -> &[SeatZone] {
        self.ridge.zones()
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.ridge.areas_mm2()
    }
    fn glance(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        self.glances.fetch_add(1, Relaxed);
        self.ridge.glance(d, told, stop)
    }
    fn skim(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        self.skims.fetch_add(1, Relaxed);
        self.ridge.skim(d, told, stop)
    }
    fn read_against(&self, d: &UnitVector3<f64>, zones: &[SeatZone]) -> Vec<ZoneReading> {
        self.readings.fetch_add(1, Relaxed);
        self.ridge.read_against(d, zones)
    }
}

/// Glances, skims and accurate readings of a sample's survey.
fn readings_of(kind: SampleKind) -> [usize; 3] {
    let (file, cast) = thinned(kind);
    let (case, ridge) = read(&file, cast);
    let counting = Counting {
        ridge: &ridge,
        glances: AtomicUsize::new(0),
        skims: AtomicUsize::new(0),
        readings: AtomicUsize::new(0),
    };
    let problem = Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: Some(&counting),
    };
    survey(problem, &SurveyOptions::default(), &Quiet).expect("never cancelled");
    [&counting.glances, &counting.skims, &counting.readings].map(|n| n.load(Relaxed))
}

/// Readings of a survey at the most, of any kind: what the dearest sample takes, and a quarter.
const READINGS_AT_MOST: usize = 600;

/// Those that are accurate.
const ACCURATE_AT_MOST: usize = 100;

#[test]
fn a_survey_reads_the_scan_a_few_hundred_times_at_most() {
    for kind in [
        SampleKind::TwoCanines,
        SampleKind::BeforeWaxing,
        SampleKind::UpperCompromise,
        SampleKind::ThreeNoCommonDraw,
        SampleKind::RidgeOnly,
    ] {
        let [glances, skims, readings] = readings_of(kind);
        let all = glances + skims + readings;
        assert!(
            all <= READINGS_AT_MOST && readings <= ACCURATE_AT_MOST,
            "{kind:?}: {glances} glances, {skims} skims, {readings} accurate readings"
        );
    }
}
