//! Seat zones of the ridge, and what a draw costs on them.
//!
//! * `types`: zones as they are asked for, and their readings.
pub mod types;

pub use types::{SeatZone, ZoneReading};
