//! Taking up work that an earlier session left behind.

use super::Session;
use super::files::{IfUnsaved, fresh};
use crate::files::{FileError, Recoverable, Recovered, RecoveryFile, recoverable};
use crate::history::HistoryLimits;
use crate::scan::ScanSource;
use std::path::Path;
use tiltbench_case::Draft;

impl Session {
    /// Unsaved work that earlier sessions left behind, newest first: in the profile, and beside the
    /// cases opened last.
    pub fn recoverable(&self) -> Vec<Recoverable> {
        recoverable(&self.profile, &self.settings.recent)
    }

    /// Takes up work that was left behind. It is unsaved, and stays kept until it is saved.
    ///
    /// # Errors
    /// [`FileError`]; document and recovery file are then as they were.
    pub fn recover(&mut self, left: &Recoverable, unsaved: IfUnsaved) -> Result<(), FileError> {
        self.may_go_if(unsaved)?;
        let broken = |reason: String| FileError::Recovery {
            reason,
            path: left.file.clone(),
        };
        let read = Recovered::read(&left.file).map_err(broken)?;
        let folder = read.case.as_deref().and_then(Path::parent);
        let draft = Draft::parse(&read.text, folder.unwrap_or(Path::new("")));
        let (draft, _) = draft.map_err(|errors| broken(errors.to_string()))?;
        self.discard();
        self.forget_all_scans();
        self.wait_for_doomed();
        let written = draft.file.cast.as_ref().map(|cast| cast.scan.clone());
        let in_file = read.scan.as_ref().and_then(ScanSource::path);
        let written = written.zip(in_file.map(Path::to_path_buf));
        let next = self.history.next_number();
        let mut made = fresh(draft, read.scan, next, HistoryLimits::default());
        made.0.path = read.case;
        made.0.written_scan = written;
        self.take_up_document(made);
        self.on_disk = read.on_disk;
        self.saved = None;
        self.sweep_beside_case();
        self.keep_taken_up(&left.file);
        Ok(())
    }

    /// Lets work that was left behind go.
    pub fn discard_recoverable(&mut self, left: &Recoverable) {
        RecoveryFile::remove(&left.file);
    }
}
