//! What is said of a case and of a tilt: judged and worded once, for every reader of it.
//!
//! * `advice`: the answer in a sentence, and what has consequences whatever the tilt.
//! * `remarks`: what a tilt gives reason to point out. `columns`: depth that comes from what stands on a coping.
//! * `defaults`: values that nobody stated and that decide something.
//! * `measured`: what was measured, how well, and what that leaves to the hand.
//! * `owed`: planned work, piece by piece.
//! * `steering`: what becomes of the recommended tilt with a limit tighter and looser.
//! * `ledger`: walls and zones against their limits, as tables.

mod advice;
mod columns;
mod defaults;
mod ledger;
mod measured;
mod owed;
mod remarks;
mod steering;

pub use advice::{advice, consequences, forbidden, is_of_consequence, level, why};
pub use columns::column_remarks;
pub use defaults::{deciding_defaults, default_in_words};
pub use ledger::ledger_figure;
pub use measured::{bases, estimate, left_for_the_hand, measuring_errors, with_estimate};
pub use owed::{Owed, owed, planned_in_short};
pub use remarks::{tilt_consequences, tilt_notes, tilt_remarks};
pub use steering::{steered, steering_limit};
