//! The border of a limit that is pointed at.
//!
//! Those of walls are read here, off closed forms: the same figures the solver searches with. Those of
//! zones come with the figure, since they take the ridge's chart.

use super::scene::ChartScene;
use crate::pointed::Pointed;
use std::f64::consts::TAU;
use tiltbench_geometry::coping::Side;
use tiltbench_sheet::figures::chart::{ChartField, ChartPoint, ZoneLimit};
use tiltbench_solver::Problem;
use tiltbench_solver::chart::TiltChart;
use tiltbench_solver::limit::Place;

/// Degrees between readings. Tuned: walls' borders are so nearly straight that half of it would move
/// no line by 0.01 degree; twice as much would visibly cut corners.
const STEP_DEG: f64 = 0.5;

/// What a zone's border is of.
pub(super) fn pointed_at(limit: &ZoneLimit) -> Option<Pointed> {
    match &limit.zones[..] {
        [one] => Some(Pointed::Zone(one.clone())),
        [one, other] => Some(Pointed::Zones(one.clone(), other.clone())),
        _ => None,
    }
}

/// The border of what is pointed at, as lines on the chart: of a wall or a zone where it is at its
/// limits, of a coping that of what it allows, of the table the circle of the greatest tilt. None for
/// what does not decide.
pub fn border_of(pointed: &Pointed, scene: &ChartScene) -> Vec<Vec<ChartPoint>> {
    match pointed {
        Pointed::Wall { coping, side } => wall(scene, coping, *side),
        Pointed::Coping(id) => {
            let of = scene.figure.copings.iter().filter(|of| of.name == *id);
            of.map(|of| of.ring.iter().chain(of.ring.first()).copied().collect())
                .collect()
        }
        Pointed::TiltLimit => {
            let Some(radius) = scene.figure.tilt_max_deg else {
                return Vec::new();
            };
            let ring = (0..=120).map(|step| {
                let (sin, cos) = (TAU * f64::from(step) / 120.0).sin_cos();
                ChartPoint {
                    right_deg: radius * cos,
                    up_deg: radius * sin,
                }
            });
            vec![ring.collect()]
        }
        Pointed::Zone(_) | Pointed::Zones(..) => {
            let limits = scene.figure.zone_limits.iter();
            let of = limits.filter(|limit| pointed_at(limit).as_ref() == Some(pointed));
            of.flat_map(|limit| limit.lines.clone()).collect()
        }
    }
}

fn wall(scene: &ChartScene, coping: &str, side: Side) -> Vec<Vec<ChartPoint>> {
    let index = scene.copings.iter().position(|c| c.id == coping);
    let (Some(index), Some(limits)) = (index, scene.limits) else {
        return Vec::new();
    };
    let problem = Problem {
        copings: &scene.copings,
        limits,
        ridge: None,
        cleared_mm: &[],
    };
    let chart = TiltChart::new(problem, None);
    let place = Place::Wall(index, side);
    let reach_deg = scene.figure.reach_deg;
    ChartField::read(reach_deg, STEP_DEG, |draw| chart.room_at_rad(place, draw)).lines_at(0.0)
}
