//! The tilt chart: driven by mouse, keys and names, and looked at.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

mod borders;
#[path = "../common/mod.rs"]
mod common;
mod driven;
mod pictures;
mod scenes;
