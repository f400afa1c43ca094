//! What the hand does on the cast: tasks begun, clicked and finished, directions turned, outlines edited.

use super::intent::Intent;
use super::task::Task;
use super::walls::tooth_field;
use super::workbench::Workbench;
use super::zones::insert_after;
use crate::actions::{Action, Step};
use crate::pointed::Pointed;
use crate::viewport::{CastIntent, Handle, PointKey};
use egui::{Context, Key};
use nalgebra::{Point3, UnitVector3};
use tiltbench_session::{Carry, CastCommand, Command, CopingCommand, Origin, ZoneCommand};

impl Workbench {
    pub(super) fn take_cast_intents(&mut self, intents: Vec<CastIntent>, out: &mut Vec<Intent>) {
        for intent in intents {
            match intent {
                CastIntent::Points(pointed) => out.push(Intent::Points(pointed)),
                CastIntent::ClickedCast(at) => self.task.click(at.position),
                CastIntent::ClickedCoping(pointed) => self.clicked_coping(&pointed, out),
                CastIntent::ClickedNothing => {}
                CastIntent::MarkDragged { index, to } => self.mark_dragged(index, to, out),
                CastIntent::MarkDropped { .. } => {
                    if matches!(self.task, Task::EditZone { .. }) {
                        out.push(Intent::Release);
                    }
                }
                CastIntent::Turning { coping, handle, to } => {
                    out.push(Intent::Preview(turn(coping, handle, to), Origin::Cast));
                }
                CastIntent::Turned { coping, handle, to } => {
                    out.push(Intent::Do(turn(coping, handle, to), Origin::Cast));
                }
                CastIntent::TurnReleased => out.push(Intent::Release),
                CastIntent::TurnAbandoned => out.push(Intent::Abandon),
                CastIntent::ChosePoint(_)
                | CastIntent::PointKey { .. }
                | CastIntent::ClickedSide { .. } => self.edit_outline(&intent, out),
            }
        }
    }

    fn clicked_coping(&self, pointed: &Pointed, out: &mut Vec<Intent>) {
        let Some(case) = &self.session.derived().case else {
            return;
        };
        let index = case
            .copings()
            .iter()
            .position(|coping| Some(coping.id.as_str()) == pointed.coping());
        if let Some(index) = index {
            out.push(Intent::ChooseCoping(index));
        }
    }

    /// Begins to collect clicks for something, or leaves that if it is under way.
    pub(super) fn begin_task(&mut self, ctx: &Context, action: Action) {
        let (step, task) = match action {
            Action::Orient => (Step::Intake, Some(Task::Orient(Vec::new()))),
            Action::DrawZone => (Step::Intake, Some(Task::NewZone(Vec::new()))),
            _ => (Step::Walls, self.forms.walls.margin()),
        };
        if self.session.derived().cast.is_none() {
            self.told.say("There is no scan yet to click on");
            return;
        }
        self.step = step;
        let Some(task) = task else {
            self.told.say("Type the tooth of the new coping first");
            ctx.memory_mut(|memory| memory.request_focus(tooth_field()));
            return;
        };
        let under_way = std::mem::discriminant(&task) == std::mem::discriminant(&self.task);
        self.task = if under_way { Task::Look } else { task };
    }

    /// A zone in the middle of the cast, whose points are then typed or moved by keys.
    pub(super) fn add_zone_to_type(&mut self) {
        let cast = self.session.derived().cast.as_ref();
        let outline = square(cast.map_or(&[], |cast| &cast.mesh.vertices));
        let zone = self.session.document().file().seat_zones.len();
        let name = "zone".into();
        let add = Command::Zone(ZoneCommand::Add { name, outline });
        self.apply(&add, Origin::Form);
        self.step = Step::Intake;
        self.task = Task::EditZone { zone, point: 0 };
    }

    /// Escape leaves what clicks were being collected for, unless it ended something nearer: a menu, a
    /// question, a drag, or what was being typed.
    pub(super) fn leave_task(&mut self, ctx: &Context) {
        let escape = |input: &egui::InputState| input.key_pressed(Key::Escape);
        let now = self.takes_escape(ctx);
        let nearer = std::mem::replace(&mut self.escape_is_taken, now);
        if !nearer && self.task != Task::Look && ctx.input(escape) {
            self.task = Task::Look;
        }
    }

    /// Whether Escape means something nearer than the task.
    fn takes_escape(&self, ctx: &Context) -> bool {
        egui::Popup::is_any_open(ctx)
            || ctx.text_edit_focused()
            || self.session.is_dragging()
            || self.ask.is_some()
            || self.finder.is_open()
    }

    pub(super) fn finish_task(&mut self) {
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

    fn mark_dragged(&mut self, index: usize, to: Point3<f64>, out: &mut Vec<Intent>) {
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
    fn edit_outline(&mut self, intent: &CastIntent, out: &mut Vec<Intent>) {
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
}

/// Half the side of a zone that is added to be typed, mm: small enough to lie on one piece of a ridge,
/// large enough for its points to be told apart.
const HALF_SIDE_MM: f64 = 4.0;

/// The outline of a square about the middle of these points, in whole millimetres.
fn square(points: &[Point3<f64>]) -> Vec<[f64; 2]> {
    let middle = [0, 1].map(|axis| {
        let along = points.iter().map(|at| at[axis]);
        let ends = along.fold(None, |ends: Option<[f64; 2]>, at| {
            let [low, high] = ends.unwrap_or([at, at]);
            Some([low.min(at), high.max(at)])
        });
        ends.map_or(0.0, |[low, high]| f64::midpoint(low, high).round())
    });
    let [x, y] = middle;
    let half = HALF_SIDE_MM;
    let corners = [[-half, -half], [half, -half], [half, half], [-half, half]];
    corners.map(|[dx, dy]| [x + dx, y + dy]).to_vec()
}

/// A direction of a coping, as a command.
fn turn(coping: usize, handle: Handle, to: UnitVector3<f64>) -> Command {
    let to = to.into_inner().into();
    Command::Coping(match handle {
        Handle::Axis => CopingCommand::Axis(coping, to),
        Handle::Mesial => CopingCommand::Mesial(coping, to),
    })
}
