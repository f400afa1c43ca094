//! The session driven as a window would, without one.
#![expect(clippy::panic, clippy::unwrap_used, reason = "helpers of tests")]

mod commands;
mod drag;
mod files;
mod left_out;
mod names;
mod newcomer;
mod order;
mod recovery;
mod stale;
mod support;
