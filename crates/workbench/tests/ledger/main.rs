//! The ledger: what it says, what it asks for, and what it looks like.
#![expect(clippy::expect_used, reason = "helpers of tests")]

mod driven;
mod pictures;
mod scenes;
