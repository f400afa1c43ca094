//! Answers for people: plain text, at most 100 columns wide.
//!
//! * `figures`, `words`: the solver's limits in figures and words. Roundings and the words for a
//!   tilt are `tiltbench_sheet::format`'s.
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
pub(crate) use scan::scan;
pub(crate) use survey::survey;
