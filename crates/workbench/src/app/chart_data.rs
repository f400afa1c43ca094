//! The chart kept in step with the session: its figure made on a thread of its own, as soon as there is
//! another case, survey or stage of the ridge's chart; and what is read under the pointer.

use super::workbench::paint_soon;
use crate::chart::{ChartReading, ChartScene, Named, RidgeLines, first_limit};
use crate::pointed::Pointed;
use crate::viewport::Freshness;
use crate::words;
use nalgebra::UnitVector3;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, sync_channel};
use tiltbench_case::Case;
use tiltbench_geometry::sphere::between;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_session::chart_figure::{ChartExtent, chart_figure};
use tiltbench_session::names::Names;
use tiltbench_session::{self as session, CaseRidge, Derived, Session};
use tiltbench_sheet::figures::chart::ChartFigure;
use tiltbench_sheet::format::numbers::millimetres;
use tiltbench_sheet::format::words::plain;
use tiltbench_solver::chart::{ChartStage, RidgeChart, TiltChart, ZoneFigures};
use tiltbench_solver::evaluation::{Evaluation, WallReading, evaluate};
use tiltbench_solver::limit::LimitKind::{OpposingDepth, ZoneDepth};
use tiltbench_solver::limit::{Limit, LimitReading, OverrunScales, Place};
use tiltbench_solver::{Problem, RidgeReader, Survey};

/// What a figure is made of. The same if it is the same things.
#[derive(Clone)]
struct Of {
    case: Arc<Case>,
    ridge: Option<Arc<RidgeChart>>,
    /// Says which limits the ridge has.
    zones: Option<Arc<CaseRidge>>,
    survey: Option<Arc<Survey>>,
}

impl Of {
    fn is(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.case, &other.case)
            && same(self.ridge.as_ref(), other.ridge.as_ref())
            && same(self.zones.as_ref(), other.zones.as_ref())
            && same(self.survey.as_ref(), other.survey.as_ref())
    }

    fn figure(&self) -> ChartFigure {
        let problem = Problem {
            copings: self.case.copings(),
            limits: *self.case.limits(),
            ridge: self.zones.as_deref().map(|zones| zones as &dyn RidgeReader),
            cleared_mm: &[],
        };
        let chart = TiltChart::new(problem, self.ridge.as_deref());
        let extent = ChartExtent {
            reach_deg: reach_deg(&self.case),
            step_deg: STEP_DEG,
        };
        let survey = self.survey.as_deref();
        chart_figure(&self.case, survey, &chart, extent)
    }
}

fn same<T>(a: Option<&Arc<T>>, b: Option<&Arc<T>>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => Arc::ptr_eq(a, b),
        (None, None) => true,
        _ => false,
    }
}

/// Degrees shown beyond the limit of tilt, so that its circle is seen to be one.
const BEYOND_LIMIT_DEG: f64 = 1.0;
/// Degrees. A chart is never smaller.
const LEAST_REACH_DEG: f64 = 8.0;
/// Degrees between the grid points that lines are drawn from.
const STEP_DEG: f64 = 0.5;

/// Total tilt at the rim of a case's chart.
fn reach_deg(case: &Case) -> f64 {
    let limit = case.limits().tilt_max_rad.to_degrees();
    (limit + BEYOND_LIMIT_DEG).clamp(LEAST_REACH_DEG, 45.0)
}

/// A figure under way; whoever drops it no longer wants it.
struct Making {
    of: Of,
    figure: Receiver<ChartFigure>,
}

/// The chart's scene, and what it was made of.
pub(super) struct ChartData {
    pub(super) scene: ChartScene,
    making: Option<Making>,
    of: Option<Of>,
}

impl ChartData {
    pub(super) fn new(session: &Session) -> Self {
        Self {
            scene: ChartScene::empty(session.document().file().arch, 15.0),
            making: None,
            of: None,
        }
    }

    /// Whether a figure is still being made.
    pub(super) fn is_making(&self) -> bool {
        self.making.is_some()
    }

    /// Brings the scene up to date. `wake` is called when a stage is ready.
    pub(super) fn update(
        &mut self,
        session: &Session,
        lit: Option<&Pointed>,
        wake: &egui::Context,
    ) {
        self.take_figure();
        let derived = session.derived();
        self.scene.held = session.document().held();
        if self.scene.lit.as_ref() != lit {
            self.scene.lit = lit.cloned();
        }
        let Some(case) = derived.case.clone() else {
            if self.of.take().is_some() || self.making.take().is_some() {
                self.scene = ChartScene::empty(session.document().file().arch, 15.0);
            }
            return;
        };
        let survey = derived.survey.as_ref();
        let current = survey.is_some_and(|survey| !survey.is_stale());
        // With nothing on the bench there is nothing to wait for.
        let empty = case.copings().is_empty() && case.seat_zones().is_empty();
        let old_ridge = derived
            .chart
            .as_ref()
            .is_some_and(|chart| chart.freshness == session::Freshness::Stale);
        let up_to_date = current && self.making.is_none() && !old_ridge;
        self.scene.freshness = if empty || up_to_date {
            Freshness::Fresh
        } else {
            Freshness::Stale
        };
        self.scene.ridge = ridge_lines(derived, &case);
        let now = Of {
            case,
            ridge: derived.chart.as_ref().map(|in_hand| in_hand.chart.clone()),
            zones: derived.ridge.clone(),
            survey: survey
                .filter(|_| current)
                .map(|survey| survey.value.clone()),
        };
        let asked = self
            .making
            .as_ref()
            .map(|making| &making.of)
            .or(self.of.as_ref());
        if asked.is_some_and(|of| of.is(&now)) {
            return;
        }
        self.scene.copings = Arc::new(now.case.copings().to_vec());
        self.scene.limits = Some(*now.case.limits());
        self.start(now, wake);
    }

    fn take_figure(&mut self) {
        let Some(making) = &self.making else {
            return;
        };
        match making.figure.try_recv() {
            Ok(figure) => self.scene.figure = Arc::new(figure),
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => {}
        }
        self.of = Some(making.of.clone());
        self.making = None;
    }

    fn start(&mut self, of: Of, wake: &egui::Context) {
        let (send, made) = sync_channel(1);
        let (work, wake) = (of.clone(), wake.clone());
        let started = std::thread::Builder::new()
            .name("chart".into())
            .spawn(move || {
                // Nobody may want it any more.
                drop(send.send(work.figure()));
                paint_soon(&wake);
            });
        // Without a thread the chart stays as it is until something changes.
        self.making = started.is_ok().then_some(Making { of, figure: made });
    }

    /// What there is to say at a tilt, seen from the held one: walls in closed form, zones off the
    /// chart of the ridge.
    pub(super) fn read(
        ridge: Option<&RidgeChart>,
        case: &Case,
        [held, tilt]: [&Tilt; 2],
    ) -> ChartReading {
        let problem = Problem {
            copings: case.copings(),
            limits: *case.limits(),
            ridge: None,
            cleared_mm: &[],
        };
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
        Some(chart) if chart.chart.stage() < ChartStage::Bounded => RidgeLines::Coarse,
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
    let depths_mm: Vec<f64> = zones.iter().map(|zone| zone.depth_mm).collect();
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
