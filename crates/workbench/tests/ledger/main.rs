//! The ledger: what it says, what it asks for, and what it looks like.
#![expect(
    clippy::expect_used,
    clippy::print_stderr,
    reason = "helpers of tests, which say when they did not run"
)]

mod driven;
mod pictures;
mod scenes;
