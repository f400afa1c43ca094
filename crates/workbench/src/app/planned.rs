//! Planned work: what is owed, what is said to be done, and the taper of a wall that was measured since.

use super::intake::heading;
use super::intent::Intent;
use super::look::call;
use super::number::{Number, number_ui};
use super::survey::small;
use crate::theme::size;
use egui::Ui;
use tiltbench_case::Case;
use tiltbench_case::schema::range;
use tiltbench_case::schema::v1::PlannedState;
use tiltbench_geometry::work::Work;
use tiltbench_session::names::Names;
use tiltbench_session::report::{Owed, owed};
use tiltbench_session::{Command, Origin, PlannedCommand};
use tiltbench_sheet::format::numbers::typeset;
use tiltbench_sheet::format::words::capitalised;

/// The planned work that is put into effect; nothing where nothing is planned.
pub(super) fn planned_ui(ui: &mut Ui, case: &Case, out: &mut Vec<Intent>) {
    let owed = owed(Names::new(case));
    if owed.is_empty() {
        return;
    }
    ui.add_space(size::PAD);
    heading(ui, "Planned work");
    ui.label(small(
        "Judged as if it were done. Owed until it is done and measured.",
    ));
    for one in &owed {
        ui.push_id(one.index, |ui| one_ui(ui, case, one, out));
    }
}

fn one_ui(ui: &mut Ui, case: &Case, owed: &Owed, out: &mut Vec<Intent>) {
    let text = typeset(&capitalised(&owed.text));
    ui.label(&text);
    let mut ask = |command| out.push(Intent::Do(Command::Planned(command), Origin::Form));
    ui.horizontal(|ui| {
        let mut is_done = owed.state == PlannedState::Done;
        let done = ui.checkbox(&mut is_done, "done");
        call(&done, format!("Done: {text}"));
        if done.changed() {
            ask(PlannedCommand::Done(owed.index, is_done));
        }
        let drop = ui.small_button("drop");
        call(&drop, format!("Drop: {text}"));
        if drop.clicked() {
            ask(PlannedCommand::Drop(owed.index));
        }
    });
    if let Some(planned) = case.planned().get(owed.index)
        && owed.state == PlannedState::Done
    {
        ui.horizontal(|ui| measured_ui(ui, planned.work, owed, out));
    }
}

/// What makes done work history: a figure, or that the case shows it by now.
fn measured_ui(ui: &mut Ui, work: Work, owed: &Owed, out: &mut Vec<Intent>) {
    let said = match work {
        Work::Retaper { taper_rad, .. } => {
            ui.label(small("measured, per wall"));
            let number = Number::of("Measured taper per wall", &range::TAPER);
            number_ui(ui, &number, taper_rad.to_degrees(), out, |deg| {
                Command::Planned(PlannedCommand::Measured(owed.index, deg))
            });
            return;
        }
        Work::Unguide { .. } => "the wall guides no more",
        Work::Blockout { .. } => "the scan shows the wax",
        Work::Reprepare { .. } => "measured anew",
        Work::Omit { .. } => "the coping is gone",
    };
    let button = ui.small_button(said);
    call(&button, format!("{}: {said}", capitalised(&owed.text)));
    if button.clicked() {
        let command = Command::Planned(PlannedCommand::InCase(owed.index));
        out.push(Intent::Do(command, Origin::Form));
    }
}
