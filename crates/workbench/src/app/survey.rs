//! Survey: the held tilt, the recommended one and why, what else there is, and what would help.

use super::compare;
use super::intake::heading;
use super::intent::Intent;
use super::lit::lights;
use super::look::{Look, call, hint, to_right};
use super::number::{Number, number_row};
use crate::actions::Action;
use crate::theme::{self, plain, size, strong};
use crate::words;
use egui::{Align, Grid, Layout, RichText, Ui};
use tiltbench_case::Case;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::sphere::angle_between;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::names::Names;
use tiltbench_session::problem::problem_of;
use tiltbench_session::report::{
    consequences, deciding_defaults, default_in_words, forbidden, left_for_the_hand, why,
};
use tiltbench_session::{ChangesCommand, Command, JobKind, Origin, TiltCommand};
use tiltbench_sheet::format::numbers::typeset;
use tiltbench_sheet::format::words::{
    allowance_in_words, capitalised, counted, plain as plain_words, tilt_as_it_stands,
    tilt_in_short,
};
use tiltbench_solver::common_draw::CertificateKind;
use tiltbench_solver::limit::LimitReading;
use tiltbench_solver::{ChangeSet, Survey};

/// As many broken limits are named at the held tilt; the ledger has them all.
const BROKEN_SHOWN: usize = 3;

/// The whole step.
pub(super) fn survey_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    let Some(case) = look.case() else {
        ui.label("There is no case to survey yet: enter the walls first.");
        return;
    };
    held_ui(ui, look, case, out);
    ui.add_space(size::PAD);
    answer_ui(ui, look, case, out);
    super::planned::planned_ui(ui, case, out);
    compare::kept_ui(ui, look, case, out);
    defaults_ui(ui, look, case);
}

/// What there is to be said of the held tilt besides its limits.
fn remarks_ui(ui: &mut Ui, look: Look<'_>) {
    let remarks = look.derived().tilt_remarks.as_ref();
    let Some(remarks) = remarks.filter(|remarks| !remarks.is_stale()) else {
        return;
    };
    for remark in remarks.value.iter() {
        super::intake::warn(ui, &typeset(&capitalised(&plain_words(remark))));
    }
}

/// The limits that nobody stated and that decide something.
fn defaults_ui(ui: &mut Ui, look: Look<'_>, case: &Case) {
    let problem = problem_of(case, look.derived().ridge.as_deref());
    let defaults = deciding_defaults(case, &problem);
    if defaults.is_empty() {
        return;
    }
    ui.add_space(size::PAD);
    heading(ui, "Limits left to their defaults");
    for default in &defaults {
        ui.label(small(default_in_words(default)));
    }
}

fn held_ui(ui: &mut Ui, look: Look<'_>, case: &Case, out: &mut Vec<Intent>) {
    let held = look.session.document().held();
    let arch = look.arch();
    heading(ui, "Held tilt");
    ui.label(RichText::new(as_it_stands(&held, arch)).font(strong(size::HEADING)));
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
    let none = is_none_acceptable(look);
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
            if button.on_hover_text(hint(ui, action)).clicked() {
                out.push(Intent::Act(action));
            }
        }
    });
    remarks_ui(ui, look);
}

/// How a tilt stands. Only a recommended one is put as something to do.
fn as_it_stands(tilt: &Tilt, arch: Arch) -> String {
    capitalised(&tilt_as_it_stands(tilt, arch))
}

pub(super) fn small(text: impl Into<String>) -> RichText {
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
        Some(false) if !derived.is_judged() => {
            ui.label("Nothing to judge");
        }
        Some(false) => {
            let text = RichText::new("Not acceptable").font(strong(size::BODY));
            ui.label(text.color(palette.state_text[2]));
            // Where none is, what would help comes first: they follow below.
            if !is_none_acceptable(look) {
                broken_ui(ui, look, case, out);
            }
        }
        None => {
            ui.label(small("The ridge is still being read at this tilt"));
        }
    }
}

/// Whether the survey has found no acceptable tilt, whatever it was made of.
fn is_none_acceptable(look: Look<'_>) -> bool {
    let survey = look.derived().survey.as_ref();
    survey.is_some_and(|survey| survey.value.recommended.is_none())
}

/// The first limits that the held tilt breaks.
fn broken_ui(ui: &mut Ui, look: Look<'_>, case: &Case, out: &mut Vec<Intent>) {
    let limits = look.derived().limits();
    let broken: Vec<_> = limits.iter().filter(|reading| !reading.met).collect();
    for reading in broken.iter().take(BROKEN_SHOWN) {
        limit_ui(ui, case, ("held", reading), out);
    }
    if broken.len() > BROKEN_SHOWN {
        ui.label(small(format!("and {} more", broken.len() - BROKEN_SHOWN)));
    }
}

/// A limit in words; pointing at it, or going to it by keys, lights it everywhere.
///
/// `whose` tells it from the same limit of another tilt, for those who do not see where it stands.
fn limit_ui(
    ui: &mut Ui,
    case: &Case,
    (whose, reading): (&str, &LimitReading),
    out: &mut Vec<Intent>,
) {
    let palette = theme::palette(ui);
    let text = words::limit(case, reading);
    let colour = if reading.met {
        palette.text
    } else {
        palette.state_text[2]
    };
    let shown = RichText::new(format!("• {text}")).color(colour);
    let label = ui.add(egui::Label::new(shown).sense(egui::Sense::click()));
    let name = format!("{text}, at the {whose} tilt");
    label.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &name));
    if label.clicked() {
        label.request_focus();
    }
    if let Some(pointed) = words::pointed(case, reading.limit.place) {
        lights(&label, &pointed, out);
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
        let names = Names::new(case);
        for remark in consequences(names) {
            super::intake::warn(ui, &capitalised(&remark));
        }
        let tilt = best.evaluation.tilt;
        ui.label(
            RichText::new(words::tilt_in_words(&tilt, look.arch())).font(strong(size::HEADING)),
        );
        ui.label(small(words::table_in_words(&tilt, look.arch())));
        ui.label(format!(
            "Setting allowance {}",
            allowance_in_words(best.allowance_rad)
        ));
        let problem = problem_of(case, derived.ridge.as_deref());
        let left = left_for_the_hand(names, &problem, &best.evaluation, best.allowance_rad);
        // Errors are those of the case as it stands now.
        if let Some(left) = left.filter(|_| !survey.is_stale()) {
            ui.label(format!("Left for the hand {left}"));
        }
        ui.label(capitalised(&format!("{}.", why(names, value, best))));
        if !best.governing.is_empty() {
            ui.label(small("Governed by"));
            for reading in &best.governing {
                limit_ui(ui, case, ("recommended", reading), out);
            }
        }
    } else {
        no_path_ui(ui, look, case, value, out);
    }
    ui.label(small(words::CAUTION));
    ui.add_space(size::PAD);
    compare::alternatives_ui(ui, look, value, out);
}

/// No tilt is acceptable: said plainly, with what would open one, and the tilt that misses by least.
fn no_path_ui(ui: &mut Ui, look: Look<'_>, case: &Case, survey: &Survey, out: &mut Vec<Intent>) {
    let names = Names::new(case);
    for remark in consequences(names) {
        super::intake::warn(ui, &capitalised(&remark));
    }
    let Some(bad) = &survey.least_bad else {
        ui.label(RichText::new("Nothing to judge").font(strong(size::HEADING)));
        ui.label("No wall guides, and no zone has a limit.");
        return;
    };
    ui.label(RichText::new("No common path").font(strong(size::HEADING)));
    ui.label(why_none(case, survey));
    ui.label(capitalised(&format!("{}.", forbidden(bad.forbidden_by))));
    ui.add_space(size::GAP);
    if let Some(odd) = survey.odd_coping {
        let coping = names.coping_in_full(odd.coping);
        ui.label(format!("The odd one out is {coping}."));
    }
    if survey.changes.is_empty() {
        ui.label("No set of changes opens one: talk it over with the dentist.");
    } else {
        heading(ui, "What would open one");
        for (index, set) in survey.changes.iter().enumerate() {
            ui.push_id(index, |ui| change_ui(ui, look, case, set, out));
        }
    }
    let holds_it = is_held(look, &bad.evaluation.tilt);
    ui.add_space(size::GAP);
    heading(ui, "Least bad tilt");
    if holds_it {
        ui.label("It is the held tilt. It breaks");
    } else {
        let stands = as_it_stands(&bad.evaluation.tilt, look.arch());
        ui.label(format!("{stands}. It breaks"));
    }
    for reading in &bad.blocking {
        limit_ui(ui, case, ("least bad", reading), out);
    }
    if !holds_it && look.derived().acceptable() == Some(false) {
        ui.add_space(size::GAP);
        heading(ui, "Broken at the held tilt");
        broken_ui(ui, look, case, out);
    }
}

/// Radians. Tells a tilt that was read back from a case, which holds six decimals of a degree, from
/// another one that a hand could set.
const SAME_TILT_RAD: f64 = 1e-6;

fn is_held(look: Look<'_>, tilt: &Tilt) -> bool {
    let held = look.session.document().held();
    angle_between(&held.direction(), &tilt.direction()) < SAME_TILT_RAD
}

/// What is true of the common draw where no tilt is acceptable.
fn why_none(case: &Case, survey: &Survey) -> String {
    let limit = words::angle(case.limits().tilt_max_rad);
    let Some(common) = &survey.common_draw else {
        return "No tilt meets every limit.".into();
    };
    if common.exists {
        return "The guiding walls share a line of draw, but no tilt meets every limit.".into();
    }
    match common.certificate.kind {
        CertificateKind::NoDrawAnywhere => {
            "The guiding walls share no line of draw, whatever the tilt.".into()
        }
        CertificateKind::OnlyBeyondTiltLimit { direction, .. } => {
            let beyond = Tilt::from_direction(&direction).map_or_else(
                |_steep| String::new(),
                |tilt| format!(": {}", tilt_in_short(&tilt, case.arch())),
            );
            format!(
                "The guiding walls share no line of draw within {limit} of tilt, the limit of this \
                 case; beyond it there is one{beyond}."
            )
        }
        CertificateKind::Optimal => format!(
            "The guiding walls share no line of draw within {limit} of tilt, the limit of this case, \
             that gives each its required draft."
        ),
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
            let said: Vec<String> = set
                .changes
                .iter()
                .map(|change| words::change(case, change))
                .collect();
            let button = ui.horizontal(|ui| {
                ui.label(RichText::new(counted(said.len(), "change")).font(strong(size::BODY)));
                let right = Layout::right_to_left(Align::Center);
                let button = ui.with_layout(right, |ui| {
                    ui.add_enabled(current, egui::Button::new("Plan"))
                });
                button.inner
            });
            let button = button.inner;
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
            call(&button, format!("Plan: {}", said.join("; ")));
            if button.clicked() {
                out.push(Intent::Do(Command::Changes(command), Origin::Form));
            }
        });
    ui.add_space(size::GAP);
}
