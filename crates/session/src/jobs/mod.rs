//! Work in the background: one named thread a kind of job, newest wins.
//!
//! * `kind`: the kinds of jobs.
//! * `control`: what a job reports to, and where it learns that nobody waits any more.
//! * `turn`: whose turn it is.
//! * `lane`: the thread of one kind, and the one request that waits for it.
//! * `runner`: all lanes, and the bounded channel their messages come back on.
//! * `output`: what jobs give, each with what it was made from.
//! * `work`: what each kind does.
//!
//! Two things cross threads: shared snapshots going in, typed outputs coming back. A panic in a job
//! is caught and comes back as an error.
mod control;
mod kind;
mod lane;
mod output;
mod runner;
mod turn;
mod work;

pub use kind::{JobError, JobKind, JobState};
pub(crate) use lane::Work;
pub(crate) use output::{ExactMade, FiguresFor, Output, PreviewMade, ScanMade};
pub use runner::Wake;
pub(crate) use runner::{Message, Runner};
pub(crate) use work::{
    Snapshot, autosave, chart_ridge, cut_zones, draw_chart, exact_figures, load_scan, mend_scan,
    preview_figures, survey_case,
};
