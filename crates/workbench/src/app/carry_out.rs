//! What intents do: the one place where a panel's wish becomes a command or an action.

use super::ask::{Answer, Ask, Then};
use super::dialogs::FileQuestion;
use super::intent::Intent;
use super::picture::Wanted;
use super::task::Task;
use super::workbench::Workbench;
use crate::actions::{Action, Step};
use crate::viewport::camera::Projection;
use crate::viewport::section::SectionOf;
use crate::viewport::{Camera, FixedView, Look, Restore};
use egui::{Context, ViewportCommand};
use nalgebra::{Point3, Vector3};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use tiltbench_geometry::coping::OpposingPair;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{
    Carry, CastCommand, Command, CopingCommand, FileError, IfUnsaved, Origin, TiltCommand,
    ZoneCommand,
};

/// A dialog that answers "nothing" sooner than this was probably never seen.
const SEEN_AFTER: std::time::Duration = std::time::Duration::from_millis(300);

impl Workbench {
    /// Carries out one intent.
    pub(super) fn carry_out(&mut self, ctx: &Context, intent: Intent) {
        match intent {
            Intent::Act(action) => self.do_action(ctx, action),
            Intent::Do(command, origin) => self.apply(&command, origin),
            Intent::Preview(command, origin) => {
                let done = self.session.preview(&command, origin);
                self.tell(done);
            }
            Intent::Release => self.session.release(),
            Intent::Abandon => self.session.abandon(),
            Intent::Hold(tilt) => {
                self.apply(&Command::Tilt(TiltCommand::Hold(tilt)), Origin::Form);
            }
            Intent::Points(pointed) => self.lit = pointed,
            Intent::Task(task) => self.task = task,
            Intent::FinishTask => self.finish_task(),
            Intent::Mend(repair) => {
                let done = self.session.mend(repair);
                self.tell(done);
            }
            Intent::ReadCastAgain => self.session.read_cast_again(),
            Intent::Cancel(kind) => self.session.cancel(kind),
            Intent::Section(of) => self.section = of,
            Intent::ChooseCoping(index) => {
                self.coping = index;
                if self.step == Step::Intake {
                    self.step = Step::Walls;
                }
            }
            Intent::OpenPath(path) => self.go(ctx, Then::Open(path)),
            Intent::Recover(left) => self.go(ctx, Then::Recover(left)),
            Intent::LetGo(left) => {
                self.session.discard_recoverable(&left);
                let rest = self.session.recoverable();
                self.ask = (!rest.is_empty()).then_some(Ask::Recover(rest));
            }
            Intent::Answer(answer) => self.answer(ctx, answer),
        }
    }

    fn apply(&mut self, command: &Command, origin: Origin) {
        let done = self.session.apply(command, origin);
        self.tell(done);
    }

    fn tell<E: std::fmt::Display>(&mut self, done: Result<(), E>) {
        if let Err(error) = done {
            self.told.problem(error.to_string());
        }
    }

    fn do_action(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::New => self.go(ctx, Then::New),
            Action::Open => self.ask_file(ctx, FileQuestion::Open),
            Action::Sample(kind) => self.go(ctx, Then::Sample(kind)),
            Action::Save => self.save(ctx),
            Action::SaveAs => self.ask_file(ctx, FileQuestion::SaveCase(self.file_name("json"))),
            Action::SavePicture(picture) => self.wanted = Some(Wanted::save(picture)),
            Action::Quit => self.go(ctx, Then::Quit),
            Action::Undo => drop(self.session.undo()),
            Action::Redo => drop(self.session.redo()),
            Action::CopyPicture(picture) => self.wanted = Some(Wanted::copy(picture)),
            Action::CopyFigures => {
                ctx.copy_text(super::picture::figures(&self.session));
                self.told.say("Figures copied");
            }
            Action::Occlusal
            | Action::Heel
            | Action::Front
            | Action::PatientsRight
            | Action::PatientsLeft
            | Action::SightAlongDraw
            | Action::Overview
            | Action::Fit
            | Action::Projection
            | Action::Section => self.turn_camera(action),
            Action::Theme => {
                let dark = ctx.global_style().visuals.dark_mode;
                ctx.set_theme(if dark {
                    egui::Theme::Light
                } else {
                    egui::Theme::Dark
                });
            }
            Action::Go(step) => {
                self.step = step;
                self.task = Task::Look;
            }
            Action::Cancel => {
                let jobs = self.session.derived().jobs.clone();
                for job in jobs {
                    self.session.cancel(job.kind);
                }
            }
            Action::HoldRecommended => self.hold_recommended(),
            Action::HoldFlat => self.carry_out(ctx, Intent::Hold(Tilt::FLAT)),
            Action::KeepHeld => self.keep_held(),
            Action::FindAction => self.finder.open(),
            Action::About => self.ask = Some(Ask::About),
        }
    }

    fn turn_camera(&mut self, action: Action) {
        let look = match action {
            Action::Occlusal => Look::From(FixedView::Occlusal),
            Action::Heel => Look::From(FixedView::Heel),
            Action::Front => Look::From(FixedView::Front),
            Action::PatientsRight => Look::From(FixedView::Right),
            Action::PatientsLeft => Look::From(FixedView::Left),
            Action::SightAlongDraw => Look::AlongDraw,
            Action::Overview => Look::Overview,
            Action::Projection => {
                self.viewport.switch_projection();
                return;
            }
            Action::Section => {
                self.section = match self.section {
                    Some(_) => None,
                    None => self.section_to_open(),
                };
                return;
            }
            _ => Look::Fit,
        };
        self.viewport.look(look, &self.shown.scene);
    }

    /// What is pointed at or chosen, or the first thing that can be cut.
    fn section_to_open(&self) -> Option<SectionOf> {
        let zones = &self.shown.scene.zones;
        let copings = &self.shown.scene.copings;
        let deepest = zones.iter().filter(|zone| zone.gauge.is_some());
        let deepest = deepest.max_by(|a, b| {
            let depth = |zone: &crate::viewport::ZoneInView| zone.gauge.map_or(0.0, |g| g.depth_mm);
            depth(a).total_cmp(&depth(b))
        });
        let chosen = copings.get(self.coping).or_else(|| copings.first());
        let coping = chosen.map(|shown| SectionOf::Coping {
            id: shown.coping.id.clone(),
            pair: OpposingPair::Mesiodistal,
        });
        let zone = deepest.map(|zone| SectionOf::Zone(zone.name.clone()));
        if self.step == Step::Walls {
            coping.or(zone)
        } else {
            zone.or(coping)
        }
    }

    fn hold_recommended(&mut self) {
        let survey = self.session.derived().survey.as_ref();
        let tilt = survey.and_then(|survey| {
            let best = survey.value.recommended.as_ref();
            let bad = survey.value.least_bad.as_ref();
            best.map(|r| r.evaluation.tilt)
                .or(bad.map(|b| b.evaluation.tilt))
        });
        match tilt {
            Some(tilt) => self.apply(&Command::Tilt(TiltCommand::Hold(tilt)), Origin::Menu),
            None => self.told.say("The case has not been surveyed yet"),
        }
    }

    fn keep_held(&mut self) {
        let document = self.session.document();
        let taken = document.kept_tilts();
        let name = (1..)
            .map(|n| format!("Kept {n}"))
            .find(|name| taken.iter().all(|kept| kept.name != *name))
            .unwrap_or_default();
        let tilt = document.held();
        let keep = TiltCommand::Keep { name, tilt };
        self.apply(&Command::Tilt(keep), Origin::Menu);
    }

    fn finish_task(&mut self) {
        let command = match &self.task {
            Task::Look | Task::EditZone(_) => None,
            Task::Orient(_) => self.task.picks().map(|picks| {
                Command::Cast(CastCommand::FrameOfPicks {
                    picks,
                    carry: Carry::WithCast,
                })
            }),
            Task::NewZone(points) => Some(Command::Zone(ZoneCommand::Add {
                name: "zone".into(),
                outline: points.iter().map(|p| [p.x, p.y]).collect(),
            })),
            Task::Margin {
                tooth,
                walls,
                points,
            } => Some(Command::Coping(CopingCommand::AddByMargin {
                tooth: tooth.clone(),
                margin: points.iter().map(|p| (*p).into()).collect(),
                walls: *walls,
            })),
        };
        let Some(command) = command else {
            self.task = Task::Look;
            return;
        };
        match self.session.apply(&command, Origin::Cast) {
            Ok(()) => {
                if matches!(self.task, Task::Margin { .. }) {
                    self.coping = self
                        .session
                        .document()
                        .file()
                        .copings
                        .len()
                        .saturating_sub(1);
                }
                self.task = Task::Look;
            }
            // The points stay, to be corrected.
            Err(error) => self.told.problem(error.to_string()),
        }
    }

    pub(super) fn mark_dragged(&mut self, index: usize, to: Point3<f64>, out: &mut Vec<Intent>) {
        if let Task::EditZone(zone) = self.task {
            let to = [to.x, to.y];
            let command = ZoneCommand::MovePoint {
                zone,
                point: index,
                to,
            };
            out.push(Intent::Preview(Command::Zone(command), Origin::Cast));
        } else if let Some(point) = self
            .task
            .points_mut()
            .and_then(|points| points.get_mut(index))
        {
            *point = to;
        }
    }

    /// Does what lets go of the document, or asks first.
    fn go(&mut self, ctx: &Context, then: Then) {
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

    fn answer(&mut self, ctx: &Context, answer: Answer) {
        let Some(ask) = self.ask.take() else {
            return;
        };
        let Ask::Unsaved(then) = ask else {
            return;
        };
        match answer {
            Answer::Cancel => {}
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

    fn save(&mut self, ctx: &Context) {
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
            self.asked = Some((question, answer, std::time::Instant::now()));
        }
    }

    /// Takes up what a dialog answered.
    pub(super) fn take_file_answer(&mut self, ctx: &Context) {
        let Some((_, receiver, _)) = &self.asked else {
            return;
        };
        let answer = match receiver.try_recv() {
            Ok(answer) => answer,
            Err(std::sync::mpsc::TryRecvError::Empty) => return,
            Err(std::sync::mpsc::TryRecvError::Disconnected) => None,
        };
        let Some((question, _, since)) = self.asked.take() else {
            return;
        };
        let Some(path) = answer else {
            self.after_save = None;
            if since.elapsed() < SEEN_AFTER {
                self.told.say(
                    "No file was chosen. If no dialog appeared, this desktop has no file chooser: \
                     install xdg-desktop-portal or zenity, or drop the file on this window",
                );
            }
            return;
        };
        match question {
            FileQuestion::Open => self.go(ctx, Then::Open(path)),
            FileQuestion::SaveCase(_) => self.save_as(ctx, &path),
            FileQuestion::SavePicture(_) => self.write_picture(&path),
        }
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
                    self.go(ctx, Then::Open(path));
                }
            }
            _ => self.told.say("Drop one file at a time: a case or a scan"),
        }
    }

    pub(super) fn take_shortcuts(&mut self, ctx: &Context) {
        if self.ask.is_some() {
            return;
        }
        let mut keyed: Vec<_> = Action::all()
            .into_iter()
            .filter_map(|action| Some((action, action.shortcut()?)))
            .collect();
        // Ctrl+Shift+S is also Ctrl+S with something more: the longer one first.
        keyed.sort_by_key(|(_, keys)| std::cmp::Reverse(keys.modifiers.shift));
        for (action, keys) in keyed {
            let typing = ctx.memory(|memory| memory.focused().is_some()) && ctx.text_edit_focused();
            let of_text = matches!(action, Action::Undo | Action::Redo) && typing;
            if !of_text && ctx.input_mut(|input| input.consume_shortcut(&keys)) {
                self.do_action(ctx, action);
            }
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

    /// Keeps in the case how it is looked at.
    pub(super) fn keep_view(&mut self) {
        let camera = self.viewport.camera();
        let numbers = |v: Vector3<f64>| [v.x, v.y, v.z];
        let view = json!({
            "step": self.step.name(),
            "camera": {
                "target": numbers(camera.target.coords),
                "height_mm": camera.height_mm,
                "back": numbers(camera.back()),
                "up": numbers(camera.up()),
                "parallel": camera.projection == Projection::Parallel,
            },
        });
        self.session.set_view(Some(view));
    }

    /// Looks as the case was last looked at. What cannot be understood is left out: a view never
    /// stops a case from opening.
    pub(super) fn restore_view(&mut self) {
        let document = self.session.document();
        let when = if document.scan().is_some() {
            Restore::WithCast
        } else {
            Restore::AtOnce
        };
        let Some(view) = document.view().cloned() else {
            return;
        };
        let step = view.get("step").and_then(Value::as_str);
        if let Some(step) = Step::ALL.into_iter().find(|s| Some(s.name()) == step) {
            self.step = step;
        }
        if let Some(camera) = view.get("camera").and_then(camera_of) {
            self.viewport.restore(camera, when);
        }
    }
}

fn camera_of(kept: &Value) -> Option<Camera> {
    let vector = |key: &str| {
        let numbers = kept.get(key)?.as_array()?;
        let [x, y, z] = &numbers[..] else {
            return None;
        };
        Some(Vector3::new(x.as_f64()?, y.as_f64()?, z.as_f64()?))
    };
    let mut camera = Camera::along(&vector("back")?, &vector("up")?);
    camera.target = Point3::from(vector("target")?);
    camera.height_mm = kept.get("height_mm")?.as_f64()?.clamp(1.5, 600.0);
    if kept.get("parallel")?.as_bool()? {
        camera.projection = Projection::Parallel;
    } else {
        camera.projection = Projection::Perspective;
    }
    Some(camera)
}
