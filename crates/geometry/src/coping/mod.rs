//! A coping: a tapered frustum standing on the cast, and its axial walls.
//!
//! * `types`: what a coping is.
//! * `wall`: normals and lines of a wall; a draw seen from a coping.
//! * `draft`: drafts, wall undercut, convergence of opposing walls.
//! * `metal`: metal thickness over a prep wall once it is milled to a draw.
//! * `metal_limit`: how far a draw may turn before that metal breaks a limit.
//! * `outline`: the cross-sections of the surface.
//! * `frustum`: the surface as a mesh; the greatest taper at which it does not fold.
//! * `axis`: a long axis from tip and torque.
//! * [`resistance`]: whether a tapered body stops a casting from rolling off.
mod axis;
mod draft;
mod frustum;
mod metal;
mod metal_limit;
mod outline;
pub mod resistance;
pub mod types;
mod wall;

pub use axis::axis_from_tip_and_torque;
pub use draft::{OpposingConvergence, OpposingPair, WallDraft};
pub use frustum::{FrustumBase, FrustumError, FrustumOptions};
pub use metal::{METAL_ACCURACY_MM, WallMetal};
pub use metal_limit::MetalLimit;
pub use types::{Coping, MillPlan, Side, Wall, WallBasis};
