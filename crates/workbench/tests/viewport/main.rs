//! The view of the cast on real samples: what is under the pointer, and what it looks like.
#![expect(clippy::expect_used, reason = "helpers of tests")]

mod pictures;
mod pointing;
mod samples;
