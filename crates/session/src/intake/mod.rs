//! Proposals at intake: what a few clicks on the cast say.
//!
//! * `frame`: the cast frame from points of the occlusal plane and the midline.
//! * `carry`: copings and zones brought from one frame into another.
//! * `margin`: a coping's margin ellipse and axis from points on its margin; its height.
mod carry;
mod frame;
mod margin;

pub(crate) use carry::carried;
pub use frame::{CastTurn, FrameError, OcclusalPicks};
pub(crate) use frame::{frame_of_picks, turn_of_picks};
pub use margin::{FittedMargin, MarginError, fitted_margin, height_on_cast, mesial_of};
