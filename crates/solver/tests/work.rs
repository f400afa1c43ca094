//! What a survey takes in readings of the ridge, which is nearly all of it: bounded, and not by luck.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::cast_possible_truncation,
    reason = "helpers of tests, which print what they count"
)]

mod common;

use common::flat_walls::{FlatWall, FlatWalls};
use common::limits;
use std::collections::BTreeMap;
use std::sync::Mutex;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::{DepthAsk, DepthCone, SeatZone, Stop, ZonePreview, ZoneReading};
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

/// The answer, and what it took.
fn work(name: &str, walls: Vec<FlatWall>, tilt_max_deg: f64, opposing_mm: f64) -> (Survey, usize) {
    let ridge = Counting {
        ridge: FlatWalls::new(walls),
        at: Mutex::new(("", BTreeMap::new())),
    };
    let mut limits = limits(tilt_max_deg);
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

/// Two zones of 8 degrees that face each other: what a tilt takes from one it gives to the other.
fn facing() -> Vec<FlatWall> {
    let mut lingual = wall(8.0, -90.0, 8.0, None);
    lingual.opposes = Some(1);
    vec![lingual, wall(8.0, 90.0, 8.0, None)]
}

fn around(limit_mm: f64) -> Vec<FlatWall> {
    let at = |k: u32| {
        let azimuth_deg = 72.0 * f64::from(k);
        wall(6.0, azimuth_deg, 3.0 + f64::from(k), Some(limit_mm))
    };
    (0..5).map(at).collect()
}

#[test]
fn where_the_ridge_alone_decides_a_few_thousand_readings_tell() {
    let flank = |beta_deg, limit_mm| vec![wall(8.0, 90.0, beta_deg, Some(limit_mm))];
    for (name, walls, tilt_max_deg, opposing_mm, at_most) in [
        ("steep", flank(25.0, 1.0), 15.0, 1.0, 4000),
        ("of nothing", flank(5.0, 0.0), 15.0, 1.0, 1200),
        ("a flank", flank(12.0, 2.2), 15.0, 1.0, 2000),
        ("facing, too deep", facing(), 5.0, 1.0, 3500),
        ("facing", facing(), 5.0, 2.45, 500),
        ("around", around(1.0), 15.0, 1.0, 1700),
        ("around, too deep", around(0.2), 15.0, 1.0, 6000),
    ] {
        let (_, readings) = work(name, walls, tilt_max_deg, opposing_mm);
        assert!(readings <= at_most, "{name}: {readings} readings");
    }
}

/// Where a whole field of tilts misses by nearly the same, the search ends at its bound, and says what it may
/// have missed. Derivation: flat is `2 * 8 tan 8 - 1` over, in scales of half a millimetre.
#[test]
fn of_a_field_of_ties_what_is_left_is_said() {
    let (answer, _) = work("facing, too deep", facing(), 5.0, 1.0);
    let least = answer.least_bad.expect("none is acceptable");
    let flat = (2.0 * 8.0 * 8f64.to_radians().tan() - 1.0) / 0.5;
    let (found, bound) = (least.worst_overrun, least.worst_at_least);
    assert!(found <= flat + 1e-9, "{found} where flat has {flat}");
    assert!(bound <= found && bound > found - 0.6, "{bound} for {found}");
}
