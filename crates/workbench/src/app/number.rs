//! A figure that is dragged or typed: the drag previews and is one step, typing is one step.

use super::intent::Intent;
use egui::{DragValue, Ui};
use std::ops::RangeInclusive;
use tiltbench_session::{Command, Origin};
use tiltbench_sheet::format::numbers::{stepped, typeset};

/// How a figure is shown and bounded.
#[derive(Debug, Clone)]
pub(super) struct Number<'a> {
    /// What it is, for those who do not see where it stands.
    pub(super) name: &'a str,
    /// Its unit, with a space before it if one is wanted.
    pub(super) unit: &'static str,
    /// Decimals shown.
    pub(super) decimals: usize,
    /// What may be entered.
    pub(super) range: RangeInclusive<f64>,
    /// Change for a point of dragging.
    pub(super) speed: f64,
}

impl<'a> Number<'a> {
    pub(super) fn degrees(name: &'a str, range: RangeInclusive<f64>) -> Self {
        Self {
            name,
            unit: "°",
            decimals: 1,
            range,
            speed: 0.05,
        }
    }

    pub(super) fn mm(name: &'a str, range: RangeInclusive<f64>) -> Self {
        Self {
            name,
            unit: " mm",
            decimals: 2,
            range,
            speed: 0.02,
        }
    }
}

/// Shows a figure; what the hand does with it becomes a command.
pub(super) fn number_ui(
    ui: &mut Ui,
    number: &Number<'_>,
    value: f64,
    out: &mut Vec<Intent>,
    command: impl Fn(f64) -> Command,
) -> egui::Response {
    let mut edited = value;
    let decimals = number.decimals;
    let response = ui.add(
        DragValue::new(&mut edited)
            .speed(number.speed)
            .range(number.range.clone())
            .clamp_existing_to_range(false)
            .suffix(number.unit)
            .custom_formatter(move |value, _| written(value, decimals))
            .custom_parser(|text| text.replace('\u{2212}', "-").trim().parse().ok())
            .update_while_editing(false),
    );
    let name = number.name.to_owned();
    ui.ctx()
        .accesskit_node_builder(response.id, |node| node.set_label(name));
    if response.changed() {
        let command = command(edited);
        out.push(if response.dragged() {
            Intent::Preview(command, Origin::Form)
        } else {
            Intent::Do(command, Origin::Form)
        });
    }
    if response.drag_stopped() {
        out.push(Intent::Release);
    }
    response
}

/// As everywhere: the minus sign, and no negative zero.
fn written(value: f64, decimals: usize) -> String {
    let step = 10_f64.powi(-i32::try_from(decimals).unwrap_or(0));
    typeset(&stepped(value, step, decimals))
}

/// A row: the name, and the figure beside it.
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
