//! Numbers of forms, as commands.

use super::intent::Intent;
use crate::number::{Turn, number_ui as shared_ui};
use egui::Ui;
use tiltbench_session::{Command, Origin};

pub(super) use crate::number::Number;

/// Shows a number; what the hand does with it becomes a command.
pub(super) fn number_ui(
    ui: &mut Ui,
    number: &Number<'_>,
    value: f64,
    out: &mut Vec<Intent>,
    command: impl Fn(f64) -> Command,
) {
    shared_ui(ui, number, value, |turn| {
        out.push(match turn {
            Turn::Preview(value) => Intent::Preview(command(value), Origin::Form),
            Turn::Set(value) => Intent::Do(command(value), Origin::Form),
            Turn::Release => Intent::Release,
        });
    });
}

/// A row: the name, and the number beside it.
pub(super) fn number_row(
    ui: &mut Ui,
    label: &str,
    number: &Number<'_>,
    value: f64,
    out: &mut Vec<Intent>,
    command: impl Fn(f64) -> Command,
) {
    ui.label(label);
    number_ui(ui, number, value, out, command);
    ui.end_row();
}
