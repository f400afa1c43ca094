//! A window under test: its own profile, dialogs that answer what is put in, and waiting.

use crate::common::tolerance;
use egui::accesskit::Role;
use egui::{Event, Key, MissingGlyphPolicy, Modifiers, Pos2, Vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, Node};
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
    /// What becomes of a sign that no font has.
    pub(crate) missing_glyphs: MissingGlyphPolicy,
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
            missing_glyphs: MissingGlyphPolicy::Panic,
        }
    }
}

/// A window, driven without a screen.
pub(crate) fn harness(
    start: Start,
    setup: &Setup,
    profile: Profile,
    dialogs: Box<dyn FileDialogs>,
) -> Harness<'static, Workbench> {
    let mut builder = Harness::builder()
        .with_size(Vec2::from(setup.size))
        .with_pixels_per_point(setup.scale)
        .with_theme(setup.theme)
        .with_options(tolerance().output_path("../../assets/screens"))
        .with_max_steps(60);
    if setup.paints == Paints::Yes {
        builder = builder.wgpu();
    }
    if setup.missing_glyphs == MissingGlyphPolicy::Tofu {
        builder = builder.allow_missing_glyphs();
    }
    let theme = setup.theme;
    let mut harness = builder.build_eframe(move |cc| {
        cc.egui_ctx.set_theme(theme);
        Workbench::new(cc, profile, dialogs, &start)
    });
    harness.step();
    harness
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
        let harness = harness(start, setup, profile, dialogs);
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
            assert!(
                since.elapsed() < PATIENCE,
                "waited too long: {what}; under way: {:?}",
                self.session().derived().jobs
            );
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

    /// Brings what is called that into sight, and clicks it.
    pub(crate) fn reach(&mut self, label: &str) {
        self.harness.get_by_label(label).scroll_to_me();
        self.harness.run_steps(12);
        self.click(label);
    }

    /// Clicks the button of a name that other things have as well.
    pub(crate) fn push(&mut self, name: &str) {
        let button = self.harness.get_by_role_and_label(Role::Button, name);
        button.click();
        self.harness.run_steps(3);
    }

    /// Presses keys.
    pub(crate) fn press(&mut self, modifiers: Modifiers, key: Key) {
        self.harness.key_press_modifiers(modifiers, key);
        self.harness.run_steps(3);
    }

    /// Types a number into the field of a name.
    pub(crate) fn type_number(&mut self, name: &str, text: &str) {
        self.type_in(Role::SpinButton, name, text);
    }

    /// Types a text into the field of a name, in place of the one there is.
    pub(crate) fn type_text(&mut self, name: &str, text: &str) {
        self.type_in(Role::TextInput, name, text);
    }

    fn type_in(&mut self, role: Role, name: &str, text: &str) {
        self.field(role, name).scroll_to_me();
        self.harness.run_steps(12);
        self.field(role, name).click();
        self.harness.run_steps(2);
        self.press(Modifiers::COMMAND, Key::A);
        self.harness.event(Event::Text(text.to_owned()));
        self.harness.run_steps(2);
        self.press(Modifiers::NONE, Key::Enter);
    }

    /// A field by its name: in the panel of the step, where the ledger has one as well.
    fn field<'a>(&'a self, role: Role, name: &'a str) -> Node<'a> {
        let all = self.harness.get_all_by_role_and_label(role, name);
        let left = |node: &Node<'_>| node.rect().left();
        all.min_by(|a, b| left(a).total_cmp(&left(b)))
            .expect("a field")
    }

    /// How many things are called that.
    pub(crate) fn count(&self, label: &str) -> usize {
        self.harness.query_all_by_label(label).count()
    }

    /// The name of something whose name holds these words; empty if there is none.
    pub(crate) fn said(&self, words: &str) -> String {
        let mut all = self.harness.query_all_by_label_contains(words);
        all.next().map(|node| name_of(&node)).unwrap_or_default()
    }

    /// Every name there is.
    pub(crate) fn names(&self) -> Vec<String> {
        let root = self.harness.root();
        root.children_recursive()
            .map(|node| name_of(&node))
            .collect()
    }

    /// Clicks an item of a menu.
    pub(crate) fn menu(&mut self, menu: &str, item: &str) {
        self.click(menu);
        self.harness.get_by_label_contains(item).click();
        self.harness.run_steps(3);
    }

    /// Where a point of the cast is on screen.
    fn on_screen(&self, point: [f64; 3]) -> Pos2 {
        let view = self.harness.get_by_label_contains("View of the cast");
        let rect = view.rect();
        let camera = self.harness.state().camera();
        let (place, _) = camera.place(&point.into()).expect("before the eye");
        #[expect(clippy::cast_possible_truncation, reason = "a place on screen")]
        let by = Vec2::new(place.x as f32, -place.y as f32) * rect.height();
        rect.center() + by
    }

    /// Clicks where a point of the cast is.
    pub(crate) fn click_cast(&mut self, point: [f64; 3]) {
        let pointer = self.on_screen(point);
        self.harness.hover_at(pointer);
        self.harness.run_steps(1);
        self.harness.drag_at(pointer);
        self.harness.run_steps(1);
        self.harness.drop_at(pointer);
        self.harness.run_steps(2);
    }

    /// What the next dialog answers.
    pub(crate) fn answer(&self, path: impl Into<PathBuf>) {
        let mut answers = self.answers.lock().expect("one thread");
        answers.answers.push_back(FileAnswer {
            path: Some(path.into()),
            open_for: Duration::from_secs(1),
        });
    }

    /// The next dialog is none: this desktop has no file chooser.
    pub(crate) fn answer_without_a_chooser(&self) {
        let mut answers = self.answers.lock().expect("one thread");
        answers.answers.push_back(FileAnswer::default());
    }

    /// Drops a file on the window.
    pub(crate) fn drop_file(&mut self, path: &Path) {
        let dropped = Arc::new(Dropped(path.to_path_buf()));
        self.harness.input_mut().dropped_files.push(dropped);
        self.harness.run_steps(3);
    }
}

/// What something is called: a label by its text.
pub(crate) fn name_of(node: &Node<'_>) -> String {
    let node = node.accesskit_node();
    let name = node.label().or_else(|| node.value());
    name.unwrap_or_default()
}

#[derive(Debug)]
pub(crate) struct Dropped(pub(crate) PathBuf);

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
