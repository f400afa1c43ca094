//! Scans in the hand.
//!
//! * `source`: where a scan comes from, and how it is had again.
//! * `loaded`: a scan that was read, its sizes and the repairs it offers.
//! * `store`: the scans kept in memory, by source.
mod loaded;
mod source;
mod store;

pub use loaded::{LoadedScan, Repair, SizeIn};
pub use source::{ScanProblem, ScanSource};
pub(crate) use store::ScanStore;
