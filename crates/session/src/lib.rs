//! Everything the workbench can do, below the toolkit.
//!
//! A window draws what a [`Session`] says and sends it commands; tests and programs do the same
//! without a window.
//!
//! ```no_run
//! use tiltbench_geometry::tilt::Tilt;
//! use tiltbench_session::{Command, IfUnsaved, Origin, Profile, Session, TiltCommand, Wake};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let mut session = Session::start(Profile::at("/tmp/profile"), Wake::nobody());
//! session.open("sample-cases/two-canines.json".as_ref(), IfUnsaved::Refuse)?;
//! // Once a frame, or whenever woken: takes up what jobs brought back.
//! session.poll();
//! // A drag: any number of previews, then one step.
//! let hold = |deg| Tilt::from_degrees(deg, 0.0).map(|tilt| Command::Tilt(TiltCommand::Hold(tilt)));
//! session.preview(&hold(-2.0)?, Origin::Chart)?;
//! session.preview(&hold(-4.5)?, Origin::Chart)?;
//! session.release();
//! assert_eq!(session.undo_name(), Some("Hold tilt"));
//! # Ok(())
//! # }
//! ```
//!
//! # The tour
//!
//! * **Reading.** [`Session::document`] is what has been authored: the case file as entered, the
//!   held tilt, the kept ones, the view state. [`Session::derived`] is what follows from it: the
//!   checked case, problems with their JSON paths, remarks, the cast in the cast frame, walls, zones,
//!   marks (survey line, samples), the ridge's chart in stages, the setting allowance, the survey, jobs in progress.
//! * **Fresh or stale.** [`WallFigures`] are always of this very moment. A [`Figure`] says whether it
//!   is; stale ones are kept until newer come. [`ZoneFigures`] come [`Precision::Coarse`] first and
//!   [`Precision::Exact`] when the tilt has been still. Indices in figures are into
//!   [`Derived::case`].
//! * **Changing.** [`Session::apply`] carries out one [`Command`] as one step; [`Session::preview`]
//!   and [`Session::release`] (or [`Session::abandon`]) make a drag one step. A document may have
//!   problems while it is worked on (a crossing outline, a number out of range): they are listed,
//!   figures are kept and stale, and it can be saved and opened again. Names of steps:
//!   [`Session::undo_name`], [`Session::redo_name`].
//! * **Scans.** [`Session::load_scan`] reads one in the background and takes it as the cast;
//!   [`LoadedScan::sizes`] puts the units side by side, [`LoadedScan::repairs`] offers what
//!   [`Session::mend`] does, [`CastCommand::FrameOfPicks`] orients it.
//! * **Jobs.** [`Derived::jobs`] lists them with their part done; [`Session::cancel`] stops one. The
//!   [`Wake`] is called from their threads when there is something to [`Session::poll`] for.
//! * **Files.** [`Session::new_case`], [`Session::open`], [`Session::open_sample`],
//!   [`Session::save`], [`Session::save_as`], [`Session::recent`]; [`Session::is_unsaved`]. What
//!   takes another document up asks [`IfUnsaved`]. Unsaved work is kept in a recovery file;
//!   [`Session::recoverable`] and [`Session::recover`] find it after a kill; [`Session::close`] and
//!   [`Session::let_go`] let it go. [`Session::set_view`] keeps the window's own state in the case.
//! * **Telling.** [`Session::take_notices`] gives what the user should be told, once.
//!
//! * **Words and pictures.** [`names`] and [`words`] put answers in words, [`chart_figure`] makes the
//!   tilt chart's figure of them, [`report`] says what there is to be said of a case and of a tilt:
//!   for screens, sheets and terminals alike. [`sensitivity`] says which limits steer the answer.
//!
//! # Inside
//!
//! `document` and `history` are values; `command` turns one state into another; `session` holds them
//! together; `jobs` runs work on named threads; `ridge` is the only file that knows how the ridge is
//! read; `scan`, `intake`, `files` and `held` are what their names say.
#![forbid(unsafe_code)]

pub mod chart_figure;
mod command;
mod derived;
mod document;
mod files;
mod held;
mod history;
mod intake;
mod jobs;
pub mod names;
mod notice;
pub mod problem;
pub mod report;
mod ridge;
mod save;
mod scan;
pub mod sensitivity;
mod session;
pub mod words;

pub use command::{
    Carry, CaseCommand, CaseLimit, CastCommand, ChangesCommand, Command, CommandError,
    CopingCommand, LimitCommand, NewWalls, Origin, PlannedCommand, TiltCommand, WallEdit,
    ZoneCommand,
};
pub use derived::{
    Allowance, CastInHand, ChartInHand, Derived, Figure, FigureInHand, Freshness, Precision,
    WallFigures, ZoneFigure, ZoneFigures,
};
pub use document::{Document, Revision, State};
pub use files::{FileError, Profile, Recoverable, Settings};
pub use held::KeptTilt;
pub use history::{HistoryLimits, Step};
pub use intake::{
    CastTurn, FittedMargin, FrameError, MarginError, OcclusalPicks, fitted_margin, height_on_cast,
    mesial_of,
};
pub use jobs::{JobError, JobKind, JobState, Wake};
pub use notice::Notice;
pub use ridge::{CaseRidge, Marks};
pub use scan::{LoadedScan, Repair, ScanProblem, ScanSource, SizeIn};
pub use session::{IfUnsaved, Session};
