//! Closed-form solids and sheets, and seeded random problems, for the tests.
#![forbid(unsafe_code)]

pub mod problems;
pub mod sheets;
pub mod solids;
