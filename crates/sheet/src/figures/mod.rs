//! What is drawn.
//!
//! * [`chart`]: the tilt chart.
pub mod chart;
