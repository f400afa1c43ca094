//! The ledger: what it says, what it asks for, and what it looks like.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

#[path = "../common/mod.rs"]
mod common;
mod driven;
mod pictures;
mod scenes;
