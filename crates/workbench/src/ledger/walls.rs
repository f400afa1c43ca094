//! Rows of copings: four walls each.

use super::bars::{self, Bar};
use super::field::field_ui;
use super::intent::{LedgerEdit, LedgerIntent};
use super::scene::{CopingRow, LedgerScene, WallCell};
use super::signs;
use crate::number::Number;
use crate::pointed::Pointed;
use crate::theme::{self, Palette, size};
use crate::viewport::WallState;
use egui::{Frame, Label, Margin, Rect, RichText, Sense, Stroke, StrokeKind, Ui, UiBuilder, Vec2};
use tiltbench_case::schema::range;
use tiltbench_geometry::coping::{OpposingConvergence, WallMetal};
use tiltbench_session::words::{limited_in_full, missed_in_full};
use tiltbench_sheet::format::Unit;
use tiltbench_sheet::format::bounded::bound_as_given;
use tiltbench_sheet::format::numbers::{angle, degrees, length, millimetres, typeset};

/// Rectangles of what can be pointed at.
pub(super) type Places = Vec<(Rect, Pointed)>;

/// Width of the column that names the coping, points; and where there are figures of milling in it.
const HEAD: [f32; 2] = [130.0, 176.0];
/// From this width on, the head stands beside the cells, points.
const HEAD_BESIDE_FROM: f32 = 760.0;
/// From this width on, a cell has its limits at the ends of its bar, points.
const LIMITS_BESIDE_FROM: f32 = 280.0;
/// From this width on, what a cell says of its bar stands beside it, points.
const WORDS_BESIDE_FROM: f32 = 160.0;

/// A wall is never made narrower.
const LEAST_WALL: f32 = 60.0;

/// What stands where a limit touches the setting allowance: of the recommended tilt, not of the held
/// one, whose figures stand beside it.
pub(super) const GOVERNS: &str = "governs the recommended tilt";

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
        if let Some(text) = totals_in_words(row) {
            small(ui, &text, theme::palette(ui).text_weak);
        }
    } else {
        let milled = scene.copings.iter().any(|row| row.mill.is_some());
        let wide = HEAD[usize::from(milled)];
        ui.horizontal_top(|ui| {
            let head = ui.allocate_ui(Vec2::new(wide, 0.0), |ui| {
                ui.vertical(|ui| {
                    ui.set_width(wide);
                    head_ui(ui, row, out);
                    totals_ui(ui, row);
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
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.label(RichText::new(&row.id).font(theme::strong(size::HEADING)));
        small(ui, &row.tooth, palette.text_weak);
    });
    let name = format!("Height of {}", row.id);
    let height = Number::of(&name, &range::HEIGHT).with_lead("height ");
    field_ui(ui, &height, row.height_mm, out, |mm| LedgerEdit::Height {
        coping: row.index,
        mm,
    });
    mill_ui(ui, row, out);
}

/// What totals are of: before waxing there is no outer wall, and they are of the root.
fn totals_of(row: &CopingRow) -> &'static str {
    if row.mill.is_some() {
        "root, total for this draw"
    } else {
        "total for this draw"
    }
}

/// Sums of opposing walls, in one line.
fn totals_in_words(row: &CopingRow) -> Option<String> {
    if row.totals.is_empty() {
        return None;
    }
    let one = |(words, total): &(String, OpposingConvergence)| {
        let (draw, own) = (angle(total.for_draw_rad), angle(total.of_coping_rad));
        format!("{words} {draw} (of the coping {own})")
    };
    let all: Vec<String> = row.totals.iter().map(one).collect();
    Some(typeset(&format!("{}: {}", totals_of(row), all.join(", "))))
}

/// Sums of opposing walls, below the head; of the coping's own on pointing at them.
fn totals_ui(ui: &mut Ui, row: &CopingRow) {
    if row.totals.is_empty() {
        return;
    }
    let palette = theme::palette(ui);
    ui.spacing_mut().item_spacing.y = 0.0;
    ui.add_space(2.0);
    small(ui, totals_of(row), palette.text_weak);
    for (words, total) in &row.totals {
        let text = typeset(&format!("{words} {}", angle(total.for_draw_rad)));
        let text = RichText::new(text).font(theme::plain(size::SMALL));
        let response = ui.add(Label::new(text.color(palette.text_weak)).wrap());
        let own = angle(total.of_coping_rad);
        response.on_hover_text(format!("{words}, total of the coping itself {own}"));
    }
}

fn mill_ui(ui: &mut Ui, row: &CopingRow, out: &mut Vec<LedgerIntent>) {
    let Some(plan) = row.mill else {
        return;
    };
    let name = format!("Mill taper of {}, per wall", row.id);
    let taper = Number::of(&name, &range::MILL_TAPER).with_lead("mill taper per wall ");
    field_ui(ui, &taper, plan.taper_rad.to_degrees(), out, |degrees| {
        LedgerEdit::MillTaper {
            coping: row.index,
            degrees,
        }
    });
    let name = format!("Metal at the margin of {}", row.id);
    let metal = Number::of(&name, &range::THICKNESS).with_lead("metal at margin ");
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
    // A number of many digits that is being typed widens the head and leaves no room.
    let wide = ((ui.available_width() - 3.0 * gap) / 4.0)
        .floor()
        .max(LEAST_WALL);
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
                ui.spacing_mut().item_spacing = Vec2::new(3.0, 2.0);
                if let Some(cell) = cell {
                    cell_ui(ui, scene, row, (word, cell), out);
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
    scene: &LedgerScene,
    row: &CopingRow,
    (word, cell): (&'static str, &WallCell),
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    ui.horizontal_wrapped(|ui| {
        let (rect, _) = ui.allocate_exact_size(Vec2::new(12.0, 13.0), Sense::hover());
        signs::paint(ui.painter(), rect, cell.state, palette);
        ui.label(RichText::new(word).font(theme::strong(size::BODY)));
        let colour = signs::text_colour(cell.state, palette);
        small(ui, &state_in_words(cell), colour);
    });
    if let Some(metal) = &cell.metal {
        metal_ui(ui, scene, row, (word, cell, metal), out);
    } else {
        drafts_ui(ui, scene, row, (word, cell), out);
        figures_and_taper_ui(ui, row, (word, cell), ["", "taper "], out);
    }
    if let Some(estimate) = cell.estimate {
        small(ui, estimate, palette.text_weak);
    }
    flags_ui(ui, cell, palette);
}

/// Before waxing there is no outer wall: what releases or not is the root's.
fn state_in_words(cell: &WallCell) -> String {
    let of = if cell.metal.is_some() { "root " } else { "" };
    format!("{of}{}", cell.state.word())
}

/// The metal that will stand over a wall of the root, against its limits.
fn metal_ui(
    ui: &mut Ui,
    scene: &LedgerScene,
    row: &CopingRow,
    (word, cell, metal): (&'static str, &WallCell, &WallMetal),
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    let limits = &scene.limits;
    let mm = |mm| bound_as_given(mm, Unit::Millimetres);
    let figures = typeset(&format!(
        "metal {} to {} mm",
        millimetres(metal.least_mm),
        millimetres(metal.most_mm)
    ));
    let allowed = format!(
        "({}\u{2013}{} mm)",
        mm(limits.metal_min_mm),
        mm(limits.metal_max_mm)
    );
    let broken = cell.limits.iter().any(|reading| !reading.met);
    let bar = Bar {
        name: &format!("{}, {figures} {allowed}", spoken(row, word, cell)),
        wide: ui.available_width(),
        ends: scene.scales.metal_mm,
    };
    bars::metal_ui(ui, metal, limits, (&bar, broken), palette);
    ui.horizontal_wrapped(|ui| {
        small(ui, &figures, palette.text);
        small(ui, &allowed, palette.text_weak);
    });
    let words = ["root draft ", "root taper "];
    figures_and_taper_ui(ui, row, (word, cell), words, out);
}

/// The bar of drafts, between the fields of its limits where there is room for them.
fn drafts_ui(
    ui: &mut Ui,
    scene: &LedgerScene,
    row: &CopingRow,
    (word, cell): (&'static str, &WallCell),
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    let name = spoken(row, word, cell);
    let bar = |ui: &mut Ui, wide: f32| {
        let ends = scene.scales.drafts_deg;
        let name = &name;
        bars::drafts_ui(ui, cell, &Bar { name, wide, ends }, palette);
    };
    let room = ui.available_width();
    if !cell.guides {
        let words = "does not guide";
        if room < WORDS_BESIDE_FROM {
            bar(ui, room);
            small(ui, words, palette.text_weak);
            return;
        }
        ui.horizontal(|ui| {
            let font = theme::plain(size::SMALL);
            let colour = palette.text_weak;
            let galley = ui.painter().layout_no_wrap(words.to_owned(), font, colour);
            bar(ui, room - galley.size().x - 4.0);
            small(ui, words, colour);
        });
    } else if room < LIMITS_BESIDE_FROM {
        bar(ui, room);
        ui.horizontal_wrapped(|ui| {
            bound_ui(ui, row, (word, cell), Bound::Least, out);
            bound_ui(ui, row, (word, cell), Bound::Most, out);
        });
    } else {
        ui.horizontal(|ui| {
            bound_ui(ui, row, (word, cell), Bound::Least, out);
            bar(ui, ui.available_width() - FIELD - 4.0);
            bound_ui(ui, row, (word, cell), Bound::Most, out);
        });
    }
}

/// Room for the field of a limit behind a bar, points.
const FIELD: f32 = 100.0;

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
            let field = Number::of(&name, &range::DRAFT_MIN).with_lead("least ≥ ");
            field_ui(ui, &field, least, out, |degrees| LedgerEdit::DraftMin {
                coping,
                side,
                degrees,
            });
        }
        Bound::Most => {
            // It limits the centre draft, not the most draft of the sector.
            let name = format!("Greatest draft of {} {word} wall, per wall", row.id);
            let field = Number::of(&name, &range::DRAFT_MAX).with_lead("centre ≤ ");
            field_ui(ui, &field, most, out, |degrees| LedgerEdit::DraftMax {
                coping,
                side,
                degrees,
            });
        }
    }
}

/// Least, centre and most draft of a wall, and its taper at the other end of the line; each with the
/// words before it.
fn figures_and_taper_ui(
    ui: &mut Ui,
    row: &CopingRow,
    (word, cell): (&'static str, &WallCell),
    [figures, taper]: [&'static str; 2],
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    let draft = &cell.draft;
    ui.horizontal_wrapped(|ui| {
        let [least, centre, most] =
            [draft.least_rad, draft.centre_rad, draft.most_rad].map(degrees);
        let text = typeset(&format!("{figures}{least} / {centre} / {most}°"));
        small(ui, &text, palette.text);
        let name = format!("Taper of {} {word} wall, per wall", row.id);
        let taper = Number::of(&name, &range::TAPER).with_lead(taper);
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
        let what = limited_in_full(reading.limit.kind);
        let text = format!("{what} {}", missed_in_full(reading));
        flag(ui, &typeset(&text), palette.state_text[2]);
    }
    for kind in &cell.governs {
        let text = format!("{GOVERNS}: {}", limited_in_full(*kind));
        flag(ui, &text, palette.accent);
    }
    if !cell.guides && cell.state == WallState::Undercut && cell.metal.is_none() {
        let text = format!("block out {}", length(cell.undercut_mm));
        flag(ui, &text, palette.state_text[2]);
    }
}

/// What a cell says to those who do not see it.
fn spoken(row: &CopingRow, word: &str, cell: &WallCell) -> String {
    let draft = &cell.draft;
    let of = if cell.metal.is_some() { "root " } else { "" };
    typeset(&format!(
        "{} {word} wall, {}: {of}draft least {}, centre {}, most {}, per wall",
        row.id,
        state_in_words(cell),
        angle(draft.least_rad),
        angle(draft.centre_rad),
        angle(draft.most_rad)
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
