//! The chart kept in step with the session: its figure made on a thread of its own, as soon as there is
//! another case, survey or stage of the ridge's chart; and what is read under the pointer.

use super::workbench::paint_soon;
use crate::chart::{ChartReading, ChartScene, first_limit};
use crate::pointed::Pointed;
use crate::viewport::Freshness;
use crate::words;
use nalgebra::UnitVector3;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, sync_channel};
use tiltbench_case::Case;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::chart_figure::{ChartExtent, chart_figure};
use tiltbench_session::names::Names;
use tiltbench_session::{CaseRidge, Session};
use tiltbench_sheet::figures::chart::ChartFigure;
use tiltbench_solver::chart::{RidgeChart, TiltChart};
use tiltbench_solver::evaluation::evaluate;
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

/// Degrees shown beyond the limit of tilt, so that what is just beyond it is seen.
const BEYOND_LIMIT_DEG: f64 = 3.0;
/// Degrees. A chart is never smaller.
const LEAST_REACH_DEG: f64 = 8.0;
/// Degrees between the grid points that lines are drawn from.
const STEP_DEG: f64 = 0.5;

/// Total tilt at the rim of a case's chart.
fn reach_deg(case: &Case) -> f64 {
    let limit = case.limits().tilt_max_rad.to_degrees();
    (limit + BEYOND_LIMIT_DEG).clamp(LEAST_REACH_DEG, 45.0)
}

/// Depths of all zones at a draw, off the chart of the ridge; `None` beyond its reach.
fn depths_mm(ridge: &RidgeChart, draw: &UnitVector3<f64>) -> Option<Vec<f64>> {
    let zones = ridge.at(draw)?;
    Some(zones.iter().map(|zone| zone.depth_mm).collect())
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
        self.scene.freshness = if empty || (current && self.making.is_none()) {
            Freshness::Fresh
        } else {
            Freshness::Stale
        };
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

    /// What there is to say at a tilt: walls in closed form, zones off the chart of the ridge.
    pub(super) fn read(ridge: Option<&RidgeChart>, case: &Case, tilt: &Tilt) -> ChartReading {
        let problem = Problem {
            copings: case.copings(),
            limits: *case.limits(),
            ridge: None,
        };
        let evaluation = evaluate(&problem, *tilt);
        let mut limits: Vec<LimitReading> = evaluation.limits.clone();
        let depths = ridge.and_then(|ridge| depths_mm(ridge, &tilt.direction()));
        limits.extend(zone_limits(case, depths.as_deref().unwrap_or_default()));
        let mut reading = ChartReading {
            lines: vec![words::tilt_in_words(tilt, case.arch())],
            ..ChartReading::default()
        };
        for wall in evaluation.walls.iter().filter(|wall| wall.guides) {
            reading.lines.push(format!(
                "{}: least {} per wall",
                Names::new(case).place(Place::Wall(wall.coping, wall.side)),
                words::angle(wall.draft.least_rad)
            ));
        }
        for (zone, depth) in case.seat_zones().iter().zip(depths.iter().flatten()) {
            let depth = words::length(*depth);
            reading
                .lines
                .push(format!("{}: undercut about {depth}", zone.name));
        }
        if let Some(first) = first_limit(&limits, &OverrunScales::default()) {
            reading.first = Some(words::limit(case, first));
            reading.first_is_broken = !first.met;
            reading.place = words::pointed(case, first.limit.place);
        }
        reading
    }
}

/// The limits of zones and pairs at depths off the chart; none without them.
fn zone_limits(case: &Case, depths_mm: &[f64]) -> Vec<LimitReading> {
    let read = |kind, place, bound: f64, value: f64| {
        let limit = Limit { kind, place, bound };
        LimitReading {
            limit,
            value,
            met: limit.is_met(value),
        }
    };
    let zones = case.seat_zones().iter().zip(depths_mm).enumerate();
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
