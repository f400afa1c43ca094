//! Which recovery files belong to a session that still runs.
//!
//! Each session holds a lock on a file of its own for as long as it lives; the system lets go of it
//! when the program ends, however it ends. A recovery file whose session can be locked is left over.

use super::profile::Profile;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime, UNIX_EPOCH};
use tiltbench_case::atomic::sweep_unfinished;

/// A session's own lock.
#[derive(Debug)]
pub(crate) struct SessionLock {
    id: String,
    path: PathBuf,
    /// Held, never read. None where the profile cannot be written: then nothing is protected.
    file: Option<File>,
}

/// Seconds since 1970.
#[expect(
    clippy::disallowed_methods,
    reason = "the clock names sessions and dates recovery files; no result depends on it"
)]
pub(super) fn now() -> Duration {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .unwrap_or_default()
}

fn path_of(profile: &Profile, id: &str) -> PathBuf {
    profile.recovery_folder().join(format!("{id}.lock"))
}

impl SessionLock {
    /// Takes a lock under a name that no other session has.
    pub(crate) fn take(profile: &Profile) -> Self {
        let id = format!("{}-{}", std::process::id(), now().as_nanos());
        let path = path_of(profile, &id);
        let lock = || -> io::Result<File> {
            fs::create_dir_all(profile.recovery_folder())?;
            let file = File::create_new(&path)?;
            file.lock()?;
            Ok(file)
        };
        let file = lock().ok();
        Self { id, path, file }
    }

    /// The session's name.
    pub(crate) fn id(&self) -> &str {
        &self.id
    }
}

impl Drop for SessionLock {
    fn drop(&mut self) {
        self.file = None;
        // What cannot be removed is in nobody's way: its lock is gone.
        drop(fs::remove_file(&self.path));
    }
}

/// A lock younger than this may be one that its session is just about to take.
const JUST_TAKEN: Duration = Duration::from_mins(1);

/// Removes the locks of sessions that ended without doing so, and what they left half written. What cannot be
/// removed is in nobody's way.
pub(crate) fn sweep(profile: &Profile) {
    sweep_unfinished(profile.folder());
    sweep_unfinished(&profile.recovery_folder());
    let Ok(entries) = fs::read_dir(profile.recovery_folder()) else {
        return;
    };
    let paths = entries.filter_map(|entry| Some(entry.ok()?.path()));
    for path in paths.filter(|path| path.extension().is_some_and(|end| end == "lock")) {
        if is_stale(&path) {
            drop(fs::remove_file(&path));
        }
    }
}

/// Whether nobody holds a lock, and has not for a while.
fn is_stale(path: &Path) -> bool {
    let Ok(file) = File::open(path) else {
        return false;
    };
    let made = file.metadata().and_then(|data| data.modified());
    let age = made.ok().and_then(|made| made.elapsed().ok());
    age.is_some_and(|age| age > JUST_TAKEN) && file.try_lock().is_ok()
}

/// Whether a session still runs.
pub(super) fn is_alive(profile: &Profile, id: &str) -> bool {
    File::open(path_of(profile, id)).is_ok_and(|file| file.try_lock().is_err())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn locks_of_dead_sessions_are_swept_and_no_others() {
        let folder = tempfile::tempdir().unwrap();
        let profile = Profile::at(folder.path());
        let alive = SessionLock::take(&profile);
        let long_ago = UNIX_EPOCH + now() - 2 * JUST_TAKEN;
        for id in ["1-1", "2-2", alive.id()] {
            let mut options = File::options();
            let file = options.create(true).append(true);
            let file = file.open(path_of(&profile, id)).unwrap();
            file.set_modified(long_ago).unwrap();
        }
        fs::write(path_of(&profile, "3-3"), "").unwrap();
        fs::write(profile.recovery_folder().join("2-2.json"), "{}").unwrap();
        sweep(&profile);
        let there = |id: &str| path_of(&profile, id).exists();
        assert!(!there("1-1") && !there("2-2") && there("3-3") && there(alive.id()));
        assert!(profile.recovery_folder().join("2-2.json").exists());
        assert!(is_alive(&profile, alive.id()));
    }

    #[test]
    fn a_session_is_alive_while_it_holds_its_lock() {
        let folder = tempfile::tempdir().unwrap();
        let profile = Profile::at(folder.path());
        let (one, two) = (SessionLock::take(&profile), SessionLock::take(&profile));
        let id = one.id().to_owned();
        assert_ne!(id, two.id());
        assert!(is_alive(&profile, &id));
        drop(one);
        assert!(!is_alive(&profile, &id));
        assert!(is_alive(&profile, two.id()));
        // Killed: the file is there, the lock is not.
        fs::write(path_of(&profile, "7-7"), "").unwrap();
        assert!(!is_alive(&profile, "7-7"));
    }
}
