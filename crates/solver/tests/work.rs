//! What a survey takes in readings of the ridge, which is nearly all of it: bounded, and not by luck.
#![expect(clippy::unwrap_used, clippy::expect_used, reason = "helpers of tests")]

mod common;

use common::flat_walls::{FlatWall, FlatWalls};
use common::limits;
use std::collections::BTreeMap;
use std::sync::Mutex;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::{
    DepthAsk, DepthCone, SeatZone, Stop, ZonePreview, ZoneReading,
};
use tiltbench_solver::control::Control;
use tiltbench_solver::{Problem, RidgeReader, Survey, SurveyOptions, survey};

/// Readings by the work they were taken for, in thousandths of a degree of their cone.
type Counts = BTreeMap<(&'static str, i64), usize>;

/// A ridge that counts.
struct Counting {
    ridge: FlatWalls,
    at: Mutex<(&'static str, Counts)>,
}

impl Counting {
    fn count(&self, cone_rad: f64) {
        let mut at = self.at.lock().unwrap();
        let key = (at.0, (cone_rad.to_degrees() * 1000.0).round() as i64);
        *at.1.entry(key).or_default() += 1;
    }
}

impl Control for Counting {
    fn progress(&self, work: &'static str, _done: f64) {
        self.at.lock().unwrap().0 = work;
    }
    fn cancelled(&self) -> bool {
        false
    }
}

impl RidgeReader for Counting {
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
        self.count(ask.cone_rad);
        self.ridge.depths(d, ask, stop)
    }
    fn preview(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<ZonePreview>> {
        self.count(-1.0);
        self.ridge.preview(d, stop)
    }
    fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.count(-2.0);
        self.ridge.read(d)
    }
}

fn wall(height_mm: f64, azimuth_deg: f64, beta_deg: f64, limit_mm: Option<f64>) -> FlatWall {
    FlatWall {
        limit_mm,
        ..FlatWall::undercut(height_mm, azimuth_deg, beta_deg, 1.0)
    }
}

fn work(name: &str, walls: Vec<FlatWall>, tilt_max: f64, opposing_mm: f64) -> (Survey, usize) {
    let ridge = Counting {
        ridge: FlatWalls::new(walls),
        at: Mutex::new(("", BTreeMap::new())),
    };
    let mut limits = limits(tilt_max);
    limits.opposing_undercut_limit_mm = opposing_mm;
    let problem = Problem {
        copings: &[],
        limits,
        ridge: Some(&ridge),
        cleared_mm: &[],
    };
    let answer = survey(problem, &SurveyOptions::default(), &ridge).expect("never cancelled");
    let at = ridge.at.lock().unwrap();
    let total = at.1.values().sum();
    println!("{name}: {total}");
    for ((work, cone), count) in &at.1 {
        println!("   {work} {}: {count}", *cone as f64 / 1000.0);
    }
    drop(at);
    (answer, total)
}

#[test]
fn explore() {
    work("t1", vec![wall(8.8, 90.0, 25.0, Some(1.0))], 15.0, 1.0);
    work("n5", vec![wall(8.0, 90.0, 5.0, Some(0.0))], 15.0, 1.0);
    work("sul", vec![wall(8.0, 90.0, 12.0, Some(2.2))], 15.0, 1.0);
    let mut lingual = wall(8.0, -90.0, 8.0, None);
    lingual.opposes = Some(1);
    let pair = vec![lingual, wall(8.0, 90.0, 8.0, None)];
    work("t2", pair.clone(), 5.0, 1.0);
    work("t2lim22", pair, 5.0, 2.45);
    let five = |limit| {
        let at = |k: u32| wall(6.0, 72.0 * f64::from(k), 3.0 + f64::from(k), Some(limit));
        (0..5).map(at).collect::<Vec<_>>()
    };
    work("five 1.0", five(1.0), 15.0, 1.0);
    work("five 0.2", five(0.2), 15.0, 1.0);
}
