//! A number the case owns: dragging it previews and is one step, typing it is one step.

use super::intent::{LedgerEdit, LedgerIntent};
use egui::{DragValue, Response, Ui};
use std::ops::RangeInclusive;

/// How a number is shown and bounded.
#[derive(Debug, Clone)]
pub(super) struct Field<'a> {
    /// What it is, for those who do not see where it stands.
    name: &'a str,
    /// What stands before it.
    lead: &'static str,
    unit: &'static str,
    decimals: usize,
    range: RangeInclusive<f64>,
    /// Change for a point of dragging.
    speed: f64,
}

impl<'a> Field<'a> {
    /// An angle, in degrees.
    pub(super) fn degrees(name: &'a str, range: RangeInclusive<f64>) -> Self {
        Self {
            name,
            lead: "",
            unit: "°",
            decimals: 1,
            range,
            speed: 0.05,
        }
    }

    /// A length, in mm.
    pub(super) fn mm(name: &'a str, range: RangeInclusive<f64>) -> Self {
        Self {
            name,
            lead: "",
            unit: " mm",
            decimals: 2,
            range,
            speed: 0.02,
        }
    }

    /// What it is.
    pub(super) fn name(&self) -> &'a str {
        self.name
    }

    /// With a word before the number.
    pub(super) fn with_lead(self, lead: &'static str) -> Self {
        Self { lead, ..self }
    }
}

/// Digits kept of a value, so that what comes of radians reads as it was entered: 15, not
/// 14.999999999999998.
const CLEAN: f64 = 1e9;

/// Shows a number; what the hand does with it becomes an intent.
pub(super) fn field_ui(
    ui: &mut Ui,
    field: &Field<'_>,
    value: f64,
    out: &mut Vec<LedgerIntent>,
    edit: impl Fn(f64) -> LedgerEdit,
) -> Response {
    let mut edited = (value * CLEAN).round() / CLEAN;
    let response = ui.add(
        DragValue::new(&mut edited)
            .speed(field.speed)
            .range(field.range.clone())
            .clamp_existing_to_range(false)
            .prefix(field.lead)
            .suffix(field.unit)
            .fixed_decimals(field.decimals)
            .update_while_editing(false),
    );
    let name = field.name.to_owned();
    ui.ctx()
        .accesskit_node_builder(response.id, |node| node.set_label(name));
    if response.changed() {
        let edit = edit(edited);
        out.push(if response.dragged() {
            LedgerIntent::Preview(edit)
        } else {
            LedgerIntent::Do(edit)
        });
    }
    if response.drag_stopped() {
        out.push(LedgerIntent::Release);
    }
    response
}
