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
//! Inside, `field` gathers what searches ask of a problem, `ridge_map` keeps what the ridge pays over
//! the chart, `search` bounds and splits the chart of tilts, `polish` sharpens a maximum,
//! `allowance` measures how wrong the hand may be, `net_allowance` what measuring errors leave of it,
//! `variants` asks for the tilt of the same ridge under other limits, `compass` walks downhill, and
//! [`sphere`] holds the directions themselves.
#![forbid(unsafe_code)]

mod allowance;
mod alternatives;
mod changes;
pub mod chart;
pub mod common_draw;
mod compass;
pub mod control;
pub mod evaluation;
mod field;
mod least_bad;
pub mod limit;
mod most_forgiving;
mod net_allowance;
mod polish;
pub mod problem;
mod recommend;
mod ridge_map;
mod search;
mod variants;

pub mod survey;

pub use alternatives::{AlternativeName, parallelism_rad};
pub use changes::{CHANGES_AT_MOST, Change, ChangeSet, Changed, OddCoping, apply, metal_taken_mm};
pub use net_allowance::{CopingErrors, Measured, MeasuringErrors, net_allowance_rad};
pub use problem::{LaidOver, Problem, RidgeReader};
pub use recommend::{Reason, Rule};
pub use survey::{Survey, SurveyOptions, check, survey};
pub use tiltbench_geometry::sphere;
pub use variants::{Recommendation, recommended_of};
