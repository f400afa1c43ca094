//! What follows from the document: never authored, never saved, never undone.
//!
//! Figures carry what they were made for. When the document moves on they are kept, marked stale,
//! until newer ones come: a ledger that goes blank tells less than one that says it is behind.

use crate::jobs::{FiguresFor, JobState};
use crate::ridge::{CaseRidge, Marks};
use crate::scan::LoadedScan;
use std::sync::Arc;
use tiltbench_case::{Case, Problem, Remark};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::ZoneReading;
use tiltbench_sheet::figures::chart::ChartFigure;
use tiltbench_solver::Survey;
use tiltbench_solver::chart::RidgeChart;
use tiltbench_solver::evaluation::{OpposingReading, WallReading};
use tiltbench_solver::limit::{LimitReading, anything_to_judge};

/// Whether a figure belongs to the document as it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Freshness {
    /// It does.
    Current,
    /// It belongs to an earlier state, and newer ones are not there yet.
    Stale,
}

/// A figure, and whether it still holds.
#[derive(Debug, Clone)]
pub struct Figure<T> {
    /// The figure.
    pub value: Arc<T>,
    /// Whether it still holds.
    pub freshness: Freshness,
    pub(crate) made_for: FiguresFor,
}

impl<T> Figure<T> {
    pub(crate) fn new(value: T, made_for: FiguresFor) -> Self {
        Self::of(Arc::new(value), made_for)
    }

    pub(crate) fn of(value: Arc<T>, made_for: FiguresFor) -> Self {
        Self {
            value,
            freshness: Freshness::Current,
            made_for,
        }
    }

    /// Whether it belongs to an earlier state.
    pub fn is_stale(&self) -> bool {
        self.freshness == Freshness::Stale
    }

    /// The tilt it was made for.
    pub fn tilt(&self) -> Tilt {
        self.made_for.tilt
    }
}

/// The cast in the hand.
#[derive(Debug, Clone)]
pub struct CastInHand {
    /// The scan as read.
    pub scan: Arc<LoadedScan>,
    /// Its surface in the cast frame, mm.
    pub mesh: Arc<Mesh>,
}

/// All walls at the held tilt, in closed form: always of this very moment.
#[derive(Debug, Clone, PartialEq)]
pub struct WallFigures {
    /// The tilt.
    pub tilt: Tilt,
    /// All existing walls, in coping order.
    pub walls: Vec<WallReading>,
    /// All complete pairs of opposing walls, in coping order.
    pub opposing: Vec<OpposingReading>,
    /// The limits of walls, of metal and of the table.
    pub limits: Vec<LimitReading>,
}

/// How a zone was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Precision {
    /// Quickly: good to about 0.05 mm.
    Coarse,
    /// As sheets have it.
    Exact,
}

/// One seat zone at one tilt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneFigure {
    /// What an undercut gauge reads.
    pub undercut_depth_mm: f64,
    /// Volume to block out.
    pub blockout_mm3: f64,
    /// Everything else, once read exactly.
    pub exact: Option<ZoneReading>,
}

/// All seat zones at one tilt, in the order of the case.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneFigures {
    /// How they were read.
    pub precision: Precision,
    /// The zones.
    pub zones: Vec<ZoneFigure>,
    /// The limits of zones and opposing pairs.
    pub limits: Vec<LimitReading>,
}

/// What the ridge pays over the chart, and whether it is that of the zones as they are.
#[derive(Debug, Clone)]
pub struct ChartInHand {
    /// The chart. Its stage says how good it is.
    pub chart: Arc<RidgeChart>,
    /// Whether it still holds.
    pub freshness: Freshness,
}

/// The figure of the chart in the hand.
#[derive(Debug, Clone)]
pub struct FigureInHand {
    /// The figure.
    pub figure: Arc<ChartFigure>,
    /// Whether it shows what there is.
    pub freshness: Freshness,
}

/// The setting allowance of a tilt, radians; 0 where it is not acceptable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowance(pub f64);

/// What follows from the document.
#[derive(Debug, Default)]
pub struct Derived {
    /// The case, checked: the present one, or the last that was without problems. Indices in all
    /// figures are into it.
    pub case: Option<Arc<Case>>,
    /// What keeps the document from being a case; empty if it is one.
    pub problems: Vec<Problem>,
    /// What keeps it from being one, where that is not a matter of single values.
    pub unreadable: Option<String>,
    /// What deserves a look in the case file, with its place.
    pub remarks: Vec<Remark>,
    /// The cast, once its scan has been read.
    pub cast: Option<CastInHand>,
    /// Why the cast's scan cannot be had.
    pub cast_problem: Option<String>,
    /// The walls.
    pub walls: Option<WallFigures>,
    /// The ridge with its zones, once cut; `None` while it is being cut anew.
    pub ridge: Option<Arc<CaseRidge>>,
    /// Why the zones cannot be cut out of the cast.
    pub ridge_problem: Option<String>,
    /// What is worth knowing about the zones.
    pub ridge_remarks: Vec<String>,
    /// The zones.
    pub zones: Option<Figure<ZoneFigures>>,
    /// Survey line and undercut samples.
    pub marks: Option<Figure<Marks>>,
    /// What the ridge pays at every tilt; there from its first stage on, and then better.
    pub chart: Option<ChartInHand>,
    /// The figure of the chart, of the case as it is or as it was before.
    pub chart_figure: Option<FigureInHand>,
    /// What is to be said of the held tilt, as sentences.
    pub tilt_remarks: Option<Figure<Vec<String>>>,
    /// The held tilt's setting allowance.
    pub allowance: Option<Figure<Allowance>>,
    /// The survey.
    pub survey: Option<Figure<Survey>>,
    /// Jobs in progress.
    pub jobs: Vec<JobState>,
}

impl Derived {
    /// Whether the document is a case: everything but walls and zones means nothing otherwise.
    pub fn is_case(&self) -> bool {
        self.problems.is_empty() && self.unreadable.is_none() && self.case.is_some()
    }

    /// Why there is no survey and will be none, if so: the first of what keeps the document from being a
    /// case, the scan from being had, or the zones from being read.
    pub fn in_the_way(&self) -> Option<String> {
        let problem = self.problems.first().map(ToString::to_string);
        let unreadable = self.unreadable.clone();
        problem
            .or(unreadable)
            .or_else(|| self.cast_problem.clone())
            .or_else(|| self.ridge_problem.clone())
    }

    /// All limits at the held tilt with their latest values: walls, zones, pairs, table.
    pub fn limits(&self) -> Vec<LimitReading> {
        let walls = self.walls.iter().flat_map(|walls| &walls.limits);
        let zones = self.zones.iter().flat_map(|zones| &zones.value.limits);
        let mut all: Vec<LimitReading> = walls.chain(zones).copied().collect();
        // The table comes last, as everywhere.
        all.sort_by_key(|reading| {
            reading.limit.kind == tiltbench_solver::limit::LimitKind::TiltMax
        });
        all
    }

    /// Whether the held tilt meets every limit, and there is something to judge; `None` while that is not known: zones that decide
    /// have not been read exactly, or the document has problems.
    pub fn acceptable(&self) -> Option<bool> {
        if !self.is_case() {
            return None;
        }
        let walls = self.walls.as_ref()?;
        if walls.limits.iter().any(|reading| !reading.met) {
            return Some(false);
        }
        if !self.has_zones_on_cast() {
            return Some(self.is_judged());
        }
        let zones = self.zones.as_ref().filter(|zones| !zones.is_stale())?;
        (zones.value.precision == Precision::Exact)
            .then(|| self.is_judged() && zones.value.limits.iter().all(|reading| reading.met))
    }

    /// Whether some limit is rigid or of the seat; without one there is nothing to judge.
    pub fn is_judged(&self) -> bool {
        anything_to_judge(self.limits().iter().map(|reading| reading.limit.kind))
    }

    /// Whether there are zones on a cast.
    fn has_zones_on_cast(&self) -> bool {
        let case = self.case.as_ref();
        case.is_some_and(|case| case.cast().is_some() && !case.seat_zones().is_empty())
    }
}
