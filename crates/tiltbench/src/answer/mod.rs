//! Answers for scripts: the JSON documents.
//!
//! Every key carries its unit. Angles are degrees, lengths mm. A key may be added to these; none is
//! renamed or dropped. Figures are written in full; what is not a finite number is null.
//!
//! * `number`: finite numbers. `tilt`, `limit`, `allowance`, `evaluation`: one tilt.
//! * `case`: which case was asked about. `common_draw`, `changes`, `sensitivity`, `survey`, `check`, `scan`: whole
//!   answers and their parts.
mod allowance;
mod case;
mod changes;
mod chart;
mod check;
mod common_draw;
mod evaluation;
mod limit;
mod number;
mod planned;
mod scan;
mod sensitivity;
mod survey;
mod tilt;

/// Version of what answers mean: 2 since limits are told apart by what happens where they are broken.
const CONTRACT: u32 = 2;

pub(crate) use chart::{chart, chart_csv};
pub(crate) use check::check;
pub(crate) use scan::scan;
pub(crate) use survey::survey;
