//! What a session has to tell its user.

use std::path::PathBuf;

/// Something the user should be told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Notice {
    /// Something could not be done, in words.
    Problem(String),
    /// A scan was taken as the cast, by the name of its file.
    ScanLoaded(String),
    /// The case was saved.
    Saved(PathBuf),
    /// The survey is there.
    Surveyed,
}
