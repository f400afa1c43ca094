//! Reading and writing scans.
//!
//! A scan's format is told by its content, never by its name. Whatever is read comes out as one
//! welded [`Mesh`](tiltbench_geometry::mesh::Mesh) in the file's own unit and axes; nothing is
//! mended. Every coordinate of it is finite and every index in range.
//!
//! * `scan`: what a scan is once read, and the two ways in.
//! * `error`: why a scan cannot be read, and where.
//! * `sniff`: what a file is, by its first bytes.
//! * `unpack`: gzip, with a cap.
//! * `stl_binary`, `stl_ascii`, `ply_header`, `ply`, `obj`: one format a file.
//! * `text`: tokens and numbers of the text formats.
//! * `soup`: positions and polygons as a file lists them, made into a mesh.
//! * `unit`: the unit of a scan.
//! * `size`: whether a scan has the size of a dental cast, and in which unit it would.
//! * `report`: what can be told of a scan.
//! * `write`: binary PLY and binary STL out.
mod error;
mod obj;
mod ply;
mod ply_header;
mod report;
mod scan;
mod size;
mod sniff;
mod soup;
mod stl_ascii;
mod stl_binary;
mod text;
mod unit;
mod unpack;
mod write;

pub use error::{Axis, Place, ScanError, ScanFault};
pub use report::ScanReport;
pub use scan::{ReadLimits, Scan, ScanFormat, parse_scan, read_scan};
pub(crate) use size::millimetres;
pub use size::{BELIEVED_MM, CAST_MM, SizeVerdict, judge_size};
pub use unit::{Unit, UnknownUnit};
pub use write::{MeshWriteError, holds_ply, write_ply, write_ply_in, write_stl};
