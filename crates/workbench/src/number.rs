//! A number the case owns: dragging it previews and is one step, typing it is one step.

use egui::{DragValue, Ui};
use std::ops::RangeInclusive;
use tiltbench_case::schema::range::Range;
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
    /// A number of the case file: bounds and unit are those of the file.
    pub(crate) fn of(name: &'a str, range: &Range) -> Self {
        let number = match range.unit {
            "degrees" => Self::degrees(name, 0.0..=0.0),
            _ => Self::mm(name, 0.0..=0.0),
        };
        // Where the bound itself is not allowed, the least that is shown apart from it is.
        let least = if range.low_included {
            range.low
        } else {
            range.low + number.last_digit()
        };
        Self {
            range: least..=range.high,
            ..number
        }
    }

    /// With narrower bounds, where another number of the case bounds it.
    pub(crate) fn within(self, range: RangeInclusive<f64>) -> Self {
        let low = self.range.start().max(*range.start());
        let high = self.range.end().min(*range.end());
        Self {
            range: low..=high,
            ..self
        }
    }

    /// One in the last digit that is shown.
    fn last_digit(&self) -> f64 {
        10_f64.powi(-i32::try_from(self.decimals).unwrap_or(0))
    }

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

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_case::schema::range;

    /// What a field takes the file takes, at both ends of what may be entered.
    #[test]
    fn fields_take_what_the_file_takes() {
        for of in [
            &range::TAPER,
            &range::MILL_TAPER,
            &range::DRAFT_MIN,
            &range::DRAFT_MAX,
            &range::TILT_MAX,
            &range::HEIGHT,
            &range::WIDTH,
            &range::THICKNESS,
            &range::UNDERCUT_LIMIT,
            &range::COORDINATE,
        ] {
            let number = Number::of("it", of);
            let (low, high) = (*number.range.start(), *number.range.end());
            assert!(of.contains(low) && of.contains(high), "{of}");
            // Nothing the file takes is kept out that a field could show.
            assert!(!of.contains(low - number.last_digit()), "{of}");
            assert!(!of.contains(high + number.last_digit()), "{of}");
            let is_angle = of.unit == "degrees";
            assert_eq!(number.unit == "°", is_angle, "{of}");
        }
        let between = Number::of("it", &range::COORDINATE).within(-3.0..=5000.0);
        assert_eq!(between.range, -3.0..=1000.0);
    }
}
