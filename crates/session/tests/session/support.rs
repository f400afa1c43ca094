//! A session on a profile of its own, and waiting for it.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tempfile::TempDir;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_case::mesh_io::write_ply;
use tiltbench_case::{Case, write_case};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{
    Command, CommandError, IfUnsaved, Notice, Origin, Profile, Session, TiltCommand, Wake,
};

/// Longer than anything takes on a busy machine.
const PATIENCE: Duration = Duration::from_mins(4);

/// Triangles of scans in tests: enough for every zone to be read, few enough to be quick.
pub(crate) const TRIANGLES: usize = 12_000;

/// A session and its folder.
pub(crate) struct Desk {
    pub(crate) session: Session,
    pub(crate) folder: TempDir,
}

impl Desk {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let session = start(folder.path());
        Self { session, folder }
    }

    /// A desk that does not survey by itself.
    pub(crate) fn quiet() -> Self {
        let mut desk = Self::new();
        let mut settings = desk.session.settings().clone();
        settings.survey_by_itself = false;
        desk.session.set_settings(settings).unwrap();
        desk
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a sample with a small scan into the folder.
    pub(crate) fn sample(&self, kind: SampleKind) -> PathBuf {
        let made = sample(kind, TRIANGLES);
        let case = Case::new(&made.case, self.folder.path()).unwrap();
        let path = self.path(&format!("{}.json", made.file_stem));
        write_case(&case, &path).unwrap();
        if let Some(mesh) = made.mesh {
            write_ply(&self.path(&format!("{}.ply", made.file_stem)), &mesh).unwrap();
        }
        path
    }

    /// Opens a sample and waits until its scan is there, if it has one.
    pub(crate) fn open_sample(&mut self, kind: SampleKind) -> PathBuf {
        let path = self.sample(kind);
        self.session.open(&path, IfUnsaved::Refuse).unwrap();
        if self.session.document().scan().is_some() {
            self.until("the scan is there", |s| s.derived().cast.is_some());
        }
        path
    }

    /// Polls until something holds.
    pub(crate) fn until(&mut self, what: &str, holds: impl Fn(&Session) -> bool) {
        until(&mut self.session, what, holds);
    }

    pub(crate) fn apply(&mut self, command: &Command) {
        self.try_apply(command).unwrap();
    }

    pub(crate) fn try_apply(&mut self, command: &Command) -> Result<(), CommandError> {
        self.session.apply(command, Origin::Script)
    }

    /// The case file as it would be written now.
    pub(crate) fn text(&self) -> String {
        self.session.text().unwrap()
    }

    /// The problems that were told, so far.
    pub(crate) fn problems_told(&mut self) -> Vec<String> {
        let notices = self.session.take_notices().into_iter();
        notices
            .filter_map(|notice| match notice {
                Notice::Problem(text) => Some(text),
                _ => None,
            })
            .collect()
    }
}

/// A session on the profile in a folder.
pub(crate) fn start(folder: &Path) -> Session {
    Session::start(Profile::at(folder.join("profile")), Wake::nobody())
}

pub(crate) fn until(session: &mut Session, what: &str, holds: impl Fn(&Session) -> bool) {
    let start = Instant::now();
    loop {
        session.poll();
        if holds(session) {
            return;
        }
        if start.elapsed() >= PATIENCE {
            let derived = session.derived();
            panic!("{what}: waited in vain; jobs {:?}", derived.jobs);
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// Holds a tilt.
pub(crate) fn hold(anterior_deg: f64, lateral_deg: f64) -> Command {
    let tilt = Tilt::from_degrees(anterior_deg, lateral_deg).unwrap();
    Command::Tilt(TiltCommand::Hold(tilt))
}
