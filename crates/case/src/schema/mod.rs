//! The case file's own shape, one module a version.
//!
//! * [`v1`]: version 1 as its author wrote it.

pub mod v1;
