//! Answers for people: plain text, at most 100 columns wide.
//!
//! * `figures`: how numbers are rounded. `words`: tilts and limits in words.
//! * `page`, `table`: lines and columns.
//! * `evaluation`: the tables of one tilt. `survey`, `check`, `scan`: whole answers.
//! * `changes`, `alternatives`, `common_draw`: their parts.
mod alternatives;
mod changes;
mod check;
mod common_draw;
mod evaluation;
mod figures;
mod head;
mod page;
mod scan;
mod survey;
mod table;
mod words;

pub(crate) use check::check;
pub(crate) use figures::{angle, length};
pub(crate) use scan::scan;
pub(crate) use survey::survey;
pub(crate) use words::RELIABLE_RAD;
