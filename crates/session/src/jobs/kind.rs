//! The kinds of jobs, and how one is shown.

use super::turn::Turn;

/// A kind of job. Each has a thread of its own; a newer request takes the place of an older one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JobKind {
    /// Reads a scan, makes the cast of a sample, or mends one.
    LoadScan,
    /// Cuts the seat zones out of the cast, which every reading of the ridge needs.
    CutZones,
    /// What the ridge pays at the held tilt, quickly.
    PreviewFigures,
    /// What the ridge pays at the held tilt, exactly; then the marks on the cast and the setting
    /// allowance.
    ExactFigures,
    /// What the ridge pays over the whole chart, in stages.
    Chart,
    /// Draws the figure of the tilt chart.
    ChartFigure,
    /// The survey of the case.
    Survey,
    /// Writes the recovery file.
    Autosave,
}

impl JobKind {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::LoadScan,
        Self::CutZones,
        Self::PreviewFigures,
        Self::ExactFigures,
        Self::Chart,
        Self::ChartFigure,
        Self::Survey,
        Self::Autosave,
    ];

    /// What it does, as shown beside its progress.
    pub fn words(self) -> &'static str {
        match self {
            Self::LoadScan => "reading the scan",
            Self::CutZones => "cutting the seat zones out of the scan",
            Self::PreviewFigures => "reading the ridge",
            Self::ExactFigures => "reading the ridge exactly",
            Self::Chart => "charting the ridge",
            Self::ChartFigure => "drawing the chart",
            Self::Survey => "surveying",
            Self::Autosave => "keeping a copy for recovery",
        }
    }

    /// Whether a user may stop it: not what is over in a moment, and not what keeps work safe.
    pub fn may_be_stopped(self) -> bool {
        !matches!(self, Self::Autosave | Self::ChartFigure)
    }

    /// The name of its thread.
    pub(super) fn thread_name(self) -> &'static str {
        match self {
            Self::LoadScan => "load-scan",
            Self::CutZones => "cut-zones",
            Self::PreviewFigures => "preview-figures",
            Self::ExactFigures => "exact-figures",
            Self::Chart => "chart",
            Self::ChartFigure => "chart-figure",
            Self::Survey => "survey",
            Self::Autosave => "autosave",
        }
    }

    /// What a newer request does to the one that runs.
    pub(super) fn on_newer(self) -> OnNewer {
        match self {
            // A drag asks more often than these answer: cut off each time, they never would.
            Self::PreviewFigures | Self::CutZones | Self::ChartFigure | Self::Autosave => {
                OnNewer::LetFinish
            }
            _ => OnNewer::Cancel,
        }
    }

    /// When it has its turn; none for what is not kept waiting and keeps nobody waiting.
    pub(super) fn turn(self) -> Option<Turn> {
        match self {
            Self::PreviewFigures | Self::CutZones => Some(Turn::AtOnce),
            Self::ExactFigures => Some(Turn::HeldTilt),
            Self::Chart => Some(Turn::FirstChart),
            Self::Survey => Some(Turn::Survey),
            Self::LoadScan | Self::ChartFigure | Self::Autosave => None,
        }
    }

    /// Whether it may have to stand still.
    pub(super) fn may_wait(self) -> bool {
        self.turn().is_some_and(|turn| turn > Turn::AtOnce)
    }
}

/// What a newer request does to the one that runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OnNewer {
    /// It is told to stop.
    Cancel,
    /// It runs to its end; requests meanwhile merge into the newest.
    LetFinish,
}

/// A job in progress, for showing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JobState {
    /// Its kind.
    pub kind: JobKind,
    /// What it is doing just now.
    pub work: &'static str,
    /// The part done, 0..=1.
    pub fraction: f64,
}

/// Why a job gave nothing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum JobError {
    /// It was cancelled, or a newer one took its place.
    #[error("cancelled")]
    Cancelled,
    /// It met a bug of this program. Nothing authored is touched.
    #[error("{} met an error of this program: {message}; your work is untouched", kind.words())]
    Panicked {
        /// Which job.
        kind: JobKind,
        /// The panic's own words.
        message: String,
    },
    /// It could not be done, in words.
    #[error("{0}")]
    Failed(String),
    /// No thread could be started for it.
    #[error("{} cannot be started: {reason}", kind.words())]
    NoThread {
        /// Which job.
        kind: JobKind,
        /// The system's words.
        reason: String,
    },
}
