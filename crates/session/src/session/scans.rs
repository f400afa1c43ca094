//! Scans wanted, loaded and mended.

use super::{IfUnsaved, Session};
use crate::command::{CastCommand, Command, CommandError, Origin};
use crate::files::FileError;
use crate::intake::{CastTurn, FrameError, OcclusalPicks, turn_of_picks};
use crate::jobs::{JobKind, ScanMade, load_scan, mend_scan};
use crate::notice::Notice;
use crate::scan::{Repair, ScanSource};
use std::path::{Path, PathBuf};

/// What a scan is wanted for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum ScanWanted {
    /// For the cast the document names.
    ForCast(ScanSource),
    /// To become the cast, as a step of its own.
    ToUse,
    /// To become the cast of a new case.
    ForNewCase(ScanSource),
}

impl Session {
    /// Loads a scan and, once it is read, takes it as the cast: one step. A file that is no scan
    /// gives a [`Notice::Problem`].
    ///
    /// # Errors
    /// The job could not be started.
    pub fn load_scan(&mut self, path: &Path) -> Result<(), FileError> {
        let source = ScanSource::File(absolute(path)?);
        self.want(ScanWanted::ToUse, source)
    }

    /// Carries out a repair the scan offers and takes the mended scan as the cast: one step. The
    /// file it came from stays as it is; the mended scan is written beside the case when that is
    /// saved.
    ///
    /// # Errors
    /// There is no cast in the hand, or the job could not be started.
    pub fn mend(&mut self, repair: Repair) -> Result<(), FileError> {
        let cast = self.derived.cast.as_ref().ok_or(FileError::ScanNotRead)?;
        let work = mend_scan(cast.scan.clone(), repair.turns_open());
        self.wanted = Some(ScanWanted::ToUse);
        Ok(self.runner.submit(JobKind::LoadScan, work)?)
    }

    /// A new case whose cast a scan becomes, once it is read.
    pub(super) fn open_scan(&mut self, path: &Path, unsaved: IfUnsaved) -> Result<(), FileError> {
        self.may_go(unsaved)?;
        let source = ScanSource::File(absolute(path)?);
        self.want(ScanWanted::ForNewCase(source.clone()), source)
    }

    fn want(&mut self, wanted: ScanWanted, source: ScanSource) -> Result<(), FileError> {
        self.wanted = Some(wanted);
        Ok(self.runner.submit(JobKind::LoadScan, load_scan(source))?)
    }

    /// Asks for the scan the document names, unless it is in memory or known not to be had.
    pub(super) fn want_cast(&mut self) {
        let Some(source) = self.document.state.scan.clone() else {
            return;
        };
        let busy = self.wanted.is_some() && self.runner.is_wanted(JobKind::LoadScan);
        let known =
            self.scans.get(&source).is_some() || self.numbers.given_up.contains_key(&source);
        if known || (busy && self.wanted != Some(ScanWanted::ForCast(source.clone()))) {
            return;
        }
        if !busy && let Err(error) = self.want(ScanWanted::ForCast(source.clone()), source.clone())
        {
            self.numbers.given_up.insert(source, error.to_string());
        }
    }

    /// Takes up a scan that was read.
    pub(super) fn take_up_scan(&mut self, made: ScanMade) {
        let source = made.scan.source().clone();
        let name = source.name();
        self.scans.put(made.scan);
        let use_it = Command::Cast(CastCommand::Use(source));
        let used: Result<(), CommandError> = match self.wanted.take() {
            Some(ScanWanted::ToUse) => self.apply(&use_it, Origin::Job),
            Some(ScanWanted::ForNewCase(source)) => self.new_case_of(&source),
            Some(ScanWanted::ForCast(_)) | None => Ok(()),
        };
        match used {
            Ok(()) => self.notices.push(Notice::ScanLoaded(name)),
            Err(error) => self.notices.push(Notice::Problem(error.to_string())),
        }
        self.refresh();
    }

    /// A scan that was wanted cannot be had.
    pub(super) fn scan_failed(&mut self, reason: String) {
        match self.wanted.take() {
            Some(ScanWanted::ForCast(source)) => {
                self.numbers.given_up.insert(source, reason.clone());
            }
            Some(ScanWanted::ToUse | ScanWanted::ForNewCase(_)) | None => {}
        }
        self.notices.push(Notice::Problem(reason));
        self.refresh();
    }

    /// Nobody waits for the scan any more.
    pub(super) fn give_up_scan(&mut self) {
        if let Some(ScanWanted::ForCast(source)) = self.wanted.take() {
            let reason = "reading the scan was cancelled";
            self.numbers.given_up.insert(source, reason.into());
            self.derived.cast_problem = Some(reason.into());
        }
    }

    /// Tries again to read the scan of the cast, and to cut its zones.
    pub fn read_cast_again(&mut self) {
        self.numbers.given_up.clear();
        self.forget_cutting();
        self.refresh();
    }

    /// How far the cast would turn if it were oriented by these picks; `None` while there is no cast
    /// in the hand.
    pub fn turn_of_picks(&self, picks: &OcclusalPicks) -> Option<Result<CastTurn, FrameError>> {
        let cast = self.derived.cast.as_ref()?;
        Some(turn_of_picks(picks, &cast.mesh))
    }

    /// Lets go of all scans, before a case is read from disk: their files may have changed since.
    pub(super) fn forget_all_scans(&mut self) {
        self.scans.keep_only(&|_| false);
    }

    /// Lets go of scans that nobody can come back to.
    pub(super) fn forget_scans(&mut self) {
        let history = &self.history;
        self.scans.keep_only(&|source| history.uses(source));
    }
}

/// The absolute path of a file that need not exist.
pub(super) fn absolute(path: &Path) -> Result<PathBuf, FileError> {
    std::path::absolute(path).map_err(|_empty| FileError::NotAFile(path.to_path_buf()))
}
