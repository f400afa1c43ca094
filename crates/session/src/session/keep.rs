//! The recovery file: unsaved work is kept beside the case a few seconds after it was made.

use super::Session;
use crate::files::{Profile, Recovered, RecoveryFile, SessionLock, recovery_path};
use crate::jobs::{JobKind, autosave};
use crate::notice::Notice;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// At the end of a session a recovery file that takes longer to write than this is not waited for.
const LONGEST_WRITE: Duration = Duration::from_secs(2);

/// A recovery file that is to go is looked for again after this.
const LOOK_AGAIN: Duration = Duration::from_millis(20);

/// When the recovery file is due, and where it lies.
#[derive(Debug)]
pub(super) struct Keeper {
    lock: SessionLock,
    /// Where it lies while the case has no file.
    in_profile: PathBuf,
    due: Option<Instant>,
    /// Where a recovery file of this session may lie.
    written: Vec<PathBuf>,
    /// The recovery file of work that was taken up. It goes once this session has written its own: a kill
    /// before would leave nothing.
    taken_up: Option<PathBuf>,
    /// Recovery files that are to go as soon as none is being written.
    doomed: Vec<PathBuf>,
    /// Whether a failure has been told: once is enough.
    told: bool,
}

impl Keeper {
    pub(super) fn new(lock: SessionLock, profile: &Profile) -> Self {
        let name = format!("{}.json", lock.id());
        Self {
            in_profile: profile.recovery_folder().join(name),
            lock,
            due: None,
            written: Vec::new(),
            taken_up: None,
            doomed: Vec::new(),
            told: false,
        }
    }

    pub(super) fn due_in(&self) -> Option<Duration> {
        let due = self
            .due
            .map(|due| due.saturating_duration_since(Instant::now()));
        let doomed = (!self.doomed.is_empty()).then_some(LOOK_AGAIN);
        due.into_iter().chain(doomed).min()
    }
}

impl Session {
    /// The work is to be kept, a few seconds from now; or what was kept is to go, once all is undone.
    pub(super) fn keep_soon(&mut self) {
        if !self.is_unsaved() && self.keeper.written.is_empty() {
            return;
        }
        let wait = Duration::from_secs(u64::from(self.settings.autosave_s));
        self.keeper.due.get_or_insert_with(|| Instant::now() + wait);
    }

    /// Keeps the work if it is due. A drag is not kept before it is released.
    pub(super) fn keep_when_due(&mut self) {
        self.remove_doomed();
        let due = self.keeper.due.is_some_and(|due| due <= Instant::now());
        if due && !self.is_dragging() {
            self.keep_now();
        }
    }

    /// Keeps unsaved work at once. Work that was undone is not to be recovered.
    pub(super) fn keep_now(&mut self) {
        self.keeper.due = None;
        if !self.is_unsaved() {
            self.drop_kept();
            return;
        }
        if !self.remove_doomed() {
            // It may lie where the new one goes: once that is gone.
            self.keeper.due = Some(Instant::now());
            return;
        }
        match self.recovery_file() {
            Ok(file) => {
                for path in [&file.path, &file.instead] {
                    if !self.keeper.written.contains(path) {
                        self.keeper.written.push(path.clone());
                    }
                }
                self.submit(JobKind::Autosave, autosave(file));
            }
            Err(reason) => self.keeping_failed(&reason),
        }
    }

    fn recovery_file(&self) -> Result<RecoveryFile, String> {
        let text = self.document.draft(None).to_text();
        let text = text.map_err(|error| error.to_string())?;
        let in_profile = self.keeper.in_profile.clone();
        let case = self.document.path.clone();
        let mut content = Recovered::new(
            self.keeper.lock.id(),
            self.document.title(),
            case.clone(),
            self.document.state.scan.clone(),
            text,
        );
        content.on_disk = self.on_disk;
        Ok(RecoveryFile {
            path: case.as_deref().map_or(in_profile.clone(), recovery_path),
            instead: in_profile,
            content,
        })
    }

    /// The recovery file was written.
    pub(super) fn kept(&mut self) {
        self.keeper.told = false;
        if let Some(path) = self.keeper.taken_up.take() {
            RecoveryFile::remove(&path);
        }
    }

    /// Work was taken up from a recovery file, which is this session's own to replace or remove.
    pub(super) fn keep_taken_up(&mut self, path: &Path) {
        let beside = self.document.path.as_deref().map(recovery_path);
        if beside.as_deref() != Some(path) {
            self.keeper.taken_up = Some(path.to_path_buf());
        }
        self.keep_now();
    }

    pub(super) fn keeping_failed(&mut self, reason: &str) {
        if !std::mem::replace(&mut self.keeper.told, true) {
            let text = format!("unsaved work cannot be kept for recovery: {reason}");
            self.notices.push(Notice::Problem(text));
        }
    }

    /// Removes the recovery file: the work is saved, or may go. One that is being written just now would
    /// come back after it was removed: it goes as soon as it is there, and is not waited for.
    pub(super) fn drop_kept(&mut self) {
        self.keeper.due = None;
        let taken_up = self.keeper.taken_up.take();
        if self.keeper.written.is_empty() && taken_up.is_none() {
            return;
        }
        self.runner.cancel(JobKind::Autosave);
        self.keeper.doomed.append(&mut self.keeper.written);
        self.keeper.doomed.extend(taken_up);
        self.remove_doomed();
    }

    /// Removes the recovery files that are to go, unless one is being written; says whether none is
    /// left.
    fn remove_doomed(&mut self) -> bool {
        if !self.keeper.doomed.is_empty() && self.runner.is_idle(JobKind::Autosave) {
            for path in self.keeper.doomed.drain(..) {
                RecoveryFile::remove(&path);
            }
        }
        self.keeper.doomed.is_empty()
    }

    /// Waits until the recovery files that are to go are gone, or for as long as one may take to be
    /// written.
    pub(super) fn wait_for_doomed(&mut self) {
        let start = Instant::now();
        while !self.remove_doomed() && start.elapsed() < LONGEST_WRITE {
            std::thread::sleep(Duration::from_millis(1));
        }
    }
}

impl Drop for Session {
    /// Work that was not saved stays in its recovery file; call [`Session::close`] to let it go.
    fn drop(&mut self) {
        if !self.is_unsaved() {
            self.drop_kept();
        }
        self.wait_for_doomed();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jobs::{JobError, Wake};

    #[test]
    fn letting_work_go_does_not_wait_for_a_copy_that_is_being_written() {
        let folder = tempfile::tempdir().unwrap();
        let mut session = Session::start(Profile::at(folder.path()), Wake::nobody());
        let late = folder.path().join("late.json");
        session.keeper.written.push(late.clone());
        let (path, pause) = (late.clone(), Duration::from_millis(400));
        let writes = move || {
            std::thread::sleep(pause);
            std::fs::write(&path, "{}").map_err(|error| JobError::Failed(error.to_string()))
        };
        session.submit(JobKind::Autosave, Box::new(move |_, _| writes()));
        // It has begun: what has not is never written.
        std::thread::sleep(pause / 4);
        let start = Instant::now();
        session.let_go();
        assert!(start.elapsed() < pause / 2, "{:?}", start.elapsed());
        while !session.is_idle() || start.elapsed() < pause {
            session.poll();
            std::thread::sleep(Duration::from_millis(1));
        }
        session.poll();
        assert!(!late.exists(), "gone once it was written");
    }
}
