//! The chart of a ridge whose figures have a closed form.

mod common;

use common::flat_walls::{FlatWall, FlatWalls};
use common::{Random, cone, limits};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_geometry::Vector2;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::chart::{CHART_DEPTH_MM, ChartStage, RidgeChart, TiltChart, ZoneFigures};
use tiltbench_solver::control::{Cancelled, Control, Quiet};
use tiltbench_solver::limit::Place;
use tiltbench_solver::sphere::from_chart;
use tiltbench_solver::{Problem, RidgeReader};

const REACH_RAD: f64 = 20.0 * std::f64::consts::PI / 180.0;

/// A labial wall, undercut by 8 degrees, and a lingual one that opposes it.
fn walls() -> FlatWalls {
    let labial = FlatWall::undercut(7.0, 90.0, 8.0, 1.0);
    let mut lingual = FlatWall::undercut(5.0, -90.0, -3.0, 0.5);
    lingual.opposes = Some(0);
    FlatWalls::new(vec![labial, lingual])
}

/// Draws all over the chart, and how far each is tilted.
fn draws(count: usize) -> Vec<tiltbench_geometry::UnitVector3<f64>> {
    let mut random = Random(41);
    (0..count)
        .map(|_| {
            let (angle, radius) = (
                random.between(0.0, std::f64::consts::TAU),
                random.between(0.0, 1.0),
            );
            from_chart(Vector2::new(angle.cos(), angle.sin()) * radius.sqrt() * REACH_RAD)
        })
        .collect()
}

#[test]
fn depths_between_nodes_are_the_closed_form() {
    let walls = walls();
    let mut worst_by_stage = Vec::new();
    let chart = RidgeChart::read(&walls, REACH_RAD, &Quiet, &mut |chart| {
        let draws = draws(200);
        let off = draws.iter().map(|d| {
            let shown = chart.at(d).expect("within the reach");
            let exact = walls.read(d);
            let off =
                |(shown, exact): (&ZoneFigures, &tiltbench_geometry::undercut::ZoneReading)| {
                    (shown.depth_mm - exact.undercut_depth_mm).abs()
                };
            shown.iter().zip(&exact).map(off).fold(0.0, f64::max)
        });
        worst_by_stage.push((chart.stage(), off.fold(0.0, f64::max)));
    })
    .unwrap();
    let stages: Vec<ChartStage> = worst_by_stage.iter().map(|stage| stage.0).collect();
    assert_eq!(
        stages,
        [
            ChartStage::Coarse,
            ChartStage::Fair,
            ChartStage::Corrected,
            ChartStage::Fine
        ]
    );
    // A wall that begins to be undercut bends the depth: off by an eighth of the slope over a
    // cell, `7 mm tan 2.5 degrees / 8`, beside the bend.
    assert!(
        worst_by_stage[3].1 < CHART_DEPTH_MM.min(0.04),
        "{worst_by_stage:?}"
    );
    assert!(
        worst_by_stage[0].1 > worst_by_stage[3].1,
        "{worst_by_stage:?}"
    );
    assert!(
        chart
            .at(&from_chart(Vector2::new(0.0, 1.01 * REACH_RAD)))
            .is_none()
    );
    // The rim itself belongs to the chart.
    for angle in 0..16 {
        let (sin, cos) = (f64::from(angle) * std::f64::consts::FRAC_PI_8).sin_cos();
        assert!(
            chart
                .at(&from_chart(Vector2::new(cos, sin) * REACH_RAD))
                .is_some()
        );
    }
}

#[test]
fn a_chart_tells_acceptable_tilts_from_others() {
    let walls = walls();
    let axis = Tilt::from_degrees(-4.0, 1.0).unwrap().direction();
    let copings = [cone("33", axis, 6.0)];
    let problem = Problem {
        copings: &copings,
        limits: limits(15.0),
        ridge: Some(&walls),
    };
    let ridge = RidgeChart::read(&walls, REACH_RAD, &Quiet, &mut |_| {}).unwrap();
    let chart = TiltChart::new(problem, Some(&ridge));
    let points: Vec<_> = chart.points(REACH_RAD).collect();
    assert!(points.len() >= 2000, "{}", points.len());
    let mut both = [0, 0];
    for point in &points {
        let exact = tiltbench_solver::evaluation::evaluate(
            &problem,
            Tilt::from_direction(&point.direction).unwrap(),
        );
        let near_border = point.ridge_overrun_mm.abs() < CHART_DEPTH_MM;
        if !near_border {
            assert_eq!(point.acceptable, exact.acceptable, "{:?}", exact.tilt);
        }
        assert_eq!(point.acceptable, chart.room_rad(&point.direction) >= -1e-9);
        both[usize::from(point.acceptable)] += 1;
    }
    assert!(both[0] > 100 && both[1] > 20, "{both:?}");
}

#[test]
fn without_a_ridge_only_walls_and_table_show() {
    let copings = [cone("33", Tilt::FLAT.direction(), 6.0)];
    let problem = Problem {
        copings: &copings,
        limits: limits(15.0),
        ridge: None,
    };
    let chart = TiltChart::new(problem, None);
    let at = chart.at(&Tilt::from_degrees(3.0, 0.0).unwrap().direction());
    assert!(at.acceptable && at.zones.is_empty());
    // The cone allows 6 degrees about its axis for the least draft, 4 for the greatest.
    assert!(
        (at.margin_rad.to_degrees() - 1.0).abs() < 1e-6,
        "{}",
        at.margin_rad.to_degrees()
    );
    assert!(chart.worst_depth_mm(&at.direction).is_none());
}

/// Where zones decide, a tilt whose ridge was not read is not acceptable; where they do not, walls and
/// table tell.
#[test]
fn beyond_what_was_read_no_tilt_is_acceptable() {
    let read_rad = 10.0_f64.to_radians();
    let decides = walls();
    let mut wall = FlatWall::undercut(7.0, 90.0, 8.0, 1.0);
    wall.limit_mm = None;
    let only_reported = FlatWalls::new(vec![wall]);
    // Something to judge, that no draw here breaks.
    let mut wide = cone("33", Tilt::FLAT.direction(), 40.0);
    for wall in wide.walls.iter_mut().flatten() {
        wall.draft_max_rad = 90f64.to_radians();
    }
    let copings = [wide];
    let beyond = Tilt::from_degrees(-12.0, 0.0).unwrap().direction();
    let beyond_table = Tilt::from_degrees(-16.0, 0.0).unwrap().direction();
    for (walls, accepts) in [(&decides, false), (&only_reported, true)] {
        let problem = Problem {
            copings: &copings,
            limits: limits(15.0),
            ridge: Some(walls),
        };
        let ridge = RidgeChart::read(walls, read_rad, &Quiet, &mut |_| {}).unwrap();
        let read = TiltChart::new(problem, Some(&ridge));
        let unread = TiltChart::new(problem, None);
        for chart in [&read, &unread] {
            let at = chart.at(&beyond);
            assert_eq!(at.acceptable, accepts);
            assert!(at.zones.is_empty());
            let room = chart.room_rad(&beyond);
            assert_eq!(
                (room.is_nan(), at.ridge_overrun_mm.is_nan()),
                (!accepts, !accepts)
            );
            assert!(accepts == (room >= 0.0), "{room}");
            assert!(!chart.at(&beyond_table).acceptable);
            assert!((chart.room_rad(&beyond_table).to_degrees() + 1.0).abs() < 1e-9);
        }
        let within = Tilt::from_degrees(-8.0, 0.0).unwrap().direction();
        assert!(read.at(&within).acceptable && !read.at(&within).zones.is_empty());
        assert_eq!(unread.at(&within).acceptable, accepts);
    }
}

/// A chart of other zones tells nothing of these.
#[test]
fn a_chart_of_other_zones_does_not_decide() {
    let other = FlatWalls::new(vec![FlatWall::undercut(7.0, 90.0, 8.0, 1.0)]);
    let walls = walls();
    let problem = Problem {
        copings: &[],
        limits: limits(15.0),
        ridge: Some(&walls),
    };
    let ridge = RidgeChart::read(&other, REACH_RAD, &Quiet, &mut |_| {}).unwrap();
    let chart = TiltChart::new(problem, Some(&ridge));
    let flat = Tilt::FLAT.direction();
    assert!(!chart.knows_its_ridge() && !chart.at(&flat).acceptable);
    assert!(chart.room_rad(&flat).is_nan());
    assert!(chart.room_at_rad(Place::Zones([0, 1]), &flat).is_nan());
}

/// Cancels after so many questions.
struct After(AtomicUsize);

impl Control for After {
    fn progress(&self, _work: &'static str, _done: f64) {}
    fn cancelled(&self) -> bool {
        self.0
            .fetch_update(Relaxed, Relaxed, |left| left.checked_sub(1))
            .is_err()
    }
}

#[test]
fn a_cancelled_chart_is_none() {
    let walls = walls();
    for questions in [0, 1, 20, 150, 400] {
        let control = After(AtomicUsize::new(questions));
        let chart = RidgeChart::read(&walls, REACH_RAD, &control, &mut |_| {});
        assert!(matches!(chart, Err(Cancelled)), "{questions}");
    }
}
