//! The tilts that work: common draw, acceptable tilts, setting allowance and what limits them.
//!
//! * [`common_draw`]: the draw that all guiding walls share.
#![forbid(unsafe_code)]

pub mod common_draw;
