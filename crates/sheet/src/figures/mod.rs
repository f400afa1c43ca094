//! What is drawn: the tilt chart, and the words around pictures of other views.
//!
//! * [`chart`]: the tilt chart. [`ledger`]: walls and zones in tables.
//! * [`strip`]: what stands above and below a picture taken off a screen.
//! * `column`: texts one below the other.
pub mod chart;
mod column;
pub mod ledger;
pub mod strip;
