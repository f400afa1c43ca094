//! What follows from a change: what is computed at once, and what has become stale.
//!
//! At once: whether the document is a case, where the cast lies, all walls. By jobs: the ridge, when
//! cast, outlines or margins changed; the zones at the held tilt, coarse and then exact; the survey,
//! when anything it depends on changed. What those depend on is compared by value, so that a title
//! or a kept tilt asks for nothing.

use super::Session;
use super::remembered::{Asked, Remembered};
use super::results::unfit_in_words;
use crate::chart_figure::FigureOf;
use crate::derived::{CastInHand, Figure, Freshness, WallFigures};
use crate::document::State;
use crate::jobs::{FiguresFor, JobKind, cut_zones};
use crate::problem::walls_alone;
use crate::ridge::{CaseRidge, ChartKey, CutRidge, RidgeKey};
use crate::scan::{LoadedScan, ScanSource};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use tiltbench_case::Cast;
use tiltbench_case::schema::v1::CaseFile;
use tiltbench_case::{Case, CaseErrors};
use tiltbench_geometry::undercut::MarginFootprint;
use tiltbench_solver::RidgeReader;
use tiltbench_solver::evaluation::evaluate;

/// What the figures there are were made from.
#[derive(Debug, Default)]
pub(super) struct Numbers {
    /// Number of the present problem: grows when anything the solver looks at changes.
    pub(super) problem: u64,
    /// The state that was last checked.
    checked: Option<State>,
    /// The scan of the cast in the hand, as it was read, and what it was placed by.
    placed: Option<(Arc<LoadedScan>, Cast)>,
    /// What the ridge was cut from, and the ridge or the reason there is none.
    cut: Option<(RidgeKey, Result<Arc<CutRidge>, String>)>,
    /// What a ridge is being cut from.
    cutting: Option<RidgeKey>,
    /// What figures at the held tilt were last asked for.
    pub(super) coarse: Option<FiguresFor>,
    pub(super) exact: Option<FiguresFor>,
    pub(super) surveyed: Option<u64>,
    pub(super) remembered: Remembered,
    /// What a chart was last asked for, and what the one in the hand was read from.
    pub(super) charting: Option<ChartKey>,
    pub(super) charted: Option<ChartKey>,
    /// What a figure of the chart was last asked for, and what the one in the hand shows.
    pub(super) drawing: Option<FigureOf>,
    pub(super) drawn: Option<FigureOf>,
    /// Scans that cannot be had, and why.
    pub(super) given_up: BTreeMap<ScanSource, String>,
}

impl Session {
    /// Brings everything that follows from the document up to it.
    pub(super) fn refresh(&mut self) {
        let changed = self.check();
        self.place_cast();
        let ridge_changed = self.lay_ridge();
        if changed || ridge_changed {
            self.numbers.problem += 1;
        }
        self.read_walls_now();
        self.mark_stale();
        self.ask_for_figures();
        self.ask_for_chart();
        self.ask_for_survey();
        self.ask_for_chart_figure();
        self.derived.jobs = self.runner.jobs();
    }

    /// What the figures of this moment belong to.
    pub(super) fn now(&self) -> FiguresFor {
        FiguresFor {
            problem: self.numbers.problem,
            tilt: self.document.held(),
        }
    }

    /// Checks the document, if anything but tilts changed; says whether the solver would see it.
    fn check(&mut self) -> bool {
        let state = &self.document.state;
        if let Some(checked) = &self.numbers.checked
            && same_but_for_tilts(checked, state)
        {
            return false;
        }
        self.numbers.checked = Some(state.clone());
        let draft = self.document.draft(None);
        self.derived.unreadable = None;
        self.derived.problems.clear();
        match draft.check(self.document.folder()) {
            Ok(case) => {
                let before = self.derived.case.replace(Arc::new(case));
                let after = self.derived.case.as_ref();
                self.derived.remarks = after.map_or_else(Vec::new, |c| c.remarks().to_vec());
                !before
                    .zip(after)
                    .is_some_and(|(before, after)| same_problem(&before, after))
            }
            Err(CaseErrors::Problems { listed, .. }) => {
                self.derived.problems = listed;
                false
            }
            Err(other) => {
                self.derived.unreadable = Some(other.to_string());
                false
            }
        }
    }

    /// Brings the scan into the cast frame, if scan, unit or frame changed.
    fn place_cast(&mut self) {
        self.want_cast();
        let source = self.document.state.scan.clone();
        let has_cast = self.document.state.file.cast.is_some();
        let (Some(source), true) = (source, has_cast) else {
            self.derived.cast = None;
            self.derived.cast_problem = None;
            self.numbers.placed = None;
            return;
        };
        let Some(scan) = self.scans.get(&source).cloned() else {
            self.derived.cast = None;
            self.derived.cast_problem = self.numbers.given_up.get(&source).cloned();
            self.numbers.placed = None;
            return;
        };
        self.derived.cast_problem = None;
        // The cast in the hand is the whole one: what is left out is left out of the ridge. A frame with a
        // problem leaves it where it was.
        let Ok(Some(by)) = Cast::of_file(&self.document.state.file, Path::new("")) else {
            return;
        };
        // A file that was read again is another scan, though it has the same source.
        let placed_before = self.numbers.placed.as_ref();
        if placed_before.is_some_and(|(read, before)| Arc::ptr_eq(read, &scan) && *before == by) {
            return;
        }
        let mesh = Arc::new(scan.surface(&by));
        self.numbers.placed = Some((Arc::clone(&scan), by));
        self.derived.cast = Some(CastInHand { scan, mesh });
    }

    /// Lays the case's zones over the ridge, and asks for a new one if it was cut from something
    /// else. Says whether the ridge is another one.
    fn lay_ridge(&mut self) -> bool {
        let unfit = self.unfit_cast();
        let Some(key) = self.ridge_key().filter(|_| unfit.is_none()) else {
            self.numbers.cutting = None;
            self.runner.cancel(JobKind::CutZones);
            self.derived.ridge_problem = unfit;
            self.derived.ridge_remarks.clear();
            return self.derived.ridge.take().is_some();
        };
        let had = self.derived.ridge.is_some();
        match &self.numbers.cut {
            Some((cut_from, cut)) if *cut_from == key => {
                let is_called = cut_from.is_called(&key);
                if is_called {
                    self.numbers.cutting = None;
                }
                self.derived.ridge_problem = cut.as_ref().err().cloned();
                let of = self.derived.case.as_ref().zip(cut.as_ref().ok());
                self.derived.ridge_remarks =
                    of.map_or_else(Vec::new, |(case, cut)| cut.remarks(case));
                // What follows from a ridge is told apart by which one it is: the same one stays.
                let laid = self.derived.ridge.take();
                let laid = laid.filter(|laid| {
                    let of_it = cut.as_ref().is_ok_and(|cut| laid.is_of(cut));
                    of_it && laid.zones() == key.zones
                });
                self.derived.ridge = laid.or_else(|| {
                    let cut = Arc::clone(cut.as_ref().ok()?);
                    Some(Arc::new(CaseRidge::new(cut, key.zones.clone())))
                });
                if !is_called {
                    // What is said of the zones has their old names in it, but every figure holds.
                    self.cut(key);
                }
                had != self.derived.ridge.is_some()
            }
            _ => {
                if self.cut(key) {
                    self.derived.ridge_problem = None;
                }
                self.derived.ridge = None;
                had
            }
        }
    }

    /// Lets a ridge be cut, unless that is being done; says whether it was not.
    fn cut(&mut self, key: RidgeKey) -> bool {
        let cutting = self.numbers.cutting.as_ref();
        if cutting.is_some_and(|cutting| *cutting == key && cutting.is_called(&key)) {
            return false;
        }
        self.submit(JobKind::CutZones, cut_zones(key.clone()));
        self.numbers.cutting = Some(key);
        true
    }

    /// Why the scan of the cast is not read, if it is not.
    fn unfit_cast(&self) -> Option<String> {
        let file = self.document.state.file.cast.as_ref()?;
        let unit = file.scan_unit.unwrap_or_default();
        let unfit = self.derived.cast.as_ref()?.scan.unfit(unit)?;
        Some(unfit_in_words(&unfit))
    }

    pub(super) fn ridge_key(&self) -> Option<RidgeKey> {
        let case = self.derived.case.as_ref()?;
        Some(RidgeKey {
            mesh: Arc::clone(&self.derived.cast.as_ref()?.mesh),
            leave_out: case
                .parts_left_out()
                .into_iter()
                .map(|(_, part)| part)
                .collect(),
            zones: case.seat_zones().to_vec(),
            margins: case.copings().iter().map(MarginFootprint::from).collect(),
        })
    }

    /// Takes up a ridge that was cut.
    pub(super) fn take_up_ridge(&mut self, key: RidgeKey, cut: Result<Arc<CutRidge>, String>) {
        let judged = cut.and_then(|cut| match cut.too_small(&key) {
            Some(small) => Err(small.to_string()),
            None => Ok(cut),
        });
        self.numbers.cut = Some((key, judged));
        self.refresh();
    }

    /// All walls at the held tilt, in closed form.
    fn read_walls_now(&mut self) {
        let tilt = self.document.held();
        self.derived.walls = self.derived.case.as_ref().map(|case| {
            let evaluation = evaluate(&walls_alone(case), tilt);
            WallFigures {
                tilt,
                walls: evaluation.walls,
                opposing: evaluation.opposing,
                limits: evaluation.limits,
            }
        });
    }

    fn mark_stale(&mut self) {
        self.mark_chart();
        let now = self.now();
        let is_case = self.derived.is_case();
        let fresh = |made_for: FiguresFor, same: bool| {
            let current = is_case && made_for.problem == now.problem && same;
            if current {
                Freshness::Current
            } else {
                Freshness::Stale
            }
        };
        let derived = &mut self.derived;
        let ridge_gone = derived.cast.is_none();
        mark(
            &mut derived.zones,
            |f| fresh(f, f.tilt == now.tilt),
            ridge_gone,
        );
        mark(
            &mut derived.marks,
            |f| fresh(f, f.tilt == now.tilt),
            ridge_gone,
        );
        mark(
            &mut derived.allowance,
            |f| fresh(f, f.tilt == now.tilt),
            false,
        );
        mark(
            &mut derived.tilt_remarks,
            |f| fresh(f, f.tilt == now.tilt),
            false,
        );
        mark(&mut derived.survey, |f| fresh(f, true), false);
    }

    /// Forgets what was made for another document. Numbers of problems go on, so that nothing made
    /// for that one is taken for something of this.
    pub(super) fn forget_numbers(&mut self) {
        self.numbers = Numbers {
            problem: self.numbers.problem + 1,
            ..Numbers::default()
        };
    }

    /// Lets zones be cut again whose cutting was cancelled.
    pub(super) fn forget_cutting(&mut self) {
        if !self.runner.is_wanted(JobKind::CutZones) {
            self.numbers.cutting = None;
        }
    }

    /// Whether figures were made for the problem as it is.
    pub(super) fn is_of_now(&self, made_for: FiguresFor) -> bool {
        self.derived.is_case() && made_for.problem == self.numbers.problem
    }

    /// Whether figures were made for this very moment.
    pub(super) fn is_of_this_tilt(&self, made_for: FiguresFor) -> bool {
        self.derived.is_case() && made_for == self.now()
    }
}

fn mark<T>(
    figure: &mut Option<Figure<T>>,
    freshness: impl Fn(FiguresFor) -> Freshness,
    gone: bool,
) {
    if gone {
        *figure = None;
    }
    if let Some(figure) = figure {
        figure.freshness = freshness(figure.made_for);
    }
}

/// Whether two states differ in nothing but the tilts they hold.
fn same_but_for_tilts(a: &State, b: &State) -> bool {
    if Arc::ptr_eq(&a.file, &b.file) {
        return a.scan == b.scan;
    }
    let without = |state: &State| {
        let mut file = CaseFile::clone(&state.file);
        file.held_tilts = None;
        file
    };
    a.scan == b.scan && without(a) == without(b)
}

/// Whether the solver would see the same.
fn same_problem(a: &Case, b: &Case) -> bool {
    Asked::of(a, None) == Asked::of(b, None)
}
