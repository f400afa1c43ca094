//! What intents do: the one place where a panel's wish becomes a command or an action.

use super::ask::{Ask, Then};
use super::dialogs::FileQuestion;
use super::intent::Intent;
use super::picture::Wanted;
use super::task::Task;
use super::workbench::Workbench;
use super::zones::insert_after;
use crate::actions::{Action, Step};
use crate::viewport::section::SectionOf;
use crate::viewport::{CastIntent, FixedView, Look, PointKey};
use egui::Context;
use nalgebra::Point3;
use tiltbench_geometry::coping::OpposingPair;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{
    Carry, CastCommand, Command, CopingCommand, Origin, TiltCommand, ZoneCommand,
};

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

    pub(super) fn tell<E: std::fmt::Display>(&mut self, done: Result<(), E>) {
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
        let name = (1..=taken.len() + 1)
            .map(|n| format!("Kept {n}"))
            .find(|name| taken.iter().all(|kept| kept.name != *name))
            .unwrap_or_default();
        let tilt = document.held();
        let keep = TiltCommand::Keep { name, tilt };
        self.apply(&Command::Tilt(keep), Origin::Menu);
    }

    fn finish_task(&mut self) {
        let command = match &self.task {
            Task::Look | Task::EditZone { .. } => None,
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
        if let Task::EditZone { zone, .. } = self.task {
            self.task = Task::EditZone { zone, point: index };
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

    /// A point of the edited outline was chosen, put in, moved or taken out.
    pub(super) fn edit_outline(&mut self, intent: &CastIntent, out: &mut Vec<Intent>) {
        let Task::EditZone { zone, .. } = self.task else {
            return;
        };
        let zones = &self.session.document().file().seat_zones;
        let Some(outline) = zones.get(zone).map(|zone| &zone.outline) else {
            return;
        };
        let (command, point) = match *intent {
            CastIntent::ClickedSide { after, at } => {
                let at = [at.x, at.y];
                (ZoneCommand::InsertPoint { zone, after, at }, after + 1)
            }
            CastIntent::PointKey { index, key } => match key {
                PointKey::Remove => {
                    let point = index;
                    (
                        ZoneCommand::RemovePoint { zone, point },
                        index.saturating_sub(1),
                    )
                }
                PointKey::Insert => (insert_after(zone, outline, index), index + 1),
                PointKey::Move(by) => {
                    let Some([x, y]) = outline.get(index) else {
                        return;
                    };
                    let to = [x + by[0], y + by[1]];
                    let point = index;
                    (ZoneCommand::MovePoint { zone, point, to }, index)
                }
            },
            CastIntent::ChosePoint(point) => {
                self.task = Task::EditZone { zone, point };
                return;
            }
            _ => return,
        };
        out.push(Intent::Do(Command::Zone(command), Origin::Cast));
        self.task = Task::EditZone { zone, point };
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
}
