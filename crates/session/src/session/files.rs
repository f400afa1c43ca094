//! New, open, save, samples, recovery.

use super::Session;
use super::scans::absolute;
use crate::command::CommandError;
use crate::document::{Document, State};
use crate::files::FileError;
use crate::history::{History, HistoryLimits};
use crate::jobs::JobKind;
use crate::notice::Notice;
use crate::save::{SavePlan, free_path};
use crate::scan::ScanSource;
use serde_json::Value;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tiltbench_case::atomic::sweep_unfinished;
use tiltbench_case::demo::SampleKind;
use tiltbench_case::mesh_io::{holds_ply, write_ply_in};
use tiltbench_case::schema::v1::{self, CaseFile};
use tiltbench_case::{CaseErrors, Draft, read_draft, write_draft};
use tiltbench_geometry::frame::Arch;

/// What becomes of unsaved work when another document is taken up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum IfUnsaved {
    /// Nothing is done then: [`FileError::Unsaved`].
    Refuse,
    /// It may go.
    Discard,
}

/// An empty case, and its history; revisions are numbered on from `next`.
pub(super) fn empty(arch: Arch, next: u64, limits: HistoryLimits) -> (Document, History) {
    let mut file = CaseFile::new("", arch);
    file.title = None;
    fresh(Draft::new(file), None, next, limits)
}

pub(super) fn fresh(
    draft: Draft,
    scan: Option<ScanSource>,
    next: u64,
    limits: HistoryLimits,
) -> (Document, History) {
    let mut file = draft.file.clone();
    let view = file.view.take();
    let state = State {
        file: Arc::new(file),
        scan,
    };
    let history = History::new(state.clone(), next, limits);
    let document = Document {
        state,
        revision: history.revision(),
        origin: draft,
        path: None,
        written_scan: None,
        view,
    };
    (document, history)
}

impl Session {
    /// Whether there is work that no case file holds.
    pub fn is_unsaved(&self) -> bool {
        let is_saved = self.saved == Some(self.history.revision()) && !self.is_dragging();
        let as_opened = |sample: &State| is_same_but_for_the_hand(sample, &self.document.state);
        !is_saved && !self.sample.as_ref().is_some_and(as_opened)
    }

    /// Begins an empty case.
    ///
    /// # Errors
    /// [`FileError::Unsaved`].
    pub fn new_case(&mut self, arch: Arch, unsaved: IfUnsaved) -> Result<(), FileError> {
        self.may_go(unsaved)?;
        let made = empty(arch, self.history.next_number(), HistoryLimits::default());
        self.take_up_document(made);
        Ok(())
    }

    /// Opens a file, told by its content: a case, with problems or without; or a scan, which becomes
    /// the cast of a new case once it is read. What is neither gives an error, or a
    /// [`Notice::Problem`] once it has been looked into.
    ///
    /// # Errors
    /// [`FileError`]; the document is then as it was.
    pub fn open(&mut self, path: &Path, unsaved: IfUnsaved) -> Result<(), FileError> {
        self.may_go_if(unsaved)?;
        let path = absolute(path)?;
        match read_draft(&path) {
            Ok((draft, _)) => {
                self.open_draft(draft, &path);
                self.on_disk = fingerprint(&path);
                Ok(())
            }
            Err(CaseErrors::AnotherKind { what, .. }) if may_be_a_scan(what) => {
                self.open_scan(&path, unsaved)
            }
            Err(errors) => Err(FileError::Case { errors, path }),
        }
    }

    /// Whether a file that is to be opened may be a scan rather than a case, told by its beginning.
    /// One that cannot be read is neither: [`Session::open`] says why.
    pub fn may_be_scan(path: &Path) -> bool {
        let read = read_draft(path);
        matches!(read, Err(CaseErrors::AnotherKind { what, .. }) if may_be_a_scan(what))
    }

    fn open_draft(&mut self, draft: Draft, path: &Path) {
        self.discard();
        self.forget_all_scans();
        let folder = path.parent().unwrap_or(Path::new(""));
        let written = draft.file.cast.as_ref().map(|cast| {
            let scan = folder.join(&cast.scan);
            (cast.scan.clone(), scan)
        });
        let scan = written
            .as_ref()
            .map(|(_, path)| ScanSource::File(path.clone()));
        let next = self.history.next_number();
        let mut made = fresh(draft, scan, next, HistoryLimits::default());
        made.0.path = Some(path.to_path_buf());
        made.0.written_scan = written;
        self.take_up_document(made);
        self.remember(path);
        self.sweep_beside_case();
    }

    /// Removes what a kill left half written beside the case.
    pub(super) fn sweep_beside_case(&self) {
        if let Some(folder) = self.document.path.as_deref().and_then(Path::parent) {
            sweep_unfinished(folder);
        }
    }

    /// Begins a new case that is a sample; its scan is made in the background.
    ///
    /// # Errors
    /// [`FileError::Unsaved`].
    pub fn open_sample(&mut self, kind: SampleKind, unsaved: IfUnsaved) -> Result<(), FileError> {
        self.may_go(unsaved)?;
        let draft = Draft::new(kind.case());
        let scan = draft
            .file
            .cast
            .as_ref()
            .map(|_| ScanSource::of_sample(kind));
        let next = self.history.next_number();
        self.take_up_document(fresh(draft, scan, next, HistoryLimits::default()));
        self.sample = Some(self.document.state.clone());
        Ok(())
    }

    /// A new case whose cast is a scan that is in memory.
    pub(super) fn new_case_of(&mut self, source: &ScanSource) -> Result<(), CommandError> {
        self.discard();
        let next = self.history.next_number();
        let (mut document, _) = empty(Arch::Mandibular, next, HistoryLimits::default());
        let path = source.path().and_then(Path::to_str);
        let mut file = CaseFile::clone(&document.state.file);
        file.cast = Some(v1::Cast {
            scan: path.ok_or(CommandError::PathNotUnicode)?.to_owned(),
            scan_unit: None,
            frame: None,
            leave_out: Vec::new(),
        });
        document.state = State {
            file: Arc::new(file),
            scan: Some(source.clone()),
        };
        let history = History::new(document.state.clone(), next, HistoryLimits::default());
        self.take_up_document((document, history));
        Ok(())
    }

    /// Saves the case to its file, whole or not at all. Problems do not keep a draft from being
    /// saved: it opens again with them.
    ///
    /// # Errors
    /// [`FileError`]; an existing file is then untouched. [`FileError::ChangedOnDisk`] is for the
    /// user to decide: [`Session::save_as`] to the same path replaces the file.
    pub fn save(&mut self) -> Result<(), FileError> {
        let path = self.document.path.clone().ok_or(FileError::NoPath)?;
        let there = fingerprint(&path);
        if there.is_some() && self.on_disk.is_some() && there != self.on_disk {
            return Err(FileError::ChangedOnDisk(path));
        }
        self.save_as(&path)
    }

    /// Saves the case to another file, which it then belongs to. A scan that only lives in memory is
    /// written beside it.
    ///
    /// # Errors
    /// [`FileError`]; an existing file is then untouched.
    pub fn save_as(&mut self, path: &Path) -> Result<(), FileError> {
        self.release();
        let path = absolute(path)?;
        let folder = path
            .parent()
            .ok_or_else(|| FileError::NotAFile(path.clone()))?;
        self.write_scan_beside(folder)?;
        let plan = SavePlan::new(&self.document, folder);
        let draft = self.document.draft(plan.scan.clone());
        write_draft(&draft, &path)?;
        self.on_disk = fingerprint(&path);
        self.drop_kept();
        self.document.written_scan = plan.scan.zip(plan.scan_path);
        self.document.path = Some(path.clone());
        self.saved = Some(self.history.revision());
        self.sample = None;
        self.remember(&path);
        self.notices.push(Notice::Saved(path));
        Ok(())
    }

    /// Writes a scan that only lives in memory into a folder, and lets the document name the file.
    fn write_scan_beside(&mut self, folder: &Path) -> Result<(), FileError> {
        let Some(source) = self.document.state.scan.clone() else {
            return Ok(());
        };
        if source.path().is_some() {
            return Ok(());
        }
        let scan = self.scans.get(&source).ok_or(FileError::ScanNotRead)?;
        let scan = Arc::clone(scan);
        let mesh = &scan.scan().mesh;
        let cast = self.document.state.file.cast.as_ref();
        let unit = cast.and_then(|cast| cast.scan_unit).unwrap_or_default();
        // Somebody may have put another scan there, and what was mended may have been another one then.
        let mut written = self.written_scans.iter();
        let before =
            written.find(|path| path.parent() == Some(folder) && holds_ply(path, mesh, unit));
        let path = if let Some(path) = before {
            path.clone()
        } else {
            let path = free_path(folder, &source.name());
            write_ply_in(&path, mesh, unit)?;
            self.written_scans.push(path.clone());
            path
        };
        let in_file = ScanSource::File(path);
        self.scans.alias(in_file.clone(), scan);
        let mut state = self.history.state().clone();
        state.scan = Some(in_file);
        self.history.amend(state);
        self.show_present();
        Ok(())
    }

    /// Keeps how the case is looked at; written when the case is saved. No step, no unsaved work.
    pub fn set_view(&mut self, view: Option<Value>) {
        self.document.view = view;
    }

    /// The text of the case file as it would be written beside its scan now.
    ///
    /// # Errors
    /// [`FileError::Text`].
    pub fn text(&self) -> Result<String, FileError> {
        let plan = SavePlan::new(&self.document, self.document.folder());
        let draft = self.document.draft(plan.scan);
        draft.to_text().map_err(FileError::Text)
    }

    /// Lets unsaved work go: the document stays, and counts as saved. For a window that is closed.
    pub fn let_go(&mut self) {
        self.abandon();
        self.discard();
    }

    /// Ends the session. What is not saved goes only if it may.
    ///
    /// # Errors
    /// [`FileError::Unsaved`], with the session to go on with.
    #[expect(clippy::result_large_err, reason = "the session itself comes back")]
    pub fn close(mut self, unsaved: IfUnsaved) -> Result<(), (Self, FileError)> {
        match self.may_go(unsaved) {
            Ok(()) => Ok(()),
            Err(error) => Err((self, error)),
        }
    }

    pub(super) fn may_go_if(&self, unsaved: IfUnsaved) -> Result<(), FileError> {
        if self.is_unsaved() && unsaved == IfUnsaved::Refuse {
            return Err(FileError::Unsaved);
        }
        Ok(())
    }

    /// Lets unsaved work go, if it may.
    pub(super) fn may_go(&mut self, unsaved: IfUnsaved) -> Result<(), FileError> {
        self.may_go_if(unsaved)?;
        self.discard();
        Ok(())
    }

    pub(super) fn discard(&mut self) {
        self.preview = None;
        self.saved = Some(self.history.revision());
        self.drop_kept();
    }

    /// Takes up another document, saved as it is.
    pub(super) fn take_up_document(&mut self, (document, history): (Document, History)) {
        for kind in JobKind::ALL {
            self.runner.cancel(kind);
        }
        self.preview = None;
        self.wanted = None;
        self.on_disk = None;
        self.saved = Some(history.revision());
        self.sample = None;
        self.history = history;
        self.document = document;
        self.derived = crate::derived::Derived::default();
        self.forget_scans();
        self.forget_numbers();
        self.refresh();
    }

    /// Puts a case at the top of those opened last. Settings that cannot be written are no reason
    /// not to open a case.
    fn remember(&mut self, path: &Path) {
        self.settings.remember(path);
        if let Err(error) = self.settings.write(&self.profile) {
            self.notices.push(Notice::Problem(error.to_string()));
        }
    }

    /// The cases opened or saved last, newest first.
    pub fn recent(&self) -> &[PathBuf] {
        &self.settings.recent
    }
}

/// Tells whether a file is what it was; none when it cannot be read. A fingerprint that another
/// version of this program made otherwise only asks once too often.
fn fingerprint(path: &Path) -> Option<u64> {
    let mut hasher = DefaultHasher::new();
    std::fs::read(path).ok()?.hash(&mut hasher);
    Some(hasher.finish())
}

/// Whether what the reader of cases took a file for may be a scan.
fn may_be_a_scan(what: &str) -> bool {
    !what.contains("document") && !what.contains("zip archive")
}

/// Whether two states differ in nothing but the tilt in the hand.
fn is_same_but_for_the_hand(a: &State, b: &State) -> bool {
    let without = |state: &State| {
        let mut file = CaseFile::clone(&state.file);
        crate::held::let_go(&mut file);
        file
    };
    a.scan == b.scan && (Arc::ptr_eq(&a.file, &b.file) || without(a) == without(b))
}
