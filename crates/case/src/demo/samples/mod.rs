//! The six sample cases. Titles, numbers and mouths are invented.
//!
//! * `jaws`: the lower and the upper ridge they start from.
//! * one file a case.

mod before_waxing;
mod jaws;
mod ridge_only;
mod three_no_common_draw;
mod two_canines;
mod upper_compromise;
mod walls_only;

pub(super) use before_waxing::before_waxing;
pub(super) use ridge_only::ridge_only;
pub(super) use three_no_common_draw::three_no_common_draw;
pub(super) use two_canines::two_canines;
pub(super) use upper_compromise::upper_compromise;
pub(super) use walls_only::walls_only;
