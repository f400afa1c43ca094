//! The user's folder.

use std::path::{Path, PathBuf};

/// The folder in which settings and recovery files of unsaved cases are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Profile {
    folder: PathBuf,
}

impl Profile {
    /// A folder of one's own choice; made when something is first written.
    pub fn at(folder: impl Into<PathBuf>) -> Self {
        Self {
            folder: folder.into(),
        }
    }

    /// The folder the system gives to programs for the user's settings; none if it names none.
    pub fn of_user() -> Option<Self> {
        Some(Self::at(dirs::config_dir()?.join("tiltbench")))
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The settings file.
    pub(crate) fn settings_path(&self) -> PathBuf {
        self.folder.join("settings.json")
    }

    /// Where recovery files of unsaved cases lie.
    pub(crate) fn recovery_folder(&self) -> PathBuf {
        self.folder.join("recovery")
    }
}
