//! Why a file cannot be opened or saved.

use std::path::PathBuf;
use tiltbench_case::CaseErrors;
use tiltbench_case::atomic::AtomicWriteError;
use tiltbench_case::mesh_io::MeshWriteError;

/// Why a file cannot be opened or saved. The document is then as it was.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// There is unsaved work, and nobody said that it may go.
    #[error("there are unsaved changes; save them first, or say that they may go")]
    Unsaved,
    /// The case was never saved, so it has no file yet.
    #[error("the case has no file yet; choose where to save it")]
    NoPath,
    /// Somebody else wrote the case file meanwhile.
    #[error(
        "the case file was changed by another program since it was opened here; save under another \
         name, or choose the same name to replace it: {}", .0.display()
    )]
    ChangedOnDisk(PathBuf),
    /// The path names nothing that can be taken apart.
    #[error("this is no path of a file: {}", .0.display())]
    NotAFile(PathBuf),
    /// It is no case.
    #[error("cannot open the case: {errors}: {}", path.display())]
    Case {
        /// Why.
        #[source]
        errors: CaseErrors,
        /// The file.
        path: PathBuf,
    },
    /// It cannot be written.
    #[error(transparent)]
    Write(#[from] AtomicWriteError),
    /// The scan that only lives in memory cannot be written beside the case.
    #[error("cannot save the scan beside the case: {0}")]
    Scan(#[from] MeshWriteError),
    /// The scan that only lives in memory has not been made yet.
    #[error("the scan has not been read yet; wait until it is there")]
    ScanNotRead,
    /// It cannot be turned into text.
    #[error("the case cannot be turned into text: {0}")]
    Text(#[source] CaseErrors),
    /// A recovery file that is none.
    #[error("this is no recovery file: {reason}: {}", path.display())]
    Recovery {
        /// Why.
        reason: String,
        /// The file.
        path: PathBuf,
    },
    /// No thread for the job.
    #[error(transparent)]
    Job(#[from] crate::jobs::JobError),
}
