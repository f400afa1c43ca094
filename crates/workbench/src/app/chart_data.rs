//! The chart kept in step with the session: its figure made on a thread of its own, first without
//! the ridge, then with it; and what is read under the pointer.

use super::chart_figure::{figure, reach_deg};
use super::ridge_grid::RidgeGrid;
use crate::chart::{ChartReading, ChartScene, first_limit};
use crate::pointed::Pointed;
use crate::viewport::Freshness;
use crate::words;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, sync_channel};
use tiltbench_case::Case;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{CaseRidge, Session};
use tiltbench_sheet::figures::chart::ChartFigure;
use tiltbench_solver::evaluation::evaluate;
use tiltbench_solver::limit::LimitKind::{OpposingDepth, ZoneDepth};
use tiltbench_solver::limit::{Limit, LimitReading, OverrunScales, Place};
use tiltbench_solver::{Problem, Survey};

/// What a figure is made of. The same if it is the same things.
#[derive(Clone)]
struct Of {
    case: Arc<Case>,
    ridge: Option<Arc<CaseRidge>>,
    survey: Option<Arc<Survey>>,
}

impl Of {
    fn is(&self, other: &Self) -> bool {
        let same = |a: &Option<Arc<CaseRidge>>, b: &Option<Arc<CaseRidge>>| match (a, b) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        let same_survey = match (&self.survey, &other.survey) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        Arc::ptr_eq(&self.case, &other.case) && same(&self.ridge, &other.ridge) && same_survey
    }
}

/// A stage of a figure.
struct Made {
    figure: ChartFigure,
    grid: Option<Arc<RidgeGrid>>,
}

/// Work under way; dropping it stops it.
struct Making {
    of: Of,
    stages: Receiver<Made>,
    stop: Arc<AtomicBool>,
}

impl Drop for Making {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// The chart's scene, and what it was made of.
pub(super) struct ChartData {
    pub(super) scene: ChartScene,
    making: Option<Making>,
    of: Option<Of>,
    grid: Option<Arc<RidgeGrid>>,
    /// The ridge the grid was sketched from, to be used again for another survey.
    sketched: Option<Arc<CaseRidge>>,
}

impl ChartData {
    pub(super) fn new(session: &Session) -> Self {
        Self {
            scene: ChartScene::empty(session.document().file().arch, 15.0),
            making: None,
            of: None,
            grid: None,
            sketched: None,
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
        self.take_stages();
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
            // The ridge waits for the survey: both want all processors, and the answer comes first.
            ridge: derived.ridge.clone().filter(|_| current),
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

    fn take_stages(&mut self) {
        let Some(making) = &self.making else {
            return;
        };
        loop {
            match making.stages.try_recv() {
                Ok(made) => {
                    self.scene.figure = Arc::new(made.figure);
                    if made.grid.is_some() {
                        self.sketched.clone_from(&making.of.ridge);
                    }
                    self.grid = made.grid;
                }
                Err(std::sync::mpsc::TryRecvError::Empty) => return,
                Err(std::sync::mpsc::TryRecvError::Disconnected) => break,
            }
        }
        self.of = Some(making.of.clone());
        self.making = None;
    }

    fn start(&mut self, of: Of, wake: &egui::Context) {
        let (send, stages) = sync_channel(2);
        let stop = Arc::new(AtomicBool::new(false));
        let (work, stopped, wake) = (of.clone(), stop.clone(), wake.clone());
        let same_ridge = match (&of.ridge, &self.sketched) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            _ => false,
        };
        let known = self.grid.clone().filter(|_| same_ridge);
        let started = std::thread::Builder::new()
            .name("chart".into())
            .spawn(move || {
                let first = Made {
                    figure: figure(&work.case, work.survey.as_deref(), known.as_deref()),
                    grid: known.clone(),
                };
                let wanted = send.send(first).is_ok();
                wake.request_repaint();
                if let (Some(ridge), None, true) = (&work.ridge, known, wanted) {
                    let reach = reach_deg(&work.case);
                    if let Some(grid) = RidgeGrid::read(ridge.as_ref(), reach, &stopped) {
                        let figure = figure(&work.case, work.survey.as_deref(), Some(&grid));
                        let grid = Some(Arc::new(grid));
                        // Nobody may want it any more.
                        drop(send.send(Made { figure, grid }));
                    }
                }
                drop(send);
                wake.request_repaint();
            });
        // Without a thread the chart stays as it is until something changes.
        self.making = started.is_ok().then_some(Making { of, stages, stop });
    }

    /// What there is to say at a tilt: walls in closed form, zones from the grid.
    pub(super) fn read(grid: Option<&RidgeGrid>, case: &Case, tilt: &Tilt) -> ChartReading {
        let problem = Problem {
            copings: case.copings(),
            limits: *case.limits(),
            ridge: None,
        };
        let evaluation = evaluate(&problem, *tilt);
        let mut limits: Vec<LimitReading> = evaluation.limits.clone();
        let depths = grid.and_then(|grid| grid.depths_mm(&tilt.direction()));
        limits.extend(zone_limits(case, depths.as_deref().unwrap_or_default()));
        let mut reading = ChartReading {
            lines: vec![words::tilt_in_words(tilt, case.arch())],
            ..ChartReading::default()
        };
        for wall in evaluation.walls.iter().filter(|wall| wall.guides) {
            reading.lines.push(format!(
                "{}: least {} per wall",
                words::place(case, Place::Wall(wall.coping, wall.side)),
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

    pub(super) fn grid(&self) -> Option<&RidgeGrid> {
        self.grid.as_deref()
    }
}

/// The limits of zones and pairs at depths from the grid; none without them.
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
