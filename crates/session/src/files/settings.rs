//! What the user prefers, and the cases opened last.
//!
//! A settings file that cannot be read is no reason not to start: the defaults are taken, and it is
//! replaced when something is next changed.

use super::profile::Profile;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use tiltbench_case::atomic::{AtomicWriteError, write_atomically};

/// Cases that are remembered.
const MOST_RECENT: usize = 12;

/// Settings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Seconds between a change and the recovery file that holds it. Default 5.
    pub autosave_s: u32,
    /// Whether a case is surveyed by itself once it has been left alone. Default true.
    pub survey_by_itself: bool,
    /// Cases opened or saved last, newest first, by absolute path.
    pub recent: Vec<PathBuf>,
    /// What the window keeps here: units, colours, panels. Never read by the session.
    pub window: Value,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            autosave_s: 5,
            survey_by_itself: true,
            recent: Vec::new(),
            window: Value::Null,
        }
    }
}

impl Settings {
    /// Reads the settings of a profile; the defaults where there are none, with the reason if they
    /// could not be read.
    pub(crate) fn read(profile: &Profile) -> (Self, Option<String>) {
        let path = profile.settings_path();
        let read = match fs::read(&path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Default::default(),
            Err(error) => Err(error.to_string()),
            Ok(bytes) => serde_json::from_slice(&bytes).map_err(|error| error.to_string()),
        };
        match read {
            Ok(settings) => (settings, None),
            Err(reason) => {
                let reason = format!(
                    "the settings cannot be read and the defaults were taken: {reason}: {}",
                    path.display()
                );
                (Self::default(), Some(reason))
            }
        }
    }

    /// Writes the settings.
    pub(crate) fn write(&self, profile: &Profile) -> Result<(), AtomicWriteError> {
        let path = profile.settings_path();
        let failed = |step, source| AtomicWriteError::before_writing(step, source, &path);
        fs::create_dir_all(profile.folder())
            .map_err(|error| failed("making the folder of the profile", error))?;
        let text = serde_json::to_string_pretty(self)
            .map_err(|error| failed("turning the settings into text", error.into()))?;
        write_atomically(&path, |out| out.write_all(text.as_bytes()))
    }

    /// Puts a case at the top of those opened last.
    pub(crate) fn remember(&mut self, path: &Path) {
        self.recent.retain(|known| known != path);
        self.recent.insert(0, path.to_path_buf());
        self.recent.truncate(MOST_RECENT);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_read_back_and_a_broken_file_is_no_disaster() {
        let folder = tempfile::tempdir().unwrap();
        let profile = Profile::at(folder.path().join("not/there/yet"));
        assert_eq!(Settings::read(&profile), (Settings::default(), None));
        let mut settings = Settings {
            survey_by_itself: false,
            ..Settings::default()
        };
        settings.remember(Path::new("/a.json"));
        settings.write(&profile).unwrap();
        assert_eq!(Settings::read(&profile), (settings, None));
        fs::write(profile.settings_path(), "{ \"autosave_s\": \"often\" }").unwrap();
        let (settings, reason) = Settings::read(&profile);
        assert_eq!(settings, Settings::default());
        assert!(reason.unwrap().contains("the defaults were taken"));
        fs::write(profile.settings_path(), "{ \"autosave_s\": 9, \"new\": 1 }").unwrap();
        assert_eq!(Settings::read(&profile).0.autosave_s, 9);
    }

    #[test]
    fn the_newest_case_comes_first_and_only_once() {
        let mut settings = Settings::default();
        for number in 0..20 {
            settings.remember(Path::new(&format!("/{number}.json")));
        }
        settings.remember(Path::new("/15.json"));
        assert_eq!(settings.recent.len(), MOST_RECENT);
        assert_eq!(settings.recent[0], Path::new("/15.json"));
        assert_eq!(settings.recent[1], Path::new("/19.json"));
        let again = settings.recent.iter().filter(|p| p.ends_with("15.json"));
        assert_eq!(again.count(), 1);
    }
}
