//! The window, driven by accessible label, without a screen.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

#[path = "../common/mod.rs"]
mod common;

mod actions;
mod cases;
mod compared;
mod driver;
mod hands;
mod looking;
mod newcomer;
mod panels;
mod pictures;
mod scans;
mod taking_up;
mod told;
mod working;
