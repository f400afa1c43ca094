//! What jobs give, each with what it was made from.

use crate::chart_figure::FigureOf;
use crate::ridge::{ChartKey, CutRidge, Marks, RidgeKey};
use crate::scan::LoadedScan;
use std::sync::Arc;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{RidgeError, ZonePreview};
use tiltbench_sheet::figures::chart::ChartFigure;
use tiltbench_solver::Survey;
use tiltbench_solver::chart::RidgeChart;
use tiltbench_solver::evaluation::Evaluation;

/// What figures were made for: the problem by its number, and the tilt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct FiguresFor {
    pub(crate) problem: u64,
    pub(crate) tilt: Tilt,
}

#[derive(Debug)]
pub(crate) struct ScanMade {
    pub(crate) scan: Arc<LoadedScan>,
}

#[derive(Debug)]
pub(crate) struct RidgeMade {
    pub(crate) key: RidgeKey,
    pub(crate) cut: Result<Arc<CutRidge>, RidgeError>,
}

#[derive(Debug)]
pub(crate) struct PreviewMade {
    pub(crate) made_for: FiguresFor,
    pub(crate) zones: Vec<ZonePreview>,
}

#[derive(Debug)]
pub(crate) struct ExactMade {
    pub(crate) made_for: FiguresFor,
    pub(crate) evaluation: Evaluation,
}

#[derive(Debug)]
pub(crate) struct MarksMade {
    pub(crate) made_for: FiguresFor,
    pub(crate) marks: Marks,
}

#[derive(Debug)]
pub(crate) struct SurveyMade {
    pub(crate) made_for: FiguresFor,
    pub(crate) survey: Survey,
}

/// Something a job made.
#[derive(Debug)]
pub(crate) enum Output {
    Scan(ScanMade),
    Ridge(RidgeMade),
    Preview(PreviewMade),
    Exact(ExactMade),
    Marks(MarksMade),
    Allowance {
        made_for: FiguresFor,
        allowance_rad: f64,
    },
    /// What is to be said of a tilt.
    Remarks {
        made_for: FiguresFor,
        remarks: Vec<String>,
    },
    /// A stage of the chart; better ones follow.
    Chart(ChartKey, RidgeChart),
    Figure(FigureOf, Box<ChartFigure>),
    Survey(Box<SurveyMade>),
    /// The recovery file was written.
    Autosaved,
}
