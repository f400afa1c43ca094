//! Limits of the whole case.

use super::field::field_ui;
use super::intent::{CaseFigure, LedgerEdit, LedgerIntent};
use super::scene::LedgerScene;
use super::walls::{GOVERNS, Places, flag};
use crate::number::Number;
use crate::pointed::Pointed;
use crate::theme::{self, size};
use egui::{Grid, RichText, Stroke, StrokeKind, Ui};
use tiltbench_case::schema::range;
use tiltbench_session::words::{judged, missed_in_full};
use tiltbench_sheet::format::numbers::typeset;

/// The total tilt against its limit, and all limits of the case.
pub(super) fn limits_ui(
    ui: &mut Ui,
    scene: &LedgerScene,
    places: &mut Places,
    out: &mut Vec<LedgerIntent>,
) {
    tilt_ui(ui, scene, places);
    let limits = &scene.limits;
    let [least, most] = scene.wall_drafts_rad.map(f64::to_degrees);
    let rows = [
        (
            CaseFigure::WallDraftMin,
            Number::of("Required draft, per wall", &range::DRAFT_MIN),
            least,
        ),
        (
            CaseFigure::WallDraftMax,
            Number::of("Greatest draft, per wall", &range::DRAFT_MAX),
            most,
        ),
        (
            CaseFigure::TiltMax,
            Number::of("Greatest total tilt", &range::TILT_MAX),
            limits.tilt_max_rad.to_degrees(),
        ),
        (
            CaseFigure::MetalMin,
            Number::of("Least metal", &range::THICKNESS),
            limits.metal_min_mm,
        ),
        (
            CaseFigure::MetalMax,
            Number::of("Most metal", &range::THICKNESS),
            limits.metal_max_mm,
        ),
        (
            CaseFigure::OpposingUndercut,
            Number::of("Opposing zones, depths in total", &range::UNDERCUT_LIMIT),
            limits.opposing_undercut_limit_mm,
        ),
    ];
    Grid::new("limits-of-case")
        .num_columns(2)
        .spacing([size::PAD, 3.0])
        .show(ui, |ui| {
            for (figure, field, value) in rows {
                ui.label(field.name);
                field_ui(ui, &field, value, out, |value| {
                    LedgerEdit::Case(figure, value)
                });
                ui.end_row();
            }
        });
}

fn tilt_ui(ui: &mut Ui, scene: &LedgerScene, places: &mut Places) {
    let Some(reading) = &scene.tilt else {
        return;
    };
    let palette = theme::palette(ui);
    let row = ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("Total tilt").font(theme::strong(size::BODY)));
        ui.label(typeset(&judged(reading).text()));
        if !reading.met {
            flag(
                ui,
                &typeset(&missed_in_full(reading)),
                palette.state_text[2],
            );
        }
        if scene.tilt_governs {
            flag(ui, GOVERNS, palette.accent);
        }
    });
    let rect = row.response.rect.expand(3.0);
    if scene.lit == Some(Pointed::TiltLimit) {
        let pen = Stroke::new(2.5, palette.lit);
        ui.painter()
            .rect_stroke(rect, size::ROUND, pen, StrokeKind::Inside);
    }
    places.push((rect, Pointed::TiltLimit));
}
