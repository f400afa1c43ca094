//! Reading and writing scans.

use std::path::Path;
use tiltbench_geometry::mesh::Mesh;

/// What kind of file a scan was, told by its content.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScanFormat {
    /// Binary STL.
    StlBinary,
}

/// A scan as read: vertices welded, nothing else changed, in the file's own unit and axes.
#[derive(Debug, Clone, PartialEq)]
pub struct Scan {
    /// What the file was.
    pub format: ScanFormat,
    /// The welded mesh, in the file's own unit.
    pub mesh: Mesh,
}

/// Why a scan could not be read.
#[derive(Debug, thiserror::Error)]
pub enum ScanError {
    /// Not written yet.
    #[error("{0}: no reader yet")]
    Unread(String),
}

/// Reads a scan.
///
/// # Errors
/// [`ScanError`].
pub fn read_scan(path: &Path) -> Result<Scan, ScanError> {
    Err(ScanError::Unread(path.display().to_string()))
}
