//! A coping: a tapered frustum standing on the cast, and its axial walls.
//!
//! * `types`: what a coping is.
pub mod types;

pub use types::{Coping, MillPlan, Side, Wall, WallBasis};
