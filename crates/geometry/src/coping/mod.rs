//! A coping: a tapered frustum standing on the cast, and its axial walls.
//!
//! * `types`: what a coping is.
//! * `wall`: normals and lines of a wall; a draw seen from a coping.
//! * `draft`: drafts, wall undercut, convergence of opposing walls.
//! * `metal`: metal thickness over a prep wall once it is milled to a draw.
//! * `metal_limit`: how far a draw may turn before that metal breaks a limit.
mod draft;
mod metal;
mod metal_limit;
pub mod types;
mod wall;

pub use draft::{OpposingConvergence, OpposingPair, WallDraft};
pub use metal::{METAL_ACCURACY_MM, WallMetal};
pub use metal_limit::MetalLimit;
pub use types::{Coping, MillPlan, Side, Wall, WallBasis};
