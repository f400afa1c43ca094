//! A number the case owns: dragging it previews and is one step, typing it is one step.

use egui::{DragValue, Ui};
use std::ops::RangeInclusive;
use tiltbench_sheet::format::numbers::{stepped, typeset};

/// How a number is shown and bounded.
#[derive(Debug, Clone)]
pub(crate) struct Number<'a> {
    /// What it is, for those who do not see where it stands.
    pub(crate) name: &'a str,
    /// What stands before it.
    pub(crate) lead: &'static str,
    /// Its unit, with a space before it if one is wanted.
    pub(crate) unit: &'static str,
    /// Decimals shown.
    pub(crate) decimals: usize,
    /// What may be entered.
    pub(crate) range: RangeInclusive<f64>,
    /// Change for a point of dragging.
    pub(crate) speed: f64,
}

impl<'a> Number<'a> {
    /// An angle, in degrees.
    pub(crate) fn degrees(name: &'a str, range: RangeInclusive<f64>) -> Self {
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
    pub(crate) fn mm(name: &'a str, range: RangeInclusive<f64>) -> Self {
        Self {
            unit: " mm",
            decimals: 2,
            speed: 0.02,
            ..Self::degrees(name, range)
        }
    }

    /// With a word before the number.
    pub(crate) fn with_lead(self, lead: &'static str) -> Self {
        Self { lead, ..self }
    }
}

/// What the hand did with a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Turn {
    /// It is being dragged and stands here now.
    Preview(f64),
    /// It was typed, or stepped by a key.
    Set(f64),
    /// It was let go.
    Release,
}

/// Digits kept of a value, so that what comes of radians reads as it was entered: 15, not
/// 14.999999999999998.
const CLEAN: f64 = 1e9;

/// Shows a number, and tells what the hand does with it.
pub(crate) fn number_ui(ui: &mut Ui, number: &Number<'_>, value: f64, mut tell: impl FnMut(Turn)) {
    let mut edited = (value * CLEAN).round() / CLEAN;
    let decimals = number.decimals;
    let response = ui.add(
        DragValue::new(&mut edited)
            .speed(number.speed)
            .range(number.range.clone())
            .clamp_existing_to_range(false)
            .prefix(number.lead)
            .suffix(number.unit)
            .custom_formatter(move |value, _| written(value, decimals))
            .custom_parser(|text| text.replace('\u{2212}', "-").trim().parse().ok())
            .update_while_editing(false),
    );
    let name = number.name.to_owned();
    ui.ctx()
        .accesskit_node_builder(response.id, |node| node.set_label(name));
    if response.changed() {
        tell(if response.dragged() {
            Turn::Preview(edited)
        } else {
            Turn::Set(edited)
        });
    }
    if response.drag_stopped() {
        tell(Turn::Release);
    }
}

/// As everywhere: the minus sign, and no negative zero.
fn written(value: f64, decimals: usize) -> String {
    let step = 10_f64.powi(-i32::try_from(decimals).unwrap_or(0));
    typeset(&stepped(value, step, decimals))
}
