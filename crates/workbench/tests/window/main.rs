//! The window, driven by accessible label, without a screen.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

#[path = "../common/mod.rs"]
mod common;
mod driver;
mod hands;
mod looking;
mod newcomer;
mod pictures;
mod working;
