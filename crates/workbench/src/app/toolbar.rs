//! Around the view of the cast: fixed views, what to click next, the picture of the cut.

use super::intent::Intent;
use super::look::{Look, call, hint};
use super::task::Task;
use crate::actions::Action;
use crate::theme::{self, size, strong};
use crate::viewport::section::{Section, SectionOf};
use crate::viewport::{CastScene, profile};
use crate::words;
use egui::{Align2, Area, Button, ComboBox, Frame, Id, Order, Rect, RichText, Ui, Vec2};
use tiltbench_case::demo::SampleKind;
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::coping::{OpposingPair, Side};
use tiltbench_session::{CastTurn, FrameError, JobKind};
use tiltbench_sheet::format::words::capitalised;

/// The row above the cast.
pub(super) fn toolbar_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(2.0);
        ui.spacing_mut().button_padding.x = 5.0;
        ui.style_mut().override_font_id = Some(theme::plain(size::SMALL));
        for (action, word) in [
            (Action::Overview, "Overview"),
            (Action::Occlusal, "Occlusal"),
            (Action::Heel, "Heel"),
            (Action::Front, "Front"),
            (Action::PatientsRight, "Patient's right"),
            (Action::PatientsLeft, "Patient's left"),
            (Action::SightAlongDraw, "Along the draw"),
        ] {
            if ui.button(word).on_hover_text(hint(ui, action)).clicked() {
                out.push(Intent::Act(action));
            }
        }
        let open = look.section.is_some();
        let section = ui.selectable_label(open, "Section");
        if section
            .on_hover_text("Cut through a coping or a zone")
            .clicked()
        {
            out.push(Intent::Act(Action::Section));
        }
    });
}

/// What to click next, and the buttons that go with it, at the top of the cast.
pub(super) fn prompt_ui(ui: &Ui, over: Rect, look: Look<'_>, out: &mut Vec<Intent>) {
    let Some(mut prompt) = look.task.prompt() else {
        return;
    };
    let picks = look.task.picks();
    let turn = picks.and_then(|picks| look.session.turn_of_picks(&picks));
    let possible = !matches!(turn, Some(Err(_)));
    // One row while there is more to click: it lies over the cast.
    let rows = turn.is_some();
    if let Some(turn) = turn {
        prompt = turn_in_words(turn);
    }
    let palette = theme::palette(ui);
    Area::new(Id::unique("prompt"))
        .order(Order::Middle)
        .pivot(Align2::CENTER_TOP)
        .fixed_pos(over.center_top() + Vec2::new(0.0, 8.0))
        .show(ui.ctx(), |ui| {
            Frame::popup(ui.style())
                .fill(palette.notice)
                .show(ui, |ui| {
                    ui.set_max_width(over.width() - 40.0);
                    if rows {
                        ui.label(&prompt);
                    }
                    ui.horizontal(|ui| {
                        if !rows {
                            ui.label(&prompt);
                        }
                        prompt_buttons_ui(ui, look, possible, out);
                    });
                });
        });
}

fn prompt_buttons_ui(ui: &mut Ui, look: Look<'_>, possible: bool, out: &mut Vec<Intent>) {
    if let Some(word) = look.task.finish_word()
        && ui.add_enabled(possible, Button::new(word)).clicked()
    {
        out.push(Intent::FinishTask);
    }
    let mut task = look.task.clone();
    let started = task
        .points_mut()
        .is_some_and(|points| points.pop().is_some());
    if started && ui.button("Take back the last point").clicked() {
        out.push(Intent::Task(task));
    }
    if !matches!(look.task, Task::EditZone { .. }) && ui.button("Leave it").clicked() {
        out.push(Intent::Task(Task::Look));
    }
}

/// What orienting would do, or why it cannot be done.
fn turn_in_words(turn: Result<CastTurn, FrameError>) -> String {
    match turn {
        Ok(CastTurn { tip_rad, turn_rad }) => format!(
            "The cast will be tipped by {} and turned by {}. Drag a point to correct it, or orient \
             the cast",
            words::angle(tip_rad),
            words::angle(turn_rad)
        ),
        Err(error) => capitalised(&error.to_string()),
    }
}

/// What to do with an empty bench, in the middle of the view.
pub(super) fn empty_ui(ui: &Ui, over: Rect, look: Look<'_>, out: &mut Vec<Intent>) {
    let file = look.file();
    let reading = look
        .derived()
        .jobs
        .iter()
        .any(|job| job.kind == JobKind::LoadScan);
    if file.cast.is_some() || !file.copings.is_empty() || reading {
        return;
    }
    Area::new(Id::unique("empty bench"))
        .order(Order::Middle)
        .pivot(Align2::CENTER_CENTER)
        .fixed_pos(over.center())
        .show(ui.ctx(), |ui| {
            ui.set_max_width(over.width() - 40.0);
            ui.vertical_centered(|ui| {
                ui.label(RichText::new("Nothing on the bench yet").font(strong(size::HEADING)));
                ui.label("Drop a case or a scan here, or begin with");
                ui.add_space(size::GAP);
                for action in [
                    Action::Open,
                    Action::Sample(SampleKind::TwoCanines),
                    Action::Sample(SampleKind::WallsOnly),
                ] {
                    if ui.button(action.name()).clicked() {
                        out.push(Intent::Act(action));
                    }
                }
            });
        });
}

/// The picture of the cut, over the lower right of the cast.
pub(super) fn section_window(
    ui: &Ui,
    over: Rect,
    scene: &CastScene,
    of: &SectionOf,
    cut: Option<&Section>,
    out: &mut Vec<Intent>,
) {
    let palette = theme::palette(ui);
    Area::new(Id::unique("section"))
        .order(Order::Middle)
        .pivot(Align2::RIGHT_TOP)
        .fixed_pos(over.right_top() + Vec2::new(-8.0, 8.0))
        .show(ui.ctx(), |ui| {
            Frame::popup(ui.style())
                .fill(palette.raised)
                .show(ui, |ui| {
                    ui.set_width((0.42 * over.width()).clamp(220.0, 320.0));
                    ui.horizontal(|ui| {
                        choose_ui(ui, scene, of, out);
                        let close = ui.button("Close");
                        call(&close, "Close the section");
                        if close.clicked() {
                            out.push(Intent::Section(None));
                        }
                    });
                    ui.add_space(size::GAP);
                    match cut {
                        Some(section) => profile::profile_ui(ui, section, &title(scene, of)),
                        None => {
                            ui.weak("Nothing to cut yet: the ridge is being read");
                        }
                    }
                });
        });
}

/// What is cut, in the words of its tooth.
fn title(scene: &CastScene, of: &SectionOf) -> String {
    match of {
        SectionOf::Coping { id, pair } => {
            let shown = scene.copings.iter().find(|shown| shown.coping.id == *id);
            let tooth = shown.and_then(|shown| Tooth::parse(&shown.coping.tooth).ok());
            let word = |side: Side| tooth.map_or(side.key(), |tooth| tooth.side_word(side));
            let [one, other] = pair.sides().map(word);
            format!("{id}, {one} to {other}")
        }
        SectionOf::Zone(name) => name.clone(),
    }
}

fn choose_ui(ui: &mut Ui, scene: &CastScene, of: &SectionOf, out: &mut Vec<Intent>) {
    let mut all = Vec::new();
    for shown in scene.copings.iter() {
        for pair in [OpposingPair::Mesiodistal, OpposingPair::Labiolingual] {
            let id = shown.coping.id.clone();
            all.push(SectionOf::Coping { id, pair });
        }
    }
    let zones = scene.zones.iter();
    all.extend(zones.map(|zone| SectionOf::Zone(zone.name.clone())));
    let response = ComboBox::from_id_salt("section of")
        .selected_text(title(scene, of))
        .width(ui.available_width() - 64.0)
        .truncate()
        .show_ui(ui, |ui| {
            for other in all {
                if ui
                    .selectable_label(other == *of, title(scene, &other))
                    .clicked()
                {
                    out.push(Intent::Section(Some(other)));
                }
            }
        })
        .response;
    call(&response, "What is cut");
}
