//! What a scan is once read, and the two ways in.

use super::error::{ScanError, ScanFault};
use super::sniff::{Kind, tell};
use super::{obj, ply, stl_ascii, stl_binary, unpack};
use std::fmt;
use std::fs::File;
use std::io::Read;
use std::path::Path;
use tiltbench_geometry::mesh::Mesh;

/// What kind of file a scan was, told by its content.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ScanFormat {
    /// Binary STL.
    StlBinary,
    /// ASCII STL.
    StlAscii,
    /// PLY, as text.
    PlyAscii,
    /// PLY, binary, least significant byte first.
    PlyBinaryLittleEndian,
    /// PLY, binary, most significant byte first.
    PlyBinaryBigEndian,
    /// Wavefront OBJ.
    Obj,
}

impl ScanFormat {
    /// Stable name for scripts. Never changed once released.
    pub fn name(self) -> &'static str {
        match self {
            Self::StlBinary => "stl-binary",
            Self::StlAscii => "stl-ascii",
            Self::PlyAscii => "ply-ascii",
            Self::PlyBinaryLittleEndian => "ply-binary-little-endian",
            Self::PlyBinaryBigEndian => "ply-binary-big-endian",
            Self::Obj => "obj",
        }
    }
}

impl fmt::Display for ScanFormat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A scan as read: vertices welded, nothing else changed, in the file's own unit and axes.
///
/// Holds of the mesh: at least one facet, every coordinate finite and within ±1e9, every index in
/// range, no two vertices at the same position. Anything else a surface can suffer from (open or
/// non-manifold edges, facets without area, wrong winding) may still be there: see
/// [`tiltbench_geometry::mesh::check()`].
#[derive(Debug, Clone, PartialEq)]
pub struct Scan {
    /// What the file was, once unpacked.
    pub format: ScanFormat,
    /// Whether the file was packed with gzip.
    pub gzip: bool,
    /// The welded mesh, in the file's own unit. Facets in the order of the file.
    pub mesh: Mesh,
    /// Vertices in the file before welding. STL lists three for each facet.
    pub file_vertices: usize,
    /// Facets in the file, before polygons were cut into triangles.
    pub file_facets: usize,
    /// What the reader met and went past, as sentences for people.
    pub remarks: Vec<String>,
}

/// How much a reader may take in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReadLimits {
    /// Most bytes of a scan, packed or unpacked. The default, 1 GiB, is 21 million facets of
    /// binary STL: far beyond any cast, and it stops a gzip bomb before memory runs out.
    pub max_bytes: u64,
}

impl Default for ReadLimits {
    fn default() -> Self {
        Self { max_bytes: 1 << 30 }
    }
}

/// Reads a scan file, under the default [`ReadLimits`].
///
/// Memory: what is kept is at most 32 times the unpacked bytes, since each facet and each vertex takes
/// at least some bytes of its own in the file.
///
/// # Errors
/// [`ScanError`]: what is wrong, where, the value found and the limit, and what to do.
pub fn read_scan(path: &Path) -> Result<Scan, ScanError> {
    let limits = ReadLimits::default();
    let io = |source| ScanError::Io {
        source,
        path: path.to_path_buf(),
    };
    let unusable = |fault| ScanError::Unusable {
        fault: Box::new(fault),
        path: path.to_path_buf(),
    };
    // Asked before it is opened: opening a pipe waits for somebody to write into it.
    let metadata = std::fs::metadata(path).map_err(io)?;
    if !metadata.is_file() {
        let is = if metadata.is_dir() {
            "a folder"
        } else {
            "a pipe or a device"
        };
        return Err(unusable(ScanFault::NoFile { is }));
    }
    let file = File::open(path).map_err(io)?;
    // Room for the whole file and the byte that tells its end; a file may still grow or lie.
    let length = metadata.len().min(limits.max_bytes);
    let mut bytes = Vec::new();
    let room = usize::try_from(length + 1).unwrap_or(usize::MAX);
    if bytes.try_reserve_exact(room).is_err() {
        return Err(unusable(ScanFault::NoMemory { bytes: length }));
    }
    // One byte more than allowed tells a file that is too large, even one that never ends.
    file.take(limits.max_bytes + 1)
        .read_to_end(&mut bytes)
        .map_err(io)?;
    parse_scan(&bytes, limits).map_err(unusable)
}

/// Reads a scan from the bytes of a file.
///
/// # Errors
/// [`ScanFault`].
pub fn parse_scan(bytes: &[u8], limits: ReadLimits) -> Result<Scan, ScanFault> {
    if bytes.len() as u64 > limits.max_bytes {
        return Err(ScanFault::TooLarge {
            limit: limits.max_bytes,
        });
    }
    match tell(bytes)? {
        Kind::Gzip => {
            let unpacked = unpack::gunzip(bytes, limits.max_bytes)?;
            let mut scan = parse_kind(&unpacked.bytes, tell(&unpacked.bytes)?)?;
            scan.gzip = true;
            scan.remarks.extend(unpacked.remark);
            Ok(scan)
        }
        kind => parse_kind(bytes, kind),
    }
}

fn parse_kind(bytes: &[u8], kind: Kind) -> Result<Scan, ScanFault> {
    let scan = match kind {
        Kind::StlBinary => stl_binary::parse(bytes),
        Kind::StlAscii => stl_ascii::parse(bytes),
        Kind::Ply => ply::parse(bytes),
        Kind::Obj => obj::parse(bytes),
        Kind::Gzip => Err(ScanFault::GzipTwice),
    }?;
    if scan.mesh.triangles.is_empty() {
        return Err(ScanFault::NoFacets);
    }
    Ok(scan)
}
