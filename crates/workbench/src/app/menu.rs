//! The menu bar, made of the list of actions.

use super::intent::Intent;
use super::look::Look;
use crate::actions::{Action, Menu, Step};
use egui::{Button, MenuBar, Ui};

pub(super) fn menu_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    MenuBar::new().ui(ui, |ui| {
        for menu in Menu::ALL {
            ui.menu_button(menu.title(), |ui| {
                ui.set_min_width(230.0);
                for action in Action::all().into_iter().filter(|a| a.menu() == menu) {
                    // Samples have a menu of their own inside, and files opened last stand there.
                    match action {
                        Action::Sample(_) => {}
                        _ => item_ui(ui, look, action, out),
                    }
                    if action == Action::OpenScan {
                        recent_ui(ui, look, out);
                        samples_ui(ui, look, out);
                    }
                    if parts_after(action) {
                        ui.separator();
                    }
                }
            });
        }
    });
}

/// Whether a line is drawn under an item.
fn parts_after(action: Action) -> bool {
    matches!(
        action,
        Action::SaveAs
            | Action::Redo
            | Action::Fit
            | Action::Section
            | Action::Go(Step::Survey)
            | Action::ClickMargin
    )
}

fn item_ui(ui: &mut Ui, look: Look<'_>, action: Action, out: &mut Vec<Intent>) {
    let text = match action {
        Action::Undo => with_step(action, look.session.undo_name()),
        Action::Redo => with_step(action, look.session.redo_name()),
        _ => action.name().to_owned(),
    };
    let keys = ui.ctx().format_shortcut(&action.shortcut());
    let button = Button::new(text).shortcut_text(keys);
    if ui.add_enabled(is_possible(look, action), button).clicked() {
        out.push(Intent::Act(action));
        ui.close();
    }
}

fn with_step(action: Action, step: Option<&str>) -> String {
    step.map_or_else(
        || action.name().to_owned(),
        |step| format!("{}: {step}", action.name()),
    )
}

/// Whether an action would do anything just now.
pub(super) fn is_possible(look: Look<'_>, action: Action) -> bool {
    let derived = look.derived();
    match action {
        Action::Undo => look.session.undo_name().is_some() || look.session.is_dragging(),
        Action::Redo => look.session.redo_name().is_some(),
        Action::HoldRecommended => derived.survey.as_ref().is_some_and(|survey| {
            survey.value.recommended.is_some() || survey.value.least_bad.is_some()
        }),
        Action::Cancel => derived.jobs.iter().any(|job| job.kind.may_be_stopped()),
        Action::Orient | Action::ClickMargin => derived.cast.is_some(),
        Action::DrawZone | Action::TypeZone => look.file().cast.is_some(),
        Action::Section => look.section.is_some() || look.case().is_some(),
        _ => true,
    }
}

fn recent_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    let recent = look.session.recent();
    ui.add_enabled_ui(!recent.is_empty(), |ui| {
        ui.menu_button("Open recent", |ui| {
            for path in recent {
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                let item = ui.button(name).on_hover_text(path.display().to_string());
                if item.clicked() {
                    out.push(Intent::OpenPath(path.clone()));
                    ui.close();
                }
            }
        });
    });
}

fn samples_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    ui.menu_button("Open sample", |ui| {
        ui.set_min_width(260.0);
        for action in Action::all() {
            if matches!(action, Action::Sample(_)) {
                item_ui(ui, look, action, out);
            }
        }
    });
}
