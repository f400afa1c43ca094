//! The case file's own shape.
//!
//! * [`v1`]: version 1 as its author wrote it.
//! * [`keys`]: every key, with the kind and range of its value.
//! * [`range`]: what a number may be, and why.
pub mod keys;
pub mod range;
pub mod v1;
