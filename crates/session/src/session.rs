//! The session: one document, its history, its figures and its jobs.
//!
//! * `edit`: commands, drags, undo and redo.
//! * `scans`: scans wanted, loaded and mended.
//! * `refresh`: what follows from a change. `ask`: which jobs it asks for.
//! * `results`: what jobs brought back. `remembered`: the surveys made last.
//! * `files`: new, open, save, samples.
//! * `keep`: the recovery file. `recover`: work that was left behind.

mod ask;
mod edit;
mod files;
mod keep;
mod recover;
mod refresh;
mod remembered;
mod results;
mod scans;

use crate::derived::Derived;
use crate::document::{Document, Revision};
use crate::files::{Profile, SessionLock, Settings, sweep};
use crate::history::{History, HistoryLimits};
use crate::jobs::{JobKind, Runner, Wake};
use crate::notice::Notice;
use crate::scan::ScanStore;
use keep::Keeper;
use refresh::Numbers;
use scans::ScanWanted;
use std::path::PathBuf;
use std::time::Duration;
use tiltbench_case::atomic::AtomicWriteError;
use tiltbench_geometry::frame::Arch;

pub use files::IfUnsaved;

/// One document in the hand, and everything that can be done with it.
///
/// Owned by one thread. Nothing here takes longer than a few milliseconds but opening and saving
/// files, which take as long as the disk; what takes longer is a job.
#[derive(Debug)]
pub struct Session {
    profile: Profile,
    settings: Settings,
    runner: Runner,
    scans: ScanStore,
    history: History,
    /// What is shown: the present state, or the one a drag is at.
    document: Document,
    preview: Option<edit::Preview>,
    /// The revision that is in the case file; none when unsaved work was recovered.
    saved: Option<Revision>,
    /// A sample as it was opened: no file holds it, and to tilt it is no work.
    sample: Option<crate::document::State>,
    derived: Derived,
    numbers: Numbers,
    wanted: Option<ScanWanted>,
    /// What the case file held when it was last read or written, as a fingerprint.
    on_disk: Option<u64>,
    /// Files that in-memory scans were written to.
    written_scans: Vec<PathBuf>,
    notices: Vec<Notice>,
    keeper: Keeper,
}

impl Session {
    /// Starts a session with an empty case.
    pub fn start(profile: Profile, wake: Wake) -> Self {
        let (settings, problem) = Settings::read(&profile);
        let (document, history) = files::empty(Arch::Mandibular, 0, HistoryLimits::default());
        sweep(&profile);
        let lock = SessionLock::take(&profile);
        let mut session = Self {
            keeper: Keeper::new(lock, &profile),
            profile,
            settings,
            runner: Runner::new(wake),
            scans: ScanStore::default(),
            sample: None,
            saved: Some(history.revision()),
            history,
            document,
            preview: None,
            derived: Derived::default(),
            numbers: Numbers::default(),
            wanted: None,
            on_disk: None,
            written_scans: Vec::new(),
            notices: problem.map(Notice::Problem).into_iter().collect(),
        };
        session.refresh();
        session
    }

    /// Takes up what jobs brought back, and starts what is due. Call it whenever woken, and after
    /// [`Session::next_due`]. Says whether anything shown may have changed.
    pub fn poll(&mut self) -> bool {
        let mut changed = false;
        while let Some(message) = self.runner.take() {
            changed |= self.take_up(message);
        }
        self.keep_when_due();
        let jobs = self.runner.jobs();
        changed |= jobs != self.derived.jobs;
        self.derived.jobs = jobs;
        changed
    }

    /// How long until [`Session::poll`] has something to start by itself; none if nothing is due.
    pub fn next_due(&self) -> Option<Duration> {
        self.keeper.due_in()
    }

    /// The document as it stands, in the middle of a drag too.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// What follows from it.
    pub fn derived(&self) -> &Derived {
        &self.derived
    }

    /// Cancels a job. It is not begun again by itself until something changes; a scan, and zones cut
    /// out of it, by [`Session::read_cast_again`]. Unsaved work is kept all the same.
    pub fn cancel(&mut self, kind: JobKind) {
        if kind == JobKind::Autosave || !self.runner.is_wanted(kind) {
            return;
        }
        self.runner.cancel(kind);
        match kind {
            JobKind::LoadScan => self.give_up_scan(),
            JobKind::CutZones => {
                self.derived.ridge_problem = Some("cutting the seat zones was cancelled".into());
            }
            _ => {}
        }
        self.derived.jobs = self.runner.jobs();
    }

    /// Whether nothing is under way or about to be.
    pub fn is_idle(&self) -> bool {
        JobKind::ALL
            .into_iter()
            .all(|kind| !self.runner.is_wanted(kind) && self.runner.is_idle(kind))
    }

    /// Whether the thread of a kind of job has come to rest, even from a cancelled one.
    pub fn is_at_rest(&self, kind: JobKind) -> bool {
        self.runner.is_idle(kind)
    }

    /// What the user should be told, oldest first. Each is given once.
    pub fn take_notices(&mut self) -> Vec<Notice> {
        std::mem::take(&mut self.notices)
    }

    /// The settings.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Changes the settings and writes them.
    ///
    /// # Errors
    /// They hold for this session, and could not be written.
    pub fn set_settings(&mut self, settings: Settings) -> Result<(), AtomicWriteError> {
        self.settings = settings;
        self.settings.write(&self.profile)
    }
}
