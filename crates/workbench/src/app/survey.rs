//! Survey: the held tilt, the recommended one and why, what else there is, and what would help.

use super::intake::heading;
use super::intent::Intent;
use super::look::{Look, to_right};
use super::number::{Number, number_row};
use crate::actions::Action;
use crate::theme::{self, plain, size, strong};
use crate::words;
use egui::{Grid, RichText, Ui};
use tiltbench_case::Case;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{ChangesCommand, Command, JobKind, Origin, TiltCommand};
use tiltbench_sheet::format::words::{allowance_in_words, tilt_in_short};
use tiltbench_solver::limit::LimitReading;
use tiltbench_solver::{ChangeSet, Survey};

/// As many broken limits are named at the held tilt; the ledger has them all.
const BROKEN_SHOWN: usize = 3;

/// Width of the column of names in tables, points.
const NAMES: f32 = 112.0;

/// The whole step.
pub(super) fn survey_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    let Some(case) = look.case() else {
        ui.label("There is no case to survey yet: enter the walls first.");
        return;
    };
    held_ui(ui, look, case, out);
    ui.add_space(size::PAD);
    answer_ui(ui, look, case, out);
    kept_ui(ui, look, out);
}

fn held_ui(ui: &mut Ui, look: Look<'_>, case: &Case, out: &mut Vec<Intent>) {
    let held = look.session.document().held();
    let arch = look.arch();
    heading(ui, "Held tilt");
    ui.label(RichText::new(words::tilt_in_words(&held, arch)).font(strong(size::HEADING)));
    ui.label(small(words::table_in_words(&held, arch)));
    let to_right = to_right(arch);
    // Adding 0 makes of a negative zero a plain one.
    let (anterior, right) = (
        held.anterior_rad().to_degrees(),
        to_right * held.lateral_rad().to_degrees() + 0.0,
    );
    let hold = move |anterior: f64, right: f64| {
        // Within what the fields allow, every pair is a tilt.
        let tilt = Tilt::from_degrees(anterior, to_right * right).unwrap_or(Tilt::FLAT);
        Command::Tilt(TiltCommand::Hold(tilt))
    };
    Grid::new("held").num_columns(2).show(ui, |ui| {
        let number = Number::degrees("Anterior lowered", -45.0..=45.0);
        number_row(ui, "Anterior lowered", &number, anterior, out, |deg| {
            hold(deg, right)
        });
        let number = Number::degrees("Patient's right lowered", -45.0..=45.0);
        number_row(ui, "Patient's right lowered", &number, right, out, |deg| {
            hold(anterior, deg)
        });
    });
    verdict_ui(ui, look, case, out);
    let survey = look.derived().survey.as_ref();
    let none = survey.is_some_and(|survey| survey.value.recommended.is_none());
    ui.horizontal(|ui| {
        for action in [Action::HoldRecommended, Action::HoldFlat, Action::KeepHeld] {
            let word = match action {
                Action::HoldRecommended if none => "Least bad",
                Action::HoldRecommended => "Recommended",
                Action::HoldFlat => "Flat",
                _ => "Keep",
            };
            let possible = super::menu::is_possible(look, action);
            let button = ui.add_enabled(possible, egui::Button::new(word));
            if button.on_hover_text(action.name()).clicked() {
                out.push(Intent::Act(action));
            }
        }
    });
}

fn small(text: impl Into<String>) -> RichText {
    RichText::new(text).font(plain(size::SMALL)).weak()
}

fn verdict_ui(ui: &mut Ui, look: Look<'_>, case: &Case, out: &mut Vec<Intent>) {
    let palette = theme::palette(ui);
    let derived = look.derived();
    match derived.acceptable() {
        Some(true) => {
            let allowance = derived.allowance.as_ref().filter(|a| !a.is_stale());
            ui.label(
                RichText::new("Acceptable")
                    .font(strong(size::BODY))
                    .color(palette.state_text[0]),
            );
            if let Some(allowance) = allowance {
                let text = allowance_in_words(allowance.value.0);
                ui.label(format!("Setting allowance {text}"));
            }
        }
        Some(false) => {
            let text = RichText::new("Not acceptable").font(strong(size::BODY));
            ui.label(text.color(palette.state_text[2]));
            let limits = derived.limits();
            let broken: Vec<_> = limits.iter().filter(|reading| !reading.met).collect();
            for reading in broken.iter().take(BROKEN_SHOWN) {
                limit_ui(ui, case, reading, out);
            }
            if broken.len() > BROKEN_SHOWN {
                ui.label(small(format!("and {} more", broken.len() - BROKEN_SHOWN)));
            }
        }
        None => {
            ui.label(small("The ridge is still being read at this tilt"));
        }
    }
}

/// A limit in words; pointing at it lights it everywhere.
fn limit_ui(ui: &mut Ui, case: &Case, reading: &LimitReading, out: &mut Vec<Intent>) {
    let palette = theme::palette(ui);
    let text = format!("• {}", words::limit(case, reading));
    let colour = if reading.met {
        palette.text
    } else {
        palette.state_text[2]
    };
    let label = egui::Label::new(RichText::new(text).color(colour)).sense(egui::Sense::hover());
    if ui.add(label).hovered() {
        out.push(Intent::Points(words::pointed(case, reading.limit.place)));
    }
}

fn answer_ui(ui: &mut Ui, look: Look<'_>, case: &Case, out: &mut Vec<Intent>) {
    let derived = look.derived();
    let working = derived.jobs.iter().find(|job| job.kind == JobKind::Survey);
    let Some(survey) = &derived.survey else {
        heading(ui, "Recommended tilt");
        if working.is_some() {
            ui.label(small("Being worked out"));
        } else {
            ui.label(small(
                "Comes once the case is complete and left alone for a moment",
            ));
        }
        return;
    };
    if survey.is_stale() {
        super::intake::warn(
            ui,
            "Of an earlier state of the case; a newer one is on its way",
        );
    }
    let value = &survey.value;
    if let Some(best) = &value.recommended {
        heading(ui, "Recommended tilt");
        let tilt = best.evaluation.tilt;
        ui.label(
            RichText::new(words::tilt_in_words(&tilt, look.arch())).font(strong(size::HEADING)),
        );
        ui.label(small(words::table_in_words(&tilt, look.arch())));
        ui.label(format!(
            "Setting allowance {}",
            allowance_in_words(best.allowance_rad)
        ));
        if !best.governing.is_empty() {
            ui.label(small("Held there by"));
            for reading in &best.governing {
                limit_ui(ui, case, reading, out);
            }
        }
    } else {
        no_path_ui(ui, look, case, value, out);
    }
    ui.label(small(words::CAUTION));
    ui.add_space(size::PAD);
    alternatives_ui(ui, look, value, out);
}

/// No tilt is acceptable: said plainly, with what would open one.
fn no_path_ui(ui: &mut Ui, look: Look<'_>, case: &Case, survey: &Survey, out: &mut Vec<Intent>) {
    ui.label(RichText::new("No common path").font(strong(size::HEADING)));
    let no_draw = survey
        .common_draw
        .as_ref()
        .is_some_and(|common| !common.exists);
    ui.label(if no_draw {
        "The guiding walls share no line of draw, whatever the tilt."
    } else {
        "The walls share a line of draw, but no tilt meets every limit."
    });
    if let Some(bad) = &survey.least_bad {
        ui.add_space(size::GAP);
        ui.label(small("Nearest to it"));
        ui.label(words::tilt_in_words(&bad.evaluation.tilt, look.arch()));
        for reading in &bad.blocking {
            limit_ui(ui, case, reading, out);
        }
    }
    ui.add_space(size::GAP);
    if survey.changes.is_empty() {
        ui.label("No small set of changes opens one: talk it over with the dentist.");
        return;
    }
    heading(ui, "What would open one");
    for (index, set) in survey.changes.iter().enumerate() {
        ui.push_id(index, |ui| change_ui(ui, look, case, set, out));
    }
}

fn change_ui(ui: &mut Ui, look: Look<'_>, case: &Case, set: &ChangeSet, out: &mut Vec<Intent>) {
    let palette = theme::palette(ui);
    let current = look
        .derived()
        .survey
        .as_ref()
        .is_some_and(|survey| !survey.is_stale());
    egui::Frame::new()
        .fill(palette.sunken)
        .inner_margin(egui::Margin::same(8))
        .corner_radius(size::ROUND)
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            let mut said = Vec::new();
            for change in &set.changes {
                said.push(words::change(case, change));
            }
            for line in &said {
                ui.label(line);
            }
            let then = tilt_in_short(&set.result.tilt, look.arch());
            ui.label(small(format!(
                "Then {then}, allowance {}",
                words::angle(set.allowance_rad)
            )));
            let command = ChangesCommand {
                changes: set.changes.clone(),
            };
            // What it does beside the bench work it names is said before it is done.
            let moved = words::moved_limits(case, &command);
            if let Some(moved) = &moved {
                ui.label(small(moved));
            }
            let button = ui.add_enabled(current, egui::Button::new("Apply"));
            said.extend(moved);
            let name = format!("Apply: {}", said.join("; "));
            ui.ctx()
                .accesskit_node_builder(button.id, |node| node.set_label(name));
            if button.clicked() {
                out.push(Intent::Do(Command::Changes(command), Origin::Form));
            }
        });
    ui.add_space(size::GAP);
}

fn alternatives_ui(ui: &mut Ui, look: Look<'_>, survey: &Survey, out: &mut Vec<Intent>) {
    if survey.alternatives.is_empty() {
        return;
    }
    heading(ui, "To compare");
    Grid::new("alternatives")
        .num_columns(4)
        .striped(true)
        .spacing([8.0, 4.0])
        .show(ui, |ui| {
            for title in ["", "Allows", "Blockout", ""] {
                ui.label(small(title));
            }
            ui.end_row();
            for alternative in &survey.alternatives {
                let evaluation = &alternative.evaluation;
                let name = words::alternative(alternative.name);
                let tilt = tilt_in_short(&evaluation.tilt, look.arch());
                named_ui(ui, &name, &tilt);
                ui.label(if evaluation.acceptable {
                    words::angle(alternative.allowance_rad)
                } else {
                    "no".to_owned()
                });
                ui.label(words::volume(evaluation.total_blockout_mm3()));
                hold_button(ui, &name, evaluation.tilt, out);
                ui.end_row();
            }
        });
    ui.label(small(
        "Allows: how far off the hand may be. No: not acceptable.",
    ));
}

/// A name with something smaller below it, in a column of its own.
fn named_ui(ui: &mut Ui, name: &str, below: &str) {
    ui.vertical(|ui| {
        ui.set_width(NAMES);
        ui.label(name);
        ui.add(egui::Label::new(small(below)).wrap());
    });
}

fn hold_button(ui: &mut Ui, name: &str, tilt: Tilt, out: &mut Vec<Intent>) {
    let button = ui.button("Hold");
    let label = format!("Hold: {name}");
    ui.ctx()
        .accesskit_node_builder(button.id, |node| node.set_label(label));
    if button.clicked() {
        out.push(Intent::Hold(tilt));
    }
}

fn kept_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    let kept = look.session.document().kept_tilts();
    if kept.is_empty() {
        return;
    }
    ui.add_space(size::PAD);
    heading(ui, "Kept");
    Grid::new("kept")
        .num_columns(3)
        .spacing([8.0, 4.0])
        .show(ui, |ui| {
            for tilt in kept {
                ui.vertical(|ui| {
                    ui.label(&tilt.name);
                    ui.label(small(tilt_in_short(&tilt.tilt, look.arch())));
                });
                hold_button(ui, &tilt.name, tilt.tilt, out);
                let button = ui.button("Drop");
                let label = format!("Drop: {}", tilt.name);
                ui.ctx()
                    .accesskit_node_builder(button.id, |node| node.set_label(label));
                if button.clicked() {
                    let drop = TiltCommand::Drop { name: tilt.name };
                    out.push(Intent::Do(Command::Tilt(drop), Origin::Form));
                }
                ui.end_row();
            }
        });
}
