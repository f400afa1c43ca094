//! The window that moves are carried out on; what has a name is touched in `touched`.

use crate::die::Die;
use crate::driver::{Dropped, Paints, Setup, harness};
use crate::files::{self, Answers};
use crate::moves::{At, Hands, Move};
use egui::{
    Event, Key, MissingGlyphPolicy, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton,
    Pos2, TouchPhase, Vec2, ViewportCommand, ViewportEvent, ViewportId,
};
use egui_kittest::Harness;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use tiltbench_session::{JobKind, Profile, Session};
use tiltbench_workbench::app::{Start, Workbench};

/// Called after each frame.
type AfterFrame = Box<dyn FnMut(&Workbench)>;

/// A window, its folder, and its dialogs.
pub(crate) struct Bench {
    pub(crate) harness: Harness<'static, Workbench>,
    folder: PathBuf,
    paints: Paints,
    pub(crate) hands: Hands,
    die: Arc<Mutex<Die>>,
    size: [f32; 2],
    after_frame: AfterFrame,
    /// Whether the window has been told to close.
    closes: bool,
}

/// A debug build on a busy machine surveys a sample within this.
const PATIENCE: Duration = Duration::from_mins(3);

impl Bench {
    pub(crate) fn open(folder: &Path, start: Start, paints: Paints, hands: Hands) -> Self {
        let die = Arc::new(Mutex::new(Die::of(0, 0)));
        Self {
            harness: opened(folder, start, paints, &die),
            folder: folder.to_path_buf(),
            paints,
            hands,
            die,
            size: Setup::default().size,
            after_frame: Box::new(|_| {}),
            closes: false,
        }
    }

    /// What is done after each frame from now on. Each is gone through once, so that nothing that is done in it
    /// is kept before it is told.
    pub(crate) fn watch(&mut self, after_frame: AfterFrame) {
        let once = std::num::NonZeroUsize::MIN;
        self.harness
            .ctx
            .options_mut(|options| options.max_passes = once);
        self.after_frame = after_frame;
    }

    pub(crate) fn window(&self) -> &Workbench {
        self.harness.state()
    }

    pub(crate) fn session_mut(&mut self) -> &mut Session {
        self.harness.state_mut().session_mut()
    }

    /// Carries out a move. Chance that it needs besides hangs on its number alone.
    ///
    /// # Errors
    /// What does not hold.
    pub(crate) fn carry_out(&mut self, what: &Move, seed: u64, number: u64) -> Result<(), String> {
        *self.die.lock().expect("one thread") = Die::of(!seed, number);
        match what {
            Move::Point(at) => self.give([Event::PointerMoved(self.place(*at))]),
            Move::Click(at, button, modifiers) => {
                self.click(self.place(*at), *button, *modifiers);
            }
            Move::Clicks(at, times) => self.clicks(*at, *times),
            Move::Drag {
                from,
                to,
                frames,
                button,
                modifiers,
            } => self.drag([*from, *to], *frames, *button, *modifiers),
            Move::BrokenDrag(from, to) => {
                self.begin_drag(self.place(*from), PointerButton::Primary, Modifiers::NONE);
                self.give([Event::PointerMoved(self.place(*to))]);
                self.press(Modifiers::NONE, Key::Escape);
                self.let_go(self.place(*to), PointerButton::Primary, Modifiers::NONE);
            }
            Move::Wheel(at, by, modifiers) => self.turn_wheel(*at, *by, *modifiers),
            Move::Key(modifiers, key) => self.press(*modifiers, *key),
            Move::Act(action) => {
                let keys = action.shortcut();
                self.press(keys.modifiers, keys.logical_key);
            }
            Move::Text(text) => self.give([Event::Text(text.clone())]),
            Move::Paste(text) => self.give([Event::Paste(text.clone())]),
            Move::Touch(pick, touch) => self.touch(*pick, *touch),
            Move::Fill(pick, text) => self.fill(*pick, text),
            Move::Undo(times) => self.repeat(*times, Modifiers::COMMAND),
            Move::Redo(times) => self.repeat(*times, Modifiers::COMMAND | Modifiers::SHIFT),
            Move::Drop(pick) => {
                let path = files::any(&mut Die::of(*pick, 0), &self.folder);
                self.drop_file(path);
            }
            Move::Size(size) => self.resize(*size),
            Move::Scale(scale) => self.scale(*scale),
            Move::Rest(frames) => self.rest(*frames),
            Move::Paint => self.paint()?,
            Move::Check => self.undo_and_redo()?,
            Move::Close => self.ask_to_close(),
            Move::Again => self.closes = true,
        }
        self.frame();
        if std::mem::take(&mut self.closes) {
            self.open_again();
        }
        Ok(())
    }

    /// A frame with what has been put in.
    fn frame(&mut self) {
        self.harness.step();
        let output = self.harness.output();
        let root = output.viewport_output.get(&ViewportId::ROOT);
        self.closes |= root.is_some_and(|root| root.commands.contains(&ViewportCommand::Close));
        (self.after_frame)(self.harness.state());
    }

    /// Frames that take their time.
    pub(crate) fn rest(&mut self, frames: usize) {
        for _ in 0..frames {
            std::thread::sleep(Duration::from_millis(4));
            self.frame();
        }
    }

    /// Gives events, a frame to each.
    pub(crate) fn give(&mut self, events: impl IntoIterator<Item = Event>) {
        for event in events {
            self.harness.input_mut().events.push(event);
            self.frame();
        }
    }

    fn place(&self, [x, y]: At) -> Pos2 {
        Pos2::new(x * self.size[0], y * self.size[1])
    }

    pub(crate) fn click(&mut self, pos: Pos2, button: PointerButton, modifiers: Modifiers) {
        self.begin_drag(pos, button, modifiers);
        self.let_go(pos, button, modifiers);
    }

    fn begin_drag(&mut self, pos: Pos2, button: PointerButton, modifiers: Modifiers) {
        self.give([
            Event::PointerMoved(pos),
            Event::ModifiersChanged(modifiers),
            button_event(pos, button, true, modifiers),
        ]);
    }

    fn let_go(&mut self, pos: Pos2, button: PointerButton, modifiers: Modifiers) {
        self.give([
            button_event(pos, button, false, modifiers),
            Event::ModifiersChanged(Modifiers::NONE),
        ]);
    }

    fn clicks(&mut self, at: At, times: usize) {
        let pos = self.place(at);
        self.give([Event::PointerMoved(pos)]);
        for pressed in [true, false].repeat(times) {
            let event = button_event(pos, PointerButton::Primary, pressed, Modifiers::NONE);
            self.harness.input_mut().events.push(event);
        }
        self.frame();
    }

    fn drag(&mut self, ends: [At; 2], frames: usize, button: PointerButton, modifiers: Modifiers) {
        let [from, to] = ends.map(|at| self.place(at));
        self.begin_drag(from, button, modifiers);
        for frame in 1..=frames {
            #[expect(clippy::cast_precision_loss, reason = "few frames")]
            let part = frame as f32 / frames as f32;
            self.give([Event::PointerMoved(from + part * (to - from))]);
        }
        self.let_go(to, button, modifiers);
    }

    fn turn_wheel(&mut self, at: At, by: f32, modifiers: Modifiers) {
        self.give([
            Event::PointerMoved(self.place(at)),
            Event::MouseWheel {
                unit: MouseWheelUnit::Point,
                delta: Vec2::new(0.0, by),
                phase: TouchPhase::Move,
                source: MouseWheelSource::Wheel,
                modifiers,
            },
        ]);
    }

    pub(crate) fn press(&mut self, modifiers: Modifiers, key: Key) {
        self.give([
            Event::ModifiersChanged(modifiers),
            key_event(modifiers, key, true),
            key_event(modifiers, key, false),
            Event::ModifiersChanged(Modifiers::NONE),
        ]);
    }

    fn repeat(&mut self, times: usize, modifiers: Modifiers) {
        for _ in 0..times {
            self.press(modifiers, Key::Z);
        }
    }

    pub(crate) fn drop_file(&mut self, path: PathBuf) {
        self.harness
            .input_mut()
            .dropped_files
            .push(Arc::new(Dropped(path)));
        self.rest(2);
    }

    fn resize(&mut self, size: [f32; 2]) {
        self.size = size;
        self.harness.set_size(Vec2::from(size));
    }

    fn scale(&mut self, scale: f32) {
        let viewport = self
            .harness
            .input_mut()
            .viewports
            .get_mut(&ViewportId::ROOT);
        viewport.expect("a window").native_pixels_per_point = Some(scale);
    }

    pub(crate) fn paint(&mut self) -> Result<(), String> {
        match self.paints {
            Paints::Yes => self.harness.render().map(drop),
            Paints::No => Ok(()),
        }
    }

    fn ask_to_close(&mut self) {
        let viewport = self
            .harness
            .input_mut()
            .viewports
            .get_mut(&ViewportId::ROOT);
        let events = &mut viewport.expect("a window").events;
        events.push(ViewportEvent::Close);
    }

    /// The window as it is opened after the one before has ended. Work that was not let go is offered.
    fn open_again(&mut self) {
        self.size = Setup::default().size;
        self.harness = opened(&self.folder, Start::Empty, self.paints, &self.die);
    }

    /// Undoes all, redoes all, and looks whether each state comes back as it was.
    fn undo_and_redo(&mut self) -> Result<(), String> {
        let session = self.session_mut();
        session.release();
        let mut states = vec![session.document().state().clone()];
        let [revision, text] = told(session)?;
        while session.undo() {
            states.push(session.document().state().clone());
        }
        // A scan that is read meanwhile becomes a step of its own.
        if session.is_idle() {
            self.rest(1);
        }
        let session = self.session_mut();
        let steps = states.len() - 1;
        while let Some(state) = states.pop() {
            if *session.document().state() != state {
                return Err(format!(
                    "of {steps} steps undone, step {} is redone as another",
                    states.len()
                ));
            }
            if !states.is_empty() && !session.redo() {
                return Err(format!(
                    "{steps} steps undone, {} of them not redone",
                    states.len()
                ));
            }
        }
        if told(session)? != [revision, text] {
            return Err(format!("{steps} steps undone and redone make another case"));
        }
        Ok(())
    }

    /// Bytes of the shapes of letters. Those of odd texts are kept until there are too many.
    pub(crate) fn letters(&self) -> usize {
        let textures = self.harness.ctx.tex_manager();
        let textures = textures.read();
        textures
            .allocated()
            .map(|(_, texture)| texture.bytes_used())
            .sum()
    }

    /// The window as it always is at the beginning of a stretch: one case, opened afresh, everything worked
    /// out, nothing pressed.
    ///
    /// # Errors
    /// It does not come to rest, or the case is not opened.
    pub(crate) fn afresh(&mut self, stem: &str, tell: impl Fn()) -> Result<(), String> {
        files::put_samples(&self.folder);
        self.resize(Setup::default().size);
        self.scale(Setup::default().scale);
        for _ in 0..4 {
            self.press(Modifiers::NONE, Key::Escape);
        }
        let path = self.folder.join(format!("{stem}.json"));
        self.drop_file(path.clone());
        self.push(|name| name == "Discard changes");
        while self.push(|name| name.starts_with("Put away")) {}
        self.give([Event::PointerGone]);
        let opened = self.window().session().document().path();
        if opened != Some(path.as_path()) || self.window().session().is_unsaved() {
            return Err(format!(
                "{} is dropped, and there is {opened:?}",
                path.display()
            ));
        }
        self.settle(tell)?;
        self.paint()?;
        self.rest(4);
        Ok(())
    }

    fn settle(&mut self, tell: impl Fn()) -> Result<(), String> {
        let since = Instant::now();
        let due = Duration::from_secs(1);
        loop {
            let window = self.window();
            let session = window.session();
            // Even what was cancelled holds what it works on until it has stopped.
            let rests = JobKind::ALL
                .into_iter()
                .all(|kind| session.is_at_rest(kind));
            if rests
                && !window.has_picture()
                && window.is_settled()
                && session.next_due().is_none_or(|next| next > due)
            {
                return Ok(());
            }
            if since.elapsed() > PATIENCE {
                let jobs = &window.session().derived().jobs;
                return Err(format!("it does not come to rest; under way: {jobs:?}"));
            }
            tell();
            self.rest(5);
        }
    }
}

/// Which state a session is at, and its text.
fn told(session: &Session) -> Result<[String; 2], String> {
    let text = session.text().map_err(|error| error.to_string())?;
    let which = (session.document().revision(), session.is_unsaved());
    Ok([format!("{which:?}"), text])
}

fn opened(
    folder: &Path,
    start: Start,
    paints: Paints,
    die: &Arc<Mutex<Die>>,
) -> Harness<'static, Workbench> {
    let answers = Answers {
        die: die.clone(),
        folder: folder.to_path_buf(),
    };
    let setup = Setup {
        paints,
        // What is typed need not be in the fonts.
        missing_glyphs: MissingGlyphPolicy::Tofu,
        ..Setup::default()
    };
    let profile = Profile::at(folder.join("profile"));
    harness(start, &setup, profile, Box::new(answers))
}

fn button_event(pos: Pos2, button: PointerButton, pressed: bool, modifiers: Modifiers) -> Event {
    Event::PointerButton {
        pos,
        button,
        pressed,
        modifiers,
    }
}

fn key_event(modifiers: Modifiers, key: Key, pressed: bool) -> Event {
    Event::Key {
        key,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers,
    }
}
