//! Why a command cannot be carried out.

use crate::intake::{FrameError, MarginError};
use tiltbench_geometry::coping::Side;

/// Why a command cannot be carried out. The document is then as it was.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CommandError {
    /// There is no coping of that number.
    #[error("there is no coping number {index} (counted from 0); the case has {count}")]
    NoCoping {
        /// The number asked for.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// There is no zone of that number.
    #[error("there is no seat zone number {index} (counted from 0); the case has {count}")]
    NoZone {
        /// The number asked for.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// There is no point of that number.
    #[error("the outline has no point number {index} (counted from 0); it has {count}")]
    NoPoint {
        /// The number asked for.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// An outline would be left with too few points.
    #[error("an outline keeps at least 3 points; remove the zone instead")]
    LastPoints,
    /// The coping has no such wall.
    #[error("coping {coping} has no {} wall; add it first", side.key())]
    NoWall {
        /// Name of the coping.
        coping: String,
        /// The side.
        side: Side,
    },
    /// Something of coping before waxing asked of a finished one.
    #[error("coping {0} is finished: mill taper and margin thickness belong to one before waxing")]
    NotBeforeWaxing(String),
    /// Not a tooth.
    #[error(transparent)]
    Tooth(#[from] tiltbench_case::tooth::ToothError),
    /// A margin that cannot be fitted.
    #[error(transparent)]
    Margin(#[from] MarginError),
    /// Points that give no frame.
    #[error(transparent)]
    Frame(#[from] FrameError),
    /// There is no cast.
    #[error("the case has no cast; load a scan first")]
    NoCast,
    /// The cast's scan is not in memory.
    #[error("the scan of the cast has not been read yet")]
    ScanNotRead,
    /// A path JSON cannot hold.
    #[error("the path of the scan is not Unicode, which a case file cannot hold; rename it")]
    PathNotUnicode,
    /// A kept tilt without a name.
    #[error("a kept tilt needs a name")]
    NoTiltName,
    /// No kept tilt of that name.
    #[error("no tilt named \"{0}\" is kept")]
    NoKeptTilt(String),
    /// There is no planned work of that number.
    #[error("there is no planned work number {index} (counted from 0); the case has {count}")]
    NoPlannedWork {
        /// The number asked for.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// A retaper without its figure.
    #[error("a retapered wall is measured before it is history: enter its taper")]
    TaperNotMeasured,
    /// Planned work that no single figure measures.
    #[error(
        "only the taper of a retapered wall is entered as one figure; scan or measure the rest anew"
    )]
    NotMeasured,
    /// The case is not what the changes were found for.
    #[error("the case has changed since these changes were found; survey it again")]
    ChangesOutdated,
}
