//! Case files and scans: everything that arrives from outside enters here.
//!
//! * [`mesh_io`]: scans (STL, PLY, OBJ, each also gzip'ed), told apart by content.
#![forbid(unsafe_code)]

pub mod mesh_io;
