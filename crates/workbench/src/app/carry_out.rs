//! What intents do: the one place where a panel's wish becomes a command or an action.

use super::ask::{Ask, Then};
use super::dialogs::FileQuestion;
use super::intent::Intent;
use super::picture::Wanted;
use super::task::Task;
use super::workbench::Workbench;
use crate::actions::{Action, Step};
use crate::viewport::section::SectionOf;
use crate::viewport::{FixedView, Look};
use egui::{Context, Event, InputState, Key, KeyboardShortcut};
use tiltbench_geometry::coping::OpposingPair;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{Command, Origin, TiltCommand};

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
            Intent::Shows(pointed) => self.lit = Some(pointed),
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

    pub(super) fn apply(&mut self, command: &Command, origin: Origin) {
        let done = self.session.apply(command, origin);
        self.tell(done);
    }

    pub(super) fn tell<E: std::fmt::Display>(&mut self, done: Result<(), E>) {
        if let Err(error) = done {
            self.told.problem(error.to_string());
        }
    }

    fn do_action(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::New => self.go(ctx, Then::New),
            Action::Open => self.ask_file(ctx, FileQuestion::Open),
            Action::OpenScan => self.ask_file(ctx, FileQuestion::OpenScan),
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
            Action::Theme => self.change_theme(ctx),
            Action::Go(step) => {
                self.step = step;
                self.task = Task::Look;
            }
            Action::Orient | Action::DrawZone | Action::ClickMargin => {
                self.begin_task(ctx, action);
            }
            Action::TypeZone => self.add_zone_to_type(),
            Action::Cancel => {
                let jobs = self.session.derived().jobs.clone();
                for job in jobs.iter().filter(|job| job.kind.may_be_stopped()) {
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
        let name = (1..=taken.len() + 1)
            .map(|n| format!("Kept {n}"))
            .find(|name| taken.iter().all(|kept| kept.name != *name))
            .unwrap_or_default();
        let tilt = document.held();
        let keep = TiltCommand::Keep { name, tilt };
        self.apply(&Command::Tilt(keep), Origin::Menu);
    }

    pub(super) fn take_shortcuts(&mut self, ctx: &Context) {
        if self.ask.is_some() {
            return;
        }
        for action in Action::all() {
            let keys = action.shortcut();
            if !(ctx.text_edit_focused() && is_of_text(keys))
                && ctx.input_mut(|input| is_pressed(input, keys))
            {
                self.do_action(ctx, action);
            }
        }
    }
}

/// Whether keys mean something to a field that is being typed in: they undo there, or write a sign.
fn is_of_text(keys: KeyboardShortcut) -> bool {
    let types = keys.modifiers.alt && !keys.modifiers.command;
    types || keys.logical_key == Key::Z
}

/// Whether just these keys were pressed: with shift or alt besides, they are others. Nobody else hears
/// of them then.
fn is_pressed(input: &mut InputState, keys: KeyboardShortcut) -> bool {
    let before = input.events.len();
    input.events.retain(|event| {
        let Event::Key {
            key,
            pressed: true,
            modifiers,
            ..
        } = event
        else {
            return true;
        };
        *key != keys.logical_key || !modifiers.matches_exact(keys.modifiers)
    });
    input.events.len() < before
}
