//! The window: the cast, the tilt chart and the ledger of walls and zones.
//!
//! A thin skin. What a case is, what may be done with it and what follows from it lives below the
//! toolkit, where tests reach it without a window; here it is drawn, and what the hand does is
//! turned into commands.
//!
//! * [`pointed`]: what is pointed at, the one name all views share.
//! * [`theme`]: the only place with colours and sizes.

pub mod pointed;
pub mod theme;
