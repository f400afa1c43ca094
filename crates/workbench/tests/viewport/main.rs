//! The view of the cast on real samples: what is under the pointer, and what it looks like.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

#[path = "../common/mod.rs"]
mod common;
mod pictures;
mod pointing;
mod samples;
