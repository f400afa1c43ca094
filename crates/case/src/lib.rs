//! Case files and scans: everything that arrives from outside enters here.
//!
//! * [`atomic`]: writing a file whole or not at all.
//! * [`mesh_io`]: scans (STL, PLY, OBJ, each also gzip'ed), told apart by content.
//! * [`schema`]: the case file as its author wrote it, in its own units.
//! * [`tooth`]: ISO 3950 designations and the trade's words for the sides of a tooth.
#![forbid(unsafe_code)]

pub mod atomic;
pub mod mesh_io;
pub mod schema;
pub mod tooth;
