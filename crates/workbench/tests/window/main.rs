//! The window, driven by accessible label, without a screen.
#![expect(clippy::expect_used, reason = "helpers of tests")]

mod driver;
mod hands;
mod looking;
mod newcomer;
mod pictures;
mod working;
