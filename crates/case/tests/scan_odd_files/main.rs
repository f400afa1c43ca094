//! Odd and malformed scans: each is read, with the right remark, or refused, with the right message.
//!
//! * `table`: a table of cases, and how it is run.
//! * `stl`, `ply`, `obj`: a table for each format. `wrapped`: gzip, and what is no scan at all.
#![expect(
    clippy::too_many_lines,
    clippy::format_collect,
    reason = "tables of cases"
)]

mod obj;
mod ply;
#[path = "../scan_support/mod.rs"]
mod scan_support;
mod stl;
mod table;
mod wrapped;
