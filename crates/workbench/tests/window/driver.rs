//! A window under test: its own profile, dialogs that answer what is put in, and waiting.

use crate::common::tolerance;
use egui::Vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use std::path::{Path, PathBuf};
use std::sync::mpsc::Receiver;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use tempfile::TempDir;
use tiltbench_session::{Profile, Session};
use tiltbench_workbench::app::dialogs::{FileAnswer, FileDialogs, FileQuestion, ScriptedDialogs};
use tiltbench_workbench::app::{Start, Workbench};

/// A window with its folder.
pub(crate) struct Window {
    pub(crate) harness: Harness<'static, Workbench>,
    pub(crate) folder: TempDir,
    answers: Arc<Mutex<ScriptedDialogs>>,
    killed: bool,
}

impl Drop for Window {
    /// Tests work on the repository's own samples: nothing is left beside them.
    fn drop(&mut self) {
        if !self.killed {
            self.harness.state_mut().session_mut().let_go();
        }
    }
}

/// Dialogs a test can still put answers into.
struct Shared(Arc<Mutex<ScriptedDialogs>>);

impl FileDialogs for Shared {
    fn ask(&mut self, question: &FileQuestion, wake: egui::Context) -> Receiver<FileAnswer> {
        self.0.lock().expect("one thread").ask(question, wake)
    }
}

/// How a window is set up.
#[derive(Clone, Copy)]
pub(crate) struct Setup {
    pub(crate) size: [f32; 2],
    pub(crate) scale: f32,
    pub(crate) theme: egui::Theme,
    pub(crate) paints: Paints,
}

/// Whether pictures are made.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Paints {
    Yes,
    No,
}

impl Default for Setup {
    fn default() -> Self {
        Self {
            size: [1280.0, 720.0],
            scale: 1.0,
            theme: egui::Theme::Light,
            paints: Paints::No,
        }
    }
}

/// A debug build on a busy machine surveys a sample within this.
const PATIENCE: Duration = Duration::from_mins(5);

impl Window {
    pub(crate) fn open(start: Start) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        Self::open_with(start, &Setup::default(), folder)
    }

    pub(crate) fn open_with(start: Start, setup: &Setup, folder: TempDir) -> Self {
        let answers = Arc::new(Mutex::new(ScriptedDialogs::default()));
        let dialogs = Box::new(Shared(answers.clone()));
        let profile = Profile::at(folder.path().join("profile"));
        let mut builder = Harness::builder()
            .with_size(Vec2::from(setup.size))
            .with_pixels_per_point(setup.scale)
            .with_theme(setup.theme)
            .with_options(tolerance().output_path("../../assets/screens"))
            .with_max_steps(60);
        if setup.paints == Paints::Yes {
            builder = builder.wgpu();
        }
        let theme = setup.theme;
        let mut harness = builder.build_eframe(move |cc| {
            cc.egui_ctx.set_theme(theme);
            Workbench::new(cc, profile, dialogs, &start)
        });
        harness.step();
        Self {
            harness,
            folder,
            answers,
            killed: false,
        }
    }

    /// Ends it without closing it, as a kill does. What is left is its folder.
    pub(crate) fn kill(mut self) -> TempDir {
        self.killed = true;
        let other = tempfile::tempdir().expect("a folder");
        std::mem::replace(&mut self.folder, other)
    }

    pub(crate) fn session(&self) -> &Session {
        self.harness.state().session()
    }

    /// Runs until something holds of the window.
    pub(crate) fn until(&mut self, what: &str, holds: impl Fn(&Workbench) -> bool) {
        let since = Instant::now();
        while !holds(self.harness.state()) {
            assert!(since.elapsed() < PATIENCE, "waited too long: {what}");
            std::thread::sleep(Duration::from_millis(5));
            self.harness.step();
        }
        self.harness.run_steps(2);
    }

    /// Runs until everything is there: figures, marks, survey.
    pub(crate) fn settle(&mut self) {
        self.until("settled", |w| {
            w.is_settled()
                && w.session()
                    .next_due()
                    .is_none_or(|d| d > Duration::from_secs(1))
        });
    }

    /// Runs until the survey is of now.
    pub(crate) fn surveyed(&mut self) {
        self.until("surveyed", |window| {
            let derived = window.session().derived();
            window.is_settled() && derived.survey.as_ref().is_some_and(|s| !s.is_stale())
        });
    }

    /// Clicks what is called that.
    pub(crate) fn click(&mut self, label: &str) {
        self.harness.get_by_label(label).click();
        self.harness.run_steps(3);
    }

    /// Clicks an item of a menu.
    pub(crate) fn menu(&mut self, menu: &str, item: &str) {
        self.click(menu);
        self.harness.get_by_label_contains(item).click();
        self.harness.run_steps(3);
    }

    /// What the next dialog answers.
    pub(crate) fn answer(&self, path: impl Into<PathBuf>) {
        let mut answers = self.answers.lock().expect("one thread");
        answers.answers.push_back(Some(path.into()));
    }

    /// Drops a file on the window.
    pub(crate) fn drop_file(&mut self, path: &Path) {
        let dropped = Arc::new(Dropped(path.to_path_buf()));
        self.harness.input_mut().dropped_files.push(dropped);
        self.harness.run_steps(3);
    }
}

#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|error| error.to_string())
    }
}

/// A file of the sample cases.
pub(crate) fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../sample-cases")
        .join(name)
}
