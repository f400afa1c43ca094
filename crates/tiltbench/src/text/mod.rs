//! Answers for people: plain text, at most 100 columns wide.
//!
//! Limits and changes in words are `tiltbench_session::words`'; roundings and the words for a tilt
//! `tiltbench_sheet::format`'s.
//!
//! * `page`, `table`: lines and columns.
//! * `evaluation`: the tables of one tilt. `survey`, `check`, `scan`: whole answers.
//! * `changes`, `alternatives`, `common_draw`, `sensitivity`: their parts.
mod alternatives;
mod changes;
mod check;
mod common_draw;
mod evaluation;
mod head;
mod page;
mod planned;
mod scan;
mod sensitivity;
mod survey;
mod table;

pub(crate) use check::check;
pub(crate) use scan::scan;
pub(crate) use survey::survey;
