//! Closed-form solids and seeded random problems for the tests.
#![forbid(unsafe_code)]

pub mod problems;
pub mod solids;
