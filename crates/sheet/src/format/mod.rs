//! Numbers and words for people.
//!
//! * [`numbers`]: angles to 0.1 degree, lengths to 0.05 mm, areas and volumes.
//! * [`bounded`]: a value beside its bound, never rounded across it.
//! * [`words`]: tilts, sides of the patient, allowances, the caution.
pub mod bounded;
pub mod numbers;
pub mod words;

pub use bounded::{Bound, Bounded, Unit};
