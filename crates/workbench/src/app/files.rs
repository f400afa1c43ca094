//! Files: opening, saving, what becomes of unsaved work, what is dropped, and leaving.

use super::ask::{Answer, Ask, Then};
use super::dialogs::{FileAnswer, FileQuestion};
use super::task::Task;
use super::workbench::Workbench;
use crate::actions::Step;
use egui::{Context, ViewportCommand};
use std::path::{Path, PathBuf};
use tiltbench_geometry::frame::Arch;
use tiltbench_session::{FileError, IfUnsaved, ScanSource, Session};

/// A dialog that was open for less than this was probably never seen.
const SEEN_AFTER: std::time::Duration = std::time::Duration::from_millis(300);

impl Workbench {
    /// Does what lets go of the document, or asks first.
    pub(super) fn go(&mut self, ctx: &Context, then: Then) {
        let done = self.try_go(ctx, &then, IfUnsaved::Refuse);
        match done {
            Ok(()) => self.ask = None,
            Err(FileError::Unsaved) => self.ask = Some(Ask::Unsaved(then)),
            Err(error) => {
                self.ask = None;
                self.told.problem(error.to_string());
            }
        }
    }

    fn try_go(&mut self, ctx: &Context, then: &Then, unsaved: IfUnsaved) -> Result<(), FileError> {
        match then {
            Then::New => self.session.new_case(Arch::Mandibular, unsaved)?,
            Then::Open(path) => self.session.open(path, unsaved)?,
            Then::Sample(kind) => self.session.open_sample(*kind, unsaved)?,
            Then::Recover(left) => self.session.recover(left, unsaved)?,
            Then::Quit => {
                if self.session.is_unsaved() && unsaved == IfUnsaved::Refuse {
                    return Err(FileError::Unsaved);
                }
                // What was not saved may go, and its recovery file with it.
                self.session.let_go();
                self.closing = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
                return Ok(());
            }
        }
        self.task = Task::Look;
        self.section = None;
        self.lit = None;
        self.coping = 0;
        self.step = match then {
            Then::New => Step::Intake,
            Then::Open(_) if self.session.document().file().copings.is_empty() => Step::Intake,
            _ => Step::Survey,
        };
        self.restore_view();
        Ok(())
    }

    pub(super) fn answer(&mut self, ctx: &Context, answer: Answer) {
        let Some(ask) = self.ask.take() else {
            return;
        };
        let then = match ask {
            Ask::Unsaved(then) => then,
            Ask::Scan { path, .. } => return self.place_scan(ctx, path, answer),
            Ask::Path { question, text } => {
                if answer == Answer::ThisPath {
                    self.take_typed(ctx, &question, &text);
                } else {
                    self.nothing_chosen();
                }
                return;
            }
            Ask::Recover(_) | Ask::About => return,
        };
        match answer {
            Answer::Cancel | Answer::ThisCase | Answer::NewCase | Answer::ThisPath => {}
            Answer::Discard => {
                let done = self.try_go(ctx, &then, IfUnsaved::Discard);
                self.tell(done);
            }
            Answer::Save => {
                self.save(ctx);
                if self.session.is_unsaved() {
                    // It has no file yet: go on once it has.
                    self.after_save = Some(then);
                } else {
                    self.go(ctx, then);
                }
            }
        }
    }

    pub(super) fn save(&mut self, ctx: &Context) {
        self.keep_view();
        match self.session.save() {
            Ok(()) => {}
            Err(FileError::NoPath) => {
                self.ask_file(ctx, FileQuestion::SaveCase(self.file_name("json")));
            }
            Err(error) => self.told.problem(error.to_string()),
        }
    }

    /// A name for a file of the case.
    pub(super) fn file_name(&self, extension: &str) -> String {
        let document = self.session.document();
        let stem = match (document.path().and_then(Path::file_stem), document.title()) {
            (Some(stem), _) => stem.to_string_lossy().into_owned(),
            (None, "") => "case".to_owned(),
            (None, title) => {
                let kept = title
                    .chars()
                    .map(|c| if c.is_alphanumeric() { c } else { '-' });
                kept.collect::<String>().to_lowercase()
            }
        };
        format!("{stem}.{extension}")
    }

    pub(super) fn ask_file(&mut self, ctx: &Context, question: FileQuestion) {
        if self.asked.is_none() {
            let answer = self.dialogs.ask(&question, ctx.clone());
            self.asked = Some((question, answer));
        }
    }

    /// Takes up what a dialog answered.
    pub(super) fn take_file_answer(&mut self, ctx: &Context) {
        let Some((_, receiver)) = &self.asked else {
            return;
        };
        let answer = match receiver.try_recv() {
            Ok(answer) => answer,
            Err(std::sync::mpsc::TryRecvError::Empty) => return,
            Err(std::sync::mpsc::TryRecvError::Disconnected) => FileAnswer::default(),
        };
        let Some((question, _)) = self.asked.take() else {
            return;
        };
        match answer.path {
            Some(path) => self.take_chosen(ctx, &question, path),
            // There was none to be seen: this desktop has no file chooser.
            None if answer.open_for < SEEN_AFTER => {
                let text = match &question {
                    FileQuestion::SaveCase(name) | FileQuestion::SavePicture(name) => name.clone(),
                    FileQuestion::Open | FileQuestion::OpenScan => String::new(),
                };
                self.ask = Some(Ask::Path { question, text });
            }
            None => self.nothing_chosen(),
        }
    }

    /// What waited for a file waits no longer.
    fn nothing_chosen(&mut self) {
        self.after_save = None;
        self.forget_picture();
    }

    /// Takes up a path that was typed where there is no file chooser.
    fn take_typed(&mut self, ctx: &Context, question: &FileQuestion, text: &str) {
        let text = text.trim();
        if text.is_empty() {
            self.nothing_chosen();
            return;
        }
        self.take_chosen(ctx, question, PathBuf::from(text));
    }

    fn take_chosen(&mut self, ctx: &Context, question: &FileQuestion, path: PathBuf) {
        match question {
            FileQuestion::Open => self.open_chosen(ctx, path),
            FileQuestion::OpenScan => self.load_scan(&path),
            FileQuestion::SaveCase(_) => self.save_as(ctx, &path),
            FileQuestion::SavePicture(_) => self.write_picture(&path),
        }
    }

    /// Opens a file that was chosen or dropped. A scan may be meant for the case in the hand: where
    /// that has copings or zones, it is asked; where it has only been begun, it is so.
    fn open_chosen(&mut self, ctx: &Context, path: PathBuf) {
        let document = self.session.document();
        let file = document.file();
        let has_parts = !file.copings.is_empty() || !file.seat_zones.is_empty();
        let is_begun = document.path().is_some() || self.session.is_unsaved();
        let is_open_to_scans = has_parts || (is_begun && file.cast.is_none());
        if !is_open_to_scans || !Session::may_be_scan(&path) {
            self.go(ctx, Then::Open(path));
        } else if has_parts {
            let replaces = document.scan().map(ScanSource::name);
            self.ask = Some(Ask::Scan { path, replaces });
        } else {
            self.load_scan(&path);
        }
    }

    fn place_scan(&mut self, ctx: &Context, path: PathBuf, answer: Answer) {
        match answer {
            Answer::ThisCase => self.load_scan(&path),
            Answer::NewCase => self.go(ctx, Then::Open(path)),
            Answer::Save | Answer::Discard | Answer::ThisPath | Answer::Cancel => {}
        }
    }

    /// Takes a scan as the cast of the case in the hand, once it is read.
    fn load_scan(&mut self, path: &Path) {
        let done = self.session.load_scan(path);
        if done.is_ok() {
            self.step = Step::Intake;
            self.task = Task::Look;
        }
        self.tell(done);
    }

    fn save_as(&mut self, ctx: &Context, path: &Path) {
        self.keep_view();
        let mut path = PathBuf::from(path);
        if path.extension().is_none() {
            path.set_extension("json");
        }
        match self.session.save_as(&path) {
            Ok(()) => {
                if let Some(then) = self.after_save.take() {
                    self.go(ctx, then);
                }
            }
            Err(error) => {
                self.after_save = None;
                self.told.problem(error.to_string());
            }
        }
    }

    /// A file dropped on the window.
    pub(super) fn take_dropped(&mut self, ctx: &Context) {
        let dropped = ctx.input(|input| input.raw.dropped_files.clone());
        match &dropped[..] {
            [] => {}
            [file] => {
                if let Some(path) = super::picture::path_of(file) {
                    self.open_chosen(ctx, path);
                }
            }
            _ => self.told.say("Drop one file at a time: a case or a scan"),
        }
    }

    /// The window is to be closed.
    pub(super) fn take_close(&mut self, ctx: &Context) {
        let asked = ctx.input(|input| input.viewport().close_requested());
        if !asked {
            return;
        }
        if self.closing || !self.session.is_unsaved() {
            self.keep_view();
            return;
        }
        ctx.send_viewport_cmd(ViewportCommand::CancelClose);
        self.ask = Some(Ask::Unsaved(Then::Quit));
    }
}
