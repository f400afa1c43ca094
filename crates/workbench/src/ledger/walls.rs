//! Rows of copings: four walls each.

use super::field::field_ui;
use super::intent::{LedgerEdit, LedgerIntent};
use super::scene::{CopingRow, LedgerScene, WallCell};
use super::{bars, signs};
use crate::number::Number;
use crate::pointed::Pointed;
use crate::theme::{self, Palette, size};
use crate::viewport::WallState;
use egui::{Frame, Label, Margin, Rect, RichText, Sense, Stroke, StrokeKind, Ui, UiBuilder, Vec2};
use tiltbench_geometry::coping::OpposingConvergence;
use tiltbench_geometry::limits::Limits;
use tiltbench_session::words::{limited, missed_in_full};
use tiltbench_sheet::format::numbers::{angle, length, millimetres, typeset};

/// Rectangles of what can be pointed at.
pub(super) type Places = Vec<(Rect, Pointed)>;

/// Width of the column that names the coping, points.
const HEAD: f32 = 132.0;
/// From this width on, the head stands beside the cells, points.
const HEAD_BESIDE_FROM: f32 = 760.0;
/// From this width on, a cell has its limits at the ends of its bar, points.
const LIMITS_BESIDE_FROM: f32 = 160.0;
/// From this width on, a cell says its centre draft too, points.
const CENTRE_FROM: f32 = 226.0;

/// One coping.
pub(super) fn coping_ui(
    ui: &mut Ui,
    scene: &LedgerScene,
    row: &CopingRow,
    places: &mut Places,
    out: &mut Vec<LedgerIntent>,
) {
    if ui.available_width() < HEAD_BESIDE_FROM {
        let head = ui.horizontal_wrapped(|ui| head_ui(ui, row, out));
        places.push((head.response.rect, Pointed::Coping(row.id.clone())));
        cells_ui(ui, scene, row, places, out);
    } else {
        ui.horizontal_top(|ui| {
            let head = ui.allocate_ui(Vec2::new(HEAD, 0.0), |ui| {
                ui.vertical(|ui| {
                    ui.set_width(HEAD);
                    head_ui(ui, row, out);
                })
            });
            places.push((head.response.rect, Pointed::Coping(row.id.clone())));
            ui.vertical(|ui| cells_ui(ui, scene, row, places, out));
        });
    }
    ui.add_space(size::GAP / 2.0);
}

/// What a coping is, and the figures of the whole of it.
fn head_ui(ui: &mut Ui, row: &CopingRow, out: &mut Vec<LedgerIntent>) {
    let palette = theme::palette(ui);
    ui.label(RichText::new(&row.id).font(theme::strong(size::HEADING)));
    small(ui, &row.tooth, palette.text_weak);
    let name = format!("Height of {}", row.id);
    let height = Number::mm(&name, 0.1..=20.0).with_lead("height ");
    field_ui(ui, &height, row.height_mm, out, |mm| LedgerEdit::Height {
        coping: row.index,
        mm,
    });
    mill_ui(ui, row, out);
}

/// Sums of opposing walls, in one line.
fn totals_ui(ui: &mut Ui, row: &CopingRow) {
    if row.totals.is_empty() {
        return;
    }
    let one = |(words, total): &(String, OpposingConvergence)| {
        let (draw, own) = (angle(total.for_draw_rad), angle(total.of_coping_rad));
        format!("{words} {draw} (of the coping {own})")
    };
    let all: Vec<String> = row.totals.iter().map(one).collect();
    let text = format!("total for this draw: {}", all.join(", "));
    small(ui, &typeset(&text), theme::palette(ui).text_weak);
}

fn mill_ui(ui: &mut Ui, row: &CopingRow, out: &mut Vec<LedgerIntent>) {
    let Some(plan) = row.mill else {
        return;
    };
    let name = format!("Mill taper of {}, per wall", row.id);
    let taper = Number::degrees(&name, 0.0..=30.0).with_lead("milled ");
    field_ui(ui, &taper, plan.taper_rad.to_degrees(), out, |degrees| {
        LedgerEdit::MillTaper {
            coping: row.index,
            degrees,
        }
    });
    let name = format!("Metal at the margin of {}", row.id);
    let metal = Number::mm(&name, 0.0..=5.0).with_lead("margin ");
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
            .inner_margin(Margin::symmetric(5, 3))
            .show(&mut inner, |ui| {
                ui.set_width(wide - 10.0);
                ui.spacing_mut().item_spacing = Vec2::new(4.0, 2.0);
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
    totals_ui(ui, row);
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
    ui.horizontal_wrapped(|ui| {
        let (rect, _) = ui.allocate_exact_size(Vec2::new(12.0, 13.0), Sense::hover());
        signs::paint(ui.painter(), rect, cell.state, palette);
        ui.label(RichText::new(word).font(theme::strong(size::BODY)));
        small(
            ui,
            cell.state.word(),
            signs::text_colour(cell.state, palette),
        );
    });
    let spoken = spoken(row, word, cell);
    let draft = &cell.draft;
    let range = format!("{} to {}", angle(draft.least_rad), angle(draft.most_rad));
    let Some(metal) = cell.metal else {
        drafts_ui(ui, row, (word, cell), &spoken, out);
        let centre = format!(", centre {}", angle(draft.centre_rad));
        let centre = if ui.available_width() >= CENTRE_FROM {
            centre.as_str()
        } else {
            ""
        };
        figure_and_taper_ui(ui, row, (word, cell), &format!("{range}{centre}"), out);
        flags_ui(ui, cell, palette);
        return;
    };
    let (least, most) = (millimetres(metal.least_mm), millimetres(metal.most_mm));
    let text = format!("metal {least} to {most} mm");
    let broken = cell.limits.iter().any(|reading| !reading.met);
    let name = typeset(&format!("{spoken}, {text}"));
    bars::metal_ui(ui, &metal, limits, (&name, broken), palette);
    small(ui, &typeset(&text), palette.text);
    figure_and_taper_ui(ui, row, (word, cell), &format!("root {range}"), out);
    flags_ui(ui, cell, palette);
}

/// The bar of drafts, between the fields of its limits where there is room for them.
fn drafts_ui(
    ui: &mut Ui,
    row: &CopingRow,
    (word, cell): (&'static str, &WallCell),
    spoken: &str,
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    let beside = ui.available_width() >= LIMITS_BESIDE_FROM;
    if !cell.guides {
        if beside {
            ui.horizontal(|ui| {
                let words = "does not guide";
                let font = theme::plain(size::SMALL);
                let colour = palette.text_weak;
                let galley = ui.painter().layout_no_wrap(words.to_owned(), font, colour);
                let wide = ui.available_width() - galley.size().x - 4.0;
                bars::drafts_ui(ui, cell, (spoken, wide), palette);
                small(ui, words, colour);
            });
        } else {
            bars::drafts_ui(ui, cell, (spoken, ui.available_width()), palette);
            small(ui, "does not guide", palette.text_weak);
        }
        return;
    }
    if beside {
        ui.horizontal(|ui| {
            bound_ui(ui, row, (word, cell), Bound::Least, out);
            let wide = ui.available_width() - FIELD - 4.0;
            bars::drafts_ui(ui, cell, (spoken, wide), palette);
            bound_ui(ui, row, (word, cell), Bound::Most, out);
        });
    } else {
        bars::drafts_ui(ui, cell, (spoken, ui.available_width()), palette);
        ui.horizontal_wrapped(|ui| {
            bound_ui(ui, row, (word, cell), Bound::Least, out);
            bound_ui(ui, row, (word, cell), Bound::Most, out);
        });
    }
}

/// Room for the field of a limit beside a bar, points.
const FIELD: f32 = 54.0;

/// The two limits of drafts.
#[derive(Clone, Copy)]
enum Bound {
    Least,
    Most,
}

fn bound_ui(
    ui: &mut Ui,
    row: &CopingRow,
    (word, cell): (&'static str, &WallCell),
    bound: Bound,
    out: &mut Vec<LedgerIntent>,
) {
    let (coping, side) = (row.index, cell.side);
    let [least, most] = cell.bounds_rad.map(f64::to_degrees);
    match bound {
        Bound::Least => {
            let name = format!("Required draft of {} {word} wall, per wall", row.id);
            let field = Number::degrees(&name, 0.0..=30.0).with_lead("≥ ");
            field_ui(ui, &field, least, out, |degrees| LedgerEdit::DraftMin {
                coping,
                side,
                degrees,
            });
        }
        Bound::Most => {
            let name = format!("Greatest draft of {} {word} wall, per wall", row.id);
            let field = Number::degrees(&name, 0.0..=60.0).with_lead("≤ ");
            field_ui(ui, &field, most, out, |degrees| LedgerEdit::DraftMax {
                coping,
                side,
                degrees,
            });
        }
    }
}

/// A figure of the wall, and its taper at the other end of the line.
fn figure_and_taper_ui(
    ui: &mut Ui,
    row: &CopingRow,
    (word, cell): (&'static str, &WallCell),
    figure: &str,
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    ui.horizontal_wrapped(|ui| {
        small(ui, &typeset(figure), palette.text);
        let name = format!("Taper of {} {word} wall, per wall", row.id);
        let taper = Number::degrees(&name, -30.0..=60.0).with_lead("taper ");
        field_ui(ui, &taper, cell.taper_rad.to_degrees(), out, |degrees| {
            LedgerEdit::Taper {
                coping: row.index,
                side: cell.side,
                degrees,
            }
        });
    });
}

fn flags_ui(ui: &mut Ui, cell: &WallCell, palette: &Palette) {
    for reading in cell.limits.iter().filter(|reading| !reading.met) {
        let text = format!(
            "{} {}",
            limited(reading.limit.kind),
            missed_in_full(reading)
        );
        flag(ui, &typeset(&text), palette.state_text[2]);
    }
    for kind in &cell.governs {
        flag(ui, &format!("governs: {}", limited(*kind)), palette.accent);
    }
    if !cell.guides && cell.state == WallState::Undercut {
        let text = format!("block out {}", length(cell.undercut_mm));
        flag(ui, &text, palette.state_text[2]);
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
