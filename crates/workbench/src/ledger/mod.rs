//! The ledger of walls and zones: every figure of the held tilt, cell by cell, against its limits.
//!
//! * [`scene`]: what it shows, as plain data, made of a case and its readings.
//! * [`intent`]: what it asks for.
//! * [`widget`]: the whole table. `walls`, `zones`, `table_limits`: its parts.
//! * `bars`: figures against their limits. `scales`: from where to where. `signs`: the three states of
//!   a wall.
//! * `field`: the numbers the case owns, as what it asks for.
mod bars;
mod field;
pub mod intent;
mod scales;
pub mod scene;
mod signs;
mod table_limits;
mod walls;
pub mod widget;
mod zones;

pub use intent::{CaseFigure, LedgerEdit, LedgerIntent};
pub use scales::LedgerScales;
pub use scene::{LedgerFigures, LedgerScene, ZoneInLedger};
pub use widget::Ledger;
