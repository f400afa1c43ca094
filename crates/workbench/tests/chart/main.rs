//! The tilt chart: driven by mouse, keys and names, and looked at.
#![expect(clippy::expect_used, reason = "helpers of tests")]

mod borders;
mod driven;
mod pictures;
mod scenes;
