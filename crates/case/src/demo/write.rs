//! The sample cases as files.

use super::sample::{DemoCase, SampleKind, sample, trusted};
use crate::atomic::{AtomicWriteError, write_atomically};
use crate::mesh_io::{MeshWriteError, write_ply};
use std::io;
use std::path::{Path, PathBuf};

/// Why the samples could not be written.
#[derive(Debug, thiserror::Error)]
pub enum SampleWriteError {
    /// The folder cannot be made.
    #[error("cannot make the folder for the samples: {source}: {}", path.display())]
    Folder {
        /// Why.
        source: io::Error,
        /// The folder.
        path: PathBuf,
    },
    /// A case file cannot be written.
    #[error(transparent)]
    Case(#[from] AtomicWriteError),
    /// A scan cannot be written.
    #[error(transparent)]
    Scan(#[from] MeshWriteError),
}

/// Writes every sample case, and its scan at the committed resolution, into a folder (made when it
/// is not there). Files of the same names are replaced, each whole or not at all.
///
/// Returns the files in the order written, case before scan.
///
/// # Errors
/// [`SampleWriteError`].
pub fn write_samples(folder: &Path) -> Result<Vec<PathBuf>, SampleWriteError> {
    let mut written = Vec::new();
    for kind in SampleKind::ALL {
        written.extend(write_sample(kind, folder)?);
    }
    Ok(written)
}

/// Writes one sample case, and its scan if it has one, to a folder; makes the folder. The case's
/// path comes first.
///
/// # Errors
/// [`SampleWriteError`].
pub fn write_sample(kind: SampleKind, folder: &Path) -> Result<Vec<PathBuf>, SampleWriteError> {
    std::fs::create_dir_all(folder).map_err(|source| SampleWriteError::Folder {
        source,
        path: folder.to_path_buf(),
    })?;
    let DemoCase {
        file_stem,
        case,
        mesh,
    } = sample(kind, kind.triangles());
    let path = folder.join(format!("{file_stem}.json"));
    let text = trusted(&case).to_text();
    write_atomically(&path, |out| out.write_all(text.as_bytes()))?;
    let mut written = vec![path];
    if let Some(mesh) = mesh {
        let path = folder.join(format!("{file_stem}.ply"));
        write_ply(&path, &mesh)?;
        written.push(path);
    }
    Ok(written)
}
