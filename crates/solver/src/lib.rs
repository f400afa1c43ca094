//! Which tilts work, which is best, and what limits it.
//!
//! Pure: no files, no clock, no screen. The same problem gives the same bits on any number of
//! threads.
//!
//! * [`problem`]: what is asked. [`limit`]: the limits, one by one. [`control`]: progress, cancel.
//! * [`evaluation`]: everything about one tilt.
//! * [`common_draw`]: the draws that all finished guiding walls share, with a proof.
//! * [`chart`]: every tilt, and what the ridge pays there.
//! * [`mod@survey`]: the whole answer: recommended tilt, alternatives, least bad tilt, changes.
//!
//! Inside, everything that is said of *all* tilts comes from one idea: cells of draws (`cell`), each with
//! proved bounds of what the ridge costs anywhere in it (`depth_tree`) and closed forms of all else (`field`),
//! searched best first (`best_first`). `distance` is the way to the nearest draw that breaks a limit of the
//! ridge, `allowance` the room about a tilt, `recommend` the widest and the flattest, `nearest` and `polish`
//! find draws of sets without an inside to the last digits, and [`sphere`] holds the directions themselves.
#![forbid(unsafe_code)]

mod allowance;
mod alternatives;
mod best_first;
mod cell;
mod changes;
pub mod chart;
pub mod common_draw;
mod compass;
mod context;
pub mod control;
mod deepest;
mod depth_tree;
mod distance;
pub mod evaluation;
mod field;
mod least_bad;
pub mod limit;
mod nearest;
mod polish;
pub mod problem;
mod recommend;

pub mod survey;

pub use alternatives::AlternativeName;
pub use changes::{Change, ChangeSet, Changed, apply};
pub use problem::{Problem, RidgeReader};
pub use survey::{Checked, Survey, SurveyOptions, Work, check, survey};
pub use tiltbench_geometry::sphere;
