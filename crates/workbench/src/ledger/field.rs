//! Numbers of the ledger, as what it asks for.

use super::intent::{LedgerEdit, LedgerIntent};
use crate::number::{Number, Turn, number_ui};
use egui::Ui;

/// Shows a number; what the hand does with it becomes an intent.
pub(super) fn field_ui(
    ui: &mut Ui,
    number: &Number<'_>,
    value: f64,
    out: &mut Vec<LedgerIntent>,
    edit: impl Fn(f64) -> LedgerEdit,
) {
    number_ui(ui, number, value, |turn| {
        out.push(match turn {
            Turn::Preview(value) => LedgerIntent::Preview(edit(value)),
            Turn::Set(value) => LedgerIntent::Do(edit(value)),
            Turn::Release => LedgerIntent::Release,
        });
    });
}
