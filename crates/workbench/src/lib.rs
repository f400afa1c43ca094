//! The window: the cast, the tilt chart and the ledger of walls and zones.
//!
//! A thin skin. What a case is, what may be done with it and what follows from it lives below the
//! toolkit, where tests reach it without a window; here it is drawn, and what the hand does is
//! turned into commands.
//!
//! * [`actions`]: everything the window can do.
//! * [`adapter`]: whether this machine can draw a window.
//! * [`app`]: the window over a session.
//! * [`chart`]: the tilt chart. [`ledger`]: walls and zones, cell by cell.
//! * [`pointed`]: what is pointed at, the one name all views share.
//! * [`theme`]: the only place with colours and sizes.
//! * [`viewport`]: the view of the cast.
//!
//! `arrows` are the arrow keys of a control; `number` is a number the case owns, dragged or typed; `words` sets the answers' words for a screen;
//! `memory` lets memory go back to the system.

pub mod actions;
pub mod adapter;
pub mod app;
mod arrows;
pub mod chart;
pub mod ledger;
mod memory;
mod number;
pub mod pointed;
pub mod theme;
pub mod threads;
pub mod viewport;
mod words;
