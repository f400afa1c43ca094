//! Case files and scans: everything that arrives from outside enters here.
//!
//! * [`Case`]: a case that has been read and may be trusted. [`read_case`] and [`parse_case`] make
//!   one of a file, [`Case::new`] of a [`schema::v1::CaseFile`] built by a program; [`write_case`]
//!   writes it.
//! * [`Draft`]: a case still being worked on, which may have problems. [`read_draft`],
//!   [`write_draft`].
//! * [`schema`]: the case file as its author wrote it, in its own units.
//! * [`defaults`]: what a left-out key means, and what that rests on.
//! * [`tooth`]: ISO 3950 designations and the trade's words for the sides of a tooth.
//! * [`mesh_io`]: scans (STL, PLY, OBJ, each also gzip'ed), told apart by content.
//! * [`UnfitScan`]: why a scan that can be loaded is not read; [`read_surface`]: what is read of one.
//! * [`atomic`]: writing a file whole or not at all.
//! * [`demo`]: the sample cases and the generator of their casts.
#![forbid(unsafe_code)]

pub mod atomic;
mod case;
mod cast;
pub mod defaults;
pub mod demo;
mod draft;
mod json;
mod left_out;
pub mod mesh_io;
mod problem;
mod read;
mod remark;
pub mod schema;
pub mod tooth;
mod unfit;
mod write;
mod zones;

pub use case::{Case, PlannedWork};
pub use cast::{Cast, LoadedCast};
pub use draft::{Draft, read_draft, write_draft};
pub use left_out::{LeftOutOf, PartLeftOut};
pub use problem::{CaseErrors, KeyHint, Problem, ProblemKind};
pub use read::{parse_case, read_case};
pub use remark::{Remark, RemarkKind};
pub use unfit::{
    MOST_SHOWING_BACK, REACH_MM, READ_MM, UnfitScan, health_without_repeats, read_surface,
};
pub use write::{scan_from, write_case};
pub use zones::ZoneTooSmall;
