//! The tilt chart: driven by mouse, keys and names, and looked at.
#![expect(
    clippy::expect_used,
    clippy::print_stderr,
    reason = "helpers of tests, which say when they did not run"
)]

mod borders;
mod driven;
mod pictures;
mod scenes;
