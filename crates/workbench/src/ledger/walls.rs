//! Rows of copings: four walls each.

use super::field::{Field, field_ui};
use super::intent::{LedgerEdit, LedgerIntent};
use super::judged::{missed, what};
use super::scene::{CopingRow, LedgerScene, WallCell};
use super::{bars, signs};
use crate::pointed::Pointed;
use crate::theme::{self, Palette, size};
use crate::viewport::WallState;
use egui::{Frame, Label, Margin, Rect, RichText, Sense, Stroke, StrokeKind, Ui, UiBuilder, Vec2};
use tiltbench_geometry::limits::Limits;
use tiltbench_sheet::format::numbers::{angle, length, millimetres, typeset};

/// Rectangles of what can be pointed at.
pub(super) type Places = Vec<(Rect, Pointed)>;

/// One coping.
pub(super) fn coping_ui(
    ui: &mut Ui,
    scene: &LedgerScene,
    row: &CopingRow,
    places: &mut Places,
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    let head = ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(&row.id).font(theme::strong(size::HEADING)));
        ui.label(RichText::new(&row.tooth).color(palette.text_weak));
        let name = format!("Height of {}", row.id);
        let height = Field::mm(&name, 0.1..=20.0).with_lead("height ");
        field_ui(ui, &height, row.height_mm, out, |mm| LedgerEdit::Height {
            coping: row.index,
            mm,
        });
        mill_ui(ui, row, out);
    });
    places.push((head.response.rect, Pointed::Coping(row.id.clone())));
    cells_ui(ui, scene, row, places, out);
    for (words, total) in &row.totals {
        let text = format!(
            "{words}: total {} for this draw, {} of the coping",
            angle(total.for_draw_rad),
            angle(total.of_coping_rad)
        );
        small(ui, &typeset(&text), palette.text_weak);
    }
    ui.add_space(size::PAD);
}

fn mill_ui(ui: &mut Ui, row: &CopingRow, out: &mut Vec<LedgerIntent>) {
    let Some(plan) = row.mill else {
        return;
    };
    let name = format!("Mill taper of {}, per wall", row.id);
    let taper = Field::degrees(&name, 0.0..=30.0).with_lead("milled ");
    field_ui(ui, &taper, plan.taper_rad.to_degrees(), out, |degrees| {
        LedgerEdit::MillTaper {
            coping: row.index,
            degrees,
        }
    });
    let name = format!("Metal at the margin of {}", row.id);
    let metal = Field::mm(&name, 0.0..=5.0).with_lead("margin ");
    field_ui(ui, &metal, plan.margin_thickness_mm, out, |mm| {
        LedgerEdit::MarginThickness {
            coping: row.index,
            mm,
        }
    });
}

/// The four walls side by side, all as high as the highest.
fn cells_ui(
    ui: &mut Ui,
    scene: &LedgerScene,
    row: &CopingRow,
    places: &mut Places,
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    let gap = size::GAP / 2.0;
    let wide = ((ui.available_width() - 3.0 * gap) / 4.0).floor();
    let corner = ui.cursor().min;
    let mut bottom = corner.y;
    let mut rects = Vec::new();
    let mut x = corner.x;
    for (word, cell) in &row.cells {
        let room = Rect::from_min_size(egui::pos2(x, corner.y), Vec2::new(wide, f32::INFINITY));
        let mut inner = ui.new_child(
            UiBuilder::new()
                .max_rect(room)
                .layout(egui::Layout::top_down(egui::Align::Min)),
        );
        inner.set_width(wide);
        Frame::NONE
            .inner_margin(Margin::same(5))
            .show(&mut inner, |ui| {
                ui.set_width(wide - 10.0);
                ui.spacing_mut().item_spacing.y = 3.0;
                ui.spacing_mut().button_padding.x = 4.0;
                if let Some(cell) = cell {
                    cell_ui(ui, &scene.limits, row, (word, cell), out);
                } else {
                    ui.label(RichText::new(*word).color(palette.text_weak));
                    small(ui, "no wall", palette.text_weak);
                }
            });
        let used = inner.min_rect();
        bottom = bottom.max(used.bottom());
        rects.push((x, cell.as_ref()));
        x += wide + gap;
    }
    for (left, cell) in rects {
        let rect = Rect::from_min_max(egui::pos2(left, corner.y), egui::pos2(left + wide, bottom));
        let Some(cell) = cell else {
            frame(ui, rect, Stroke::new(size::HAIR, palette.line));
            continue;
        };
        let lights = |lit: &Pointed| lit.lights_wall(&row.id, cell.side);
        let lit = scene.lit.as_ref().is_some_and(lights);
        let broken = cell.limits.iter().any(|reading| !reading.met);
        let stroke = match (lit, broken) {
            (true, _) => Stroke::new(2.5, palette.lit),
            (false, true) => Stroke::new(size::LINE, palette.undercut),
            (false, false) => Stroke::new(size::HAIR, palette.line),
        };
        frame(ui, rect, stroke);
        let wall = Pointed::Wall {
            coping: row.id.clone(),
            side: cell.side,
        };
        places.push((rect, wall));
    }
    ui.allocate_rect(
        Rect::from_min_max(corner, egui::pos2(corner.x + ui.available_width(), bottom)),
        Sense::hover(),
    );
}

fn frame(ui: &Ui, rect: Rect, stroke: Stroke) {
    ui.painter()
        .rect_stroke(rect, size::ROUND, stroke, StrokeKind::Inside);
}

fn cell_ui(
    ui: &mut Ui,
    limits: &Limits,
    row: &CopingRow,
    (word, cell): (&'static str, &WallCell),
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(Vec2::new(12.0, 13.0), Sense::hover());
        signs::paint(ui.painter(), rect, cell.state, palette);
        ui.label(RichText::new(word).font(theme::strong(size::BODY)));
    });
    small(
        ui,
        cell.state.word(),
        signs::text_colour(cell.state, palette),
    );
    let draft = &cell.draft;
    let range = format!("{} to {}", angle(draft.least_rad), angle(draft.most_rad));
    let centre = format!("centre {}", angle(draft.centre_rad));
    if let Some(metal) = cell.metal {
        let (least, most) = (millimetres(metal.least_mm), millimetres(metal.most_mm));
        let text = format!("metal {least} to {most} mm");
        let broken = cell.limits.iter().any(|reading| !reading.met);
        let name = typeset(&format!("{}, {text}", spoken(row, word, cell)));
        bars::metal_ui(ui, &metal, limits, (&name, broken), palette);
        small(ui, &typeset(&text), palette.text);
        small(ui, &typeset(&format!("root {range}")), palette.text_weak);
    } else {
        bars::drafts_ui(ui, cell, &spoken(row, word, cell), palette);
        small(ui, &typeset(&range), palette.text);
        small(ui, &typeset(&centre), palette.text_weak);
    }
    let name = format!("Taper of {} {word} wall, per wall", row.id);
    let taper = Field::degrees(&name, -30.0..=60.0).with_lead("taper ");
    field_ui(ui, &taper, cell.taper_rad.to_degrees(), out, |degrees| {
        LedgerEdit::Taper {
            coping: row.index,
            side: cell.side,
            degrees,
        }
    });
    if cell.guides && cell.metal.is_none() {
        bounds_ui(ui, row, word, cell, out);
    }
    flags_ui(ui, cell, palette);
}

/// The limits of the drafts, side by side where there is room.
fn bounds_ui(
    ui: &mut Ui,
    row: &CopingRow,
    word: &'static str,
    cell: &WallCell,
    out: &mut Vec<LedgerIntent>,
) {
    let (coping, side) = (row.index, cell.side);
    let [least, most] = cell.bounds_rad.map(f64::to_degrees);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        let name = format!("Required draft of {} {word} wall, per wall", row.id);
        let field = Field::degrees(&name, 0.0..=30.0).with_lead("≥ ");
        field_ui(ui, &field, least, out, |degrees| LedgerEdit::DraftMin {
            coping,
            side,
            degrees,
        });
        let name = format!("Greatest draft of {} {word} wall, per wall", row.id);
        let field = Field::degrees(&name, 0.0..=60.0).with_lead("≤ ");
        field_ui(ui, &field, most, out, |degrees| LedgerEdit::DraftMax {
            coping,
            side,
            degrees,
        });
    });
}

fn flags_ui(ui: &mut Ui, cell: &WallCell, palette: &Palette) {
    for reading in cell.limits.iter().filter(|reading| !reading.met) {
        let text = format!("{} {}", what(reading.limit.kind), missed(reading));
        flag(ui, &text, palette.state_text[2]);
    }
    for kind in &cell.governs {
        flag(ui, &format!("governs: {}", what(*kind)), palette.accent);
    }
    if !cell.guides {
        small(ui, "does not guide", palette.text_weak);
        if cell.state == WallState::Undercut {
            let text = format!("block out {}", length(cell.undercut_mm));
            flag(ui, &text, palette.state_text[2]);
        }
    }
}

/// What a cell says to those who do not see it.
fn spoken(row: &CopingRow, word: &str, cell: &WallCell) -> String {
    let draft = &cell.draft;
    typeset(&format!(
        "{} {word} wall {}: drafts {} to {}, centre {}, per wall",
        row.id,
        cell.state.word(),
        angle(draft.least_rad),
        angle(draft.most_rad),
        angle(draft.centre_rad)
    ))
}

/// A line that is read second.
pub(super) fn small(ui: &mut Ui, text: &str, colour: egui::Color32) {
    let text = RichText::new(text)
        .font(theme::plain(size::SMALL))
        .color(colour);
    ui.add(Label::new(text).wrap());
}

/// Words that ask for attention.
pub(super) fn flag(ui: &mut Ui, text: &str, colour: egui::Color32) {
    let text = RichText::new(text)
        .font(theme::strong(size::SMALL))
        .color(colour);
    ui.add(Label::new(text).wrap());
}
