//! Unsaved work that outlives the program.
//!
//! A recovery file holds the draft as text, where its scan comes from, and which session wrote it.
//! It lies beside the case, or in the profile while the case has no file or its folder cannot be
//! written. It is replaced as a whole, removed when the case is saved or all changes are undone, and left
//! behind by a kill.

use super::lock::{is_alive, now};
use super::profile::Profile;
use crate::scan::ScanSource;
use serde::{Deserialize, Serialize};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use tiltbench_case::atomic::{AtomicWriteError, write_atomically};

/// The value of `format` in every recovery file.
const FORMAT: &str = "tiltbench-recovery";

/// What a recovery file holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Recovered {
    format: String,
    version: u32,
    /// The session that wrote it.
    session: String,
    /// Seconds since 1970.
    written_s: u64,
    /// The case's title.
    pub(crate) title: String,
    /// The case file, if it has one.
    pub(crate) case: Option<PathBuf>,
    /// What the case file held when it was last read or written, as a fingerprint.
    #[serde(default)]
    pub(crate) on_disk: Option<u64>,
    /// Where the scan comes from.
    pub(crate) scan: Option<ScanSource>,
    /// The draft, as the text of a case file.
    pub(crate) text: String,
}

/// A recovery file to be written.
#[derive(Debug, Clone)]
pub(crate) struct RecoveryFile {
    pub(crate) path: PathBuf,
    /// Taken where `path` cannot be written.
    pub(crate) instead: PathBuf,
    pub(crate) content: Recovered,
}

impl Recovered {
    pub(crate) fn new(
        session: &str,
        title: &str,
        case: Option<PathBuf>,
        scan: Option<ScanSource>,
        text: String,
    ) -> Self {
        Self {
            format: FORMAT.into(),
            version: 1,
            session: session.into(),
            written_s: now().as_secs(),
            title: title.into(),
            case,
            on_disk: None,
            scan,
            text,
        }
    }

    /// Reads a recovery file.
    pub(crate) fn read(path: &Path) -> Result<Self, String> {
        let bytes = fs::read(path).map_err(|error| error.to_string())?;
        let read: Self = serde_json::from_slice(&bytes).map_err(|error| error.to_string())?;
        match (read.format.as_str(), read.version) {
            (FORMAT, 1) => Ok(read),
            (FORMAT, version) => Err(format!("it is of version {version}, this program knows 1")),
            (other, _) => Err(format!("its format is {other:?}")),
        }
    }
}

impl RecoveryFile {
    pub(crate) fn write(&self) -> Result<(), AtomicWriteError> {
        let text = serde_json::to_string(&self.content).map_err(|error| {
            let step = "turning the case into text";
            AtomicWriteError::before_writing(step, error.into(), &self.path)
        })?;
        let write = |path: &Path| write_atomically(path, |out| out.write_all(text.as_bytes()));
        if self.path != self.instead && write(&self.path).is_ok() {
            return Ok(());
        }
        let folder = self.instead.parent().unwrap_or(Path::new(""));
        fs::create_dir_all(folder).map_err(|source| {
            let step = "making the folder for recovery files";
            AtomicWriteError::before_writing(step, source, &self.instead)
        })?;
        write(&self.instead)
    }

    /// Removes a recovery file that may not be there. What cannot be removed is offered again: no work
    /// is lost.
    pub(crate) fn remove(path: &Path) {
        drop(fs::remove_file(path));
    }
}

/// Where the recovery file of a case lies: hidden, beside it.
pub(crate) fn recovery_path(case: &Path) -> PathBuf {
    let name = case.file_name().unwrap_or_default().to_string_lossy();
    case.with_file_name(format!(".{name}.recovery"))
}

/// Work that a session left behind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recoverable {
    /// The recovery file.
    pub file: PathBuf,
    /// The case it belongs to; none if it was never saved.
    pub case: Option<PathBuf>,
    /// The title it had; empty if it had none.
    pub title: String,
    /// When it was written, seconds since 1970.
    pub written_s: u64,
}

/// The recovery file at a path, if it is one that a session left behind.
fn left_behind(profile: &Profile, file: &Path) -> Option<Recoverable> {
    let read = Recovered::read(file).ok()?;
    (!is_alive(profile, &read.session)).then(|| Recoverable {
        file: file.to_path_buf(),
        case: read.case,
        title: read.title,
        written_s: read.written_s,
    })
}

/// All work left behind: in the profile, and beside the given cases. Newest first.
pub(crate) fn recoverable(profile: &Profile, cases: &[PathBuf]) -> Vec<Recoverable> {
    let in_profile = || -> io::Result<Vec<PathBuf>> {
        let entries = fs::read_dir(profile.recovery_folder())?;
        let paths = entries.map(|entry| entry.map(|entry| entry.path()));
        paths.collect()
    };
    let in_profile = in_profile().unwrap_or_default().into_iter();
    let mut found: Vec<Recoverable> = in_profile
        .filter(|path| path.extension().is_some_and(|end| end == "json"))
        .chain(cases.iter().map(|case| recovery_path(case)))
        .filter_map(|path| left_behind(profile, &path))
        .collect();
    found.sort_by(|a, b| (b.written_s, &b.file).cmp(&(a.written_s, &a.file)));
    found
}

#[cfg(test)]
mod tests {
    use super::super::lock::SessionLock;
    use super::*;

    fn file(folder: &Path, session: &str, case: Option<&Path>) -> RecoveryFile {
        let instead = folder.join("recovery").join(format!("{session}.json"));
        RecoveryFile {
            path: case.map_or(instead.clone(), recovery_path),
            instead,
            content: Recovered::new(session, "t", case.map(Into::into), None, "{}".into()),
        }
    }

    #[test]
    fn what_a_dead_session_left_is_offered_and_what_a_living_one_keeps_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let profile = Profile::at(folder.path());
        let case = folder.path().join("case.json");
        let alive = SessionLock::take(&profile);
        file(folder.path(), alive.id(), None).write().unwrap();
        file(folder.path(), "dead", None).write().unwrap();
        let beside = file(folder.path(), "also-dead", Some(&case));
        beside.write().unwrap();
        assert!(folder.path().join(".case.json.recovery").is_file());
        let found = recoverable(&profile, std::slice::from_ref(&case));
        let mut cases: Vec<_> = found.iter().map(|found| found.case.clone()).collect();
        cases.sort();
        assert_eq!(cases, [None, Some(case)]);
        drop(alive);
        assert_eq!(recoverable(&profile, &[]).len(), 2);
        RecoveryFile::remove(&beside.path);
        assert!(!beside.path.exists());
    }

    #[test]
    fn where_the_folder_cannot_be_written_the_profile_is_taken() {
        let folder = tempfile::tempdir().unwrap();
        let case = folder.path().join("gone/case.json");
        let file = file(folder.path(), "dead", Some(&case));
        file.write().unwrap();
        assert!(file.instead.is_file() && !file.path.exists());
        let found = recoverable(&Profile::at(folder.path()), &[]);
        assert_eq!(found[0].case, Some(case));
    }

    #[test]
    fn other_files_are_no_recovery_files() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("x.json");
        for (text, words) in [("{", "EOF"), ("{}", "missing field")] {
            fs::write(&path, text).unwrap();
            assert!(Recovered::read(&path).unwrap_err().contains(words));
        }
        let mut other = Recovered::new("s", "t", None, None, String::new());
        other.version = 2;
        fs::write(&path, serde_json::to_string(&other).unwrap()).unwrap();
        assert!(Recovered::read(&path).unwrap_err().contains("version 2"));
    }
}
