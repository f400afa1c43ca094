//! The picture of the chart: sides, places, labels, and that it can be read by other programs.
#![expect(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

mod figures;
mod labels;
mod picture;
mod places;
