//! The chart kept in step with the session, and what is read under the pointer.

use crate::chart::{ChartReading, ChartScene, Named, RidgeLines, first_limit};
use crate::pointed::Pointed;
use crate::viewport::Freshness;
use crate::words;
use nalgebra::UnitVector3;
use std::sync::Arc;
use tiltbench_case::Case;
use tiltbench_geometry::sphere::between;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_session::names::Names;
use tiltbench_session::problem::walls_alone;
use tiltbench_session::{self as session, Derived, Session};
use tiltbench_sheet::format::numbers::millimetres;
use tiltbench_sheet::format::words::plain;
use tiltbench_solver::chart::{ChartStage, RidgeChart, ZoneFigures};
use tiltbench_solver::evaluation::{Evaluation, WallReading, evaluate};
use tiltbench_solver::limit::LimitKind::{OpposingDepth, ZoneDepth};
use tiltbench_solver::limit::{Limit, LimitReading, OverrunScales, Place};

/// The chart's scene.
pub(super) struct ChartData {
    pub(super) scene: ChartScene,
    /// The case whose copings and limits the scene has.
    of: Option<Arc<Case>>,
}

impl ChartData {
    pub(super) fn new(session: &Session) -> Self {
        Self {
            scene: ChartScene::empty(session.document().file().arch, 15.0),
            of: None,
        }
    }

    /// Brings the scene up to date.
    pub(super) fn update(&mut self, session: &Session, lit: Option<&Pointed>) {
        let derived = session.derived();
        self.scene.held = session.document().held();
        if self.scene.lit.as_ref() != lit {
            self.scene.lit = lit.cloned();
        }
        let Some(case) = derived.case.clone() else {
            if self.of.take().is_some() {
                self.scene = ChartScene::empty(session.document().file().arch, 15.0);
            }
            return;
        };
        // With nothing on the bench there is nothing to wait for.
        let empty = case.copings().is_empty() && case.seat_zones().is_empty();
        let is_current = |freshness| freshness == session::Freshness::Current;
        let survey = derived.survey.as_ref();
        let figure = derived.chart_figure.as_ref();
        let up_to_date = survey.is_some_and(|survey| !survey.is_stale())
            && figure.is_some_and(|figure| is_current(figure.freshness))
            && (derived.chart.as_ref()).is_none_or(|chart| is_current(chart.freshness));
        self.scene.freshness = if empty || up_to_date {
            Freshness::Fresh
        } else {
            Freshness::Stale
        };
        if let Some(in_hand) = figure {
            self.scene.figure = Arc::clone(&in_hand.figure);
        }
        self.scene.ridge = ridge_lines(derived, &case);
        if !self.of.as_ref().is_some_and(|of| Arc::ptr_eq(of, &case)) {
            self.scene.copings = Arc::new(case.copings().to_vec());
            self.scene.limits = Some(*case.limits());
            self.of = Some(case);
        }
    }

    /// What there is to say at a tilt, seen from the held one: walls in closed form, zones off the
    /// chart of the ridge.
    pub(super) fn read(
        ridge: Option<&RidgeChart>,
        case: &Case,
        [held, tilt]: [&Tilt; 2],
    ) -> ChartReading {
        let problem = walls_alone(case);
        let read_ridge = |draw: &UnitVector3<f64>| ridge.and_then(|ridge| ridge.at(draw));
        let zones = read_ridge(&tilt.direction());
        let mut reading = ChartReading {
            lines: wall_lines(case, &evaluate(&problem, *tilt)),
            ..ChartReading::default()
        };
        reading.lines.extend(zone_lines(case, zones.as_deref()));
        let (from, to) = (held.direction(), tilt.direction());
        let limits_at = |share: f64| {
            let draw = if share < 1.0 {
                between(&from, &to, share)
            } else {
                to
            };
            let there = Tilt::from_direction(&draw).unwrap_or(*tilt);
            let mut limits = evaluate(&problem, there).limits;
            limits.extend(zone_limits(case, &read_ridge(&draw).unwrap_or_default()));
            limits
        };
        let all_met = limits_at(1.0).iter().all(|reading| reading.met);
        let unknown = zones.is_none() && case.zones_decide();
        reading.acceptable = if all_met && unknown {
            None
        } else {
            Some(all_met)
        };
        if let Some(named) = first_limit(limits_at, &OverrunScales::default()) {
            reading.place = words::pointed(case, named.limit.limit.place);
            reading.first = Some(Named {
                limit: words::limit(case, &named.limit),
                breaks: named.breaks,
            });
        }
        reading
    }
}

/// How far what the ridge pays is there. Without zones on a cast that can be read there is nothing to
/// wait for.
fn ridge_lines(derived: &Derived, case: &Case) -> RidgeLines {
    let readable = derived.cast_problem.is_none() && derived.ridge_problem.is_none();
    if case.cast().is_none() || case.seat_zones().is_empty() || !readable {
        return RidgeLines::Whole;
    }
    match &derived.chart {
        None => RidgeLines::Missing,
        Some(chart) if chart.chart.stage() < ChartStage::Fine => RidgeLines::Coarse,
        Some(_) => RidgeLines::Whole,
    }
}

/// Least drafts of finished guiding walls; before waxing, the metal over those of the root.
fn wall_lines(case: &Case, evaluation: &Evaluation) -> Vec<String> {
    let guiding = evaluation.walls.iter().filter(|wall| wall.guides);
    let line = |wall: &WallReading| {
        let place = Names::new(case).place(Place::Wall(wall.coping, wall.side));
        match wall.metal {
            Some(metal) => format!(
                "{place}: metal {} to {} mm",
                millimetres(metal.least_mm),
                millimetres(metal.most_mm)
            ),
            None => format!(
                "{place}: least {} per wall",
                words::angle(wall.draft.least_rad)
            ),
        }
    };
    guiding.map(line).collect()
}

/// Depth and blockout of every zone, and the blockout of all.
fn zone_lines(case: &Case, zones: Option<&[ZoneFigures]>) -> Vec<String> {
    let Some(zones) = zones else {
        return Vec::new();
    };
    let named = case.seat_zones().iter().zip(zones);
    let line = |(zone, figures): (&SeatZone, &ZoneFigures)| {
        format!(
            "{}: undercut about {}, blockout {}",
            plain(&zone.name),
            words::length(figures.depth_mm),
            words::volume(figures.blockout_mm3)
        )
    };
    let mut lines: Vec<String> = named.map(line).collect();
    if zones.len() > 1 {
        let all = zones.iter().map(|zone| zone.blockout_mm3).sum();
        lines.push(format!("blockout of all zones {}", words::volume(all)));
    }
    lines
}

/// The limits of zones and pairs at depths off the chart; none without them.
fn zone_limits(case: &Case, zones: &[ZoneFigures]) -> Vec<LimitReading> {
    // What is left of each once the planned blockout is in place.
    let both = case.seat_zones().iter().zip(zones);
    let depths_mm: Vec<f64> = both
        .map(|(zone, read)| zone.left_of_mm(read.depth_mm))
        .collect();
    let read = |kind, place, bound: f64, value: f64| {
        let limit = Limit { kind, place, bound };
        LimitReading {
            limit,
            value,
            met: limit.is_met(value),
        }
    };
    let zones = case.seat_zones().iter().zip(&depths_mm).enumerate();
    let zones = zones.filter_map(|(index, (zone, depth))| {
        Some(read(
            ZoneDepth,
            Place::Zone(index),
            zone.undercut_limit_mm?,
            *depth,
        ))
    });
    let bound = case.limits().opposing_undercut_limit_mm;
    let pairs = case
        .opposing_pairs()
        .into_iter()
        .filter_map(|(one, other)| {
            let sum = depths_mm.get(one)? + depths_mm.get(other)?;
            Some(read(OpposingDepth, Place::Zones([one, other]), bound, sum))
        });
    zones.chain(pairs).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::Breaks;
    use std::path::Path;

    fn sample(stem: &str) -> Case {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-cases");
        tiltbench_case::read_case(&folder.join(format!("{stem}.json"))).unwrap()
    }

    fn tilt(anterior_deg: f64) -> Tilt {
        Tilt::from_degrees(anterior_deg, 0.0).unwrap()
    }

    #[test]
    fn a_reading_says_whether_the_tilt_is_acceptable_and_the_tilt_once() {
        let case = sample("walls-only");
        let read = |deg| ChartData::read(None, &case, [&Tilt::FLAT, &tilt(deg)]);
        let steep = read(14.5);
        assert_eq!(steep.acceptable, Some(false));
        assert!(
            steep
                .first
                .is_some_and(|first| first.breaks != Breaks::Nowhere)
        );
        assert!(steep.lines.iter().all(|line| line.ends_with("per wall")));
        // Without its ridge a tilt that the walls allow is not called acceptable.
        let case = sample("two-canines");
        let read = |deg| ChartData::read(None, &case, [&Tilt::FLAT, &tilt(deg)]);
        assert_eq!(read(0.0).acceptable, None);
        assert_eq!(read(44.0).acceptable, Some(false));
    }

    #[test]
    fn before_waxing_a_reading_has_the_metal_and_not_the_drafts_of_the_root() {
        let case = sample("before-waxing");
        let reading = ChartData::read(None, &case, [&Tilt::FLAT, &Tilt::FLAT]);
        let walls = reading.lines.iter().filter(|line| line.contains("mesial"));
        for line in walls.clone() {
            assert!(
                line.contains("metal ") && !line.contains("per wall"),
                "{line}"
            );
        }
        assert!(walls.count() > 0);
    }

    #[test]
    fn a_ridge_that_cannot_be_read_is_not_waited_for() {
        let mut derived = Derived::default();
        let (ridge, walls) = (sample("two-canines"), sample("walls-only"));
        assert_eq!(ridge_lines(&derived, &walls), RidgeLines::Whole);
        assert_eq!(ridge_lines(&derived, &ridge), RidgeLines::Missing);
        derived.cast_problem = Some("no such file".into());
        assert_eq!(ridge_lines(&derived, &ridge), RidgeLines::Whole);
    }
}
