//! Rows of seat zones and of opposing pairs.

use super::bars::{self, Bar};
use super::field::field_ui;
use super::intent::{LedgerEdit, LedgerIntent};
use super::scene::{LedgerScene, PairRow, ZoneRow};
use super::walls::{GOVERNS, Places, flag, small};
use crate::number::Number;
use crate::pointed::Pointed;
use crate::theme::{self, Palette, size};
use crate::viewport::Freshness;
use egui::{Align, Label, Layout, RichText, Stroke, StrokeKind, Ui, Vec2};
use tiltbench_case::schema::range;
use tiltbench_session::words::{judged, missed_in_full};
use tiltbench_sheet::format::numbers::{amount, length, typeset};
use tiltbench_sheet::format::words::plain;
use tiltbench_solver::limit::LimitReading;

/// mm. What a zone that gets a limit begins with: the default of the case file.
const FIRST_LIMIT_MM: f64 = 1.0;

/// All zones and pairs.
pub(super) fn zones_ui(
    ui: &mut Ui,
    scene: &LedgerScene,
    places: &mut Places,
    out: &mut Vec<LedgerIntent>,
) {
    let palette = theme::palette(ui);
    if scene.zones.is_empty() {
        small(
            ui,
            "No zone of the denture-bearing area is drawn on the cast.",
            palette.text_weak,
        );
        return;
    }
    if scene.zones_freshness == Freshness::Stale {
        flag(
            ui,
            "Of an earlier state; being read again.",
            palette.state_text[1],
        );
    }
    for zone in &scene.zones {
        let ends = scene.scales.depths_mm;
        let row = ui.vertical(|ui| zone_ui(ui, zone, ends, out));
        let rect = row.response.rect.expand2(Vec2::new(3.0, 1.0));
        if scene
            .lit
            .as_ref()
            .is_some_and(|lit| lit.lights_zone(&zone.name))
        {
            lit(ui, rect, palette);
        }
        places.push((rect, Pointed::Zone(zone.name.clone())));
    }
    for pair in &scene.pairs {
        let row = ui.vertical(|ui| pair_ui(ui, pair, scene.scales.depths_mm));
        let rect = row.response.rect.expand2(Vec2::new(3.0, 1.0));
        let [one, other] = pair.names.clone();
        let pair = Pointed::Zones(one, other);
        if scene.lit.as_ref() == Some(&pair) {
            lit(ui, rect, palette);
        }
        places.push((rect, pair));
    }
}

fn lit(ui: &Ui, rect: egui::Rect, palette: &Palette) {
    let pen = Stroke::new(2.5, palette.lit);
    ui.painter()
        .rect_stroke(rect, size::ROUND, pen, StrokeKind::Inside);
}

/// Widths of the columns of a row, points: its name, its figure, its limit, its blockout, its flags.
/// The bar takes the rest.
const COLUMNS: [f32; 5] = [184.0, 84.0, 196.0, 116.0, 186.0];
/// A bar in a row is not narrower than this, points; else it stands below.
const LEAST_BAR: f32 = 90.0;

/// What stands in a row, in the order of the columns.
struct Row<'a> {
    name: &'a str,
    figure: &'a str,
    limit: &'a mut dyn FnMut(&mut Ui),
    blockout: Option<String>,
    judged: Option<&'a LimitReading>,
    governs: bool,
    bar: &'a dyn Fn(&mut Ui, f32),
}

/// One line where there is room, else the words and the bar below them.
fn row_ui(ui: &mut Ui, row: Row<'_>) {
    let palette = theme::palette(ui);
    let gaps = 5.0 * size::GAP;
    let bar = ui.available_width() - COLUMNS.iter().sum::<f32>() - gaps;
    let name = RichText::new(row.name).font(theme::strong(size::BODY));
    if bar < LEAST_BAR {
        ui.horizontal_wrapped(|ui| {
            ui.label(name);
            ui.label(row.figure);
            (row.limit)(ui);
            if let Some(text) = row.blockout {
                ui.label(RichText::new(text).color(palette.text_weak));
            }
            flags(ui, row.judged, row.governs, palette);
        });
        (row.bar)(ui, ui.available_width());
        return;
    }
    let [
        name_wide,
        figure_wide,
        limit_wide,
        blockout_wide,
        flags_wide,
    ] = COLUMNS;
    ui.horizontal(|ui| {
        column(ui, name_wide, |ui| {
            ui.add(Label::new(name).truncate());
        });
        column(ui, figure_wide, |ui| {
            ui.label(row.figure);
        });
        (row.bar)(ui, bar);
        column(ui, limit_wide, |ui| (row.limit)(ui));
        column(ui, blockout_wide, |ui| {
            if let Some(text) = row.blockout {
                ui.label(RichText::new(text).color(palette.text_weak));
            }
        });
        ui.vertical(|ui| {
            ui.set_width(flags_wide);
            flags(ui, row.judged, row.governs, palette);
        });
    });
}

/// A column of a row, so wide whatever is in it.
fn column(ui: &mut Ui, wide: f32, add: impl FnOnce(&mut Ui)) {
    let high = ui.spacing().interact_size.y;
    let layout = Layout::left_to_right(Align::Center);
    ui.allocate_ui_with_layout(Vec2::new(wide, high), layout, |ui| {
        ui.set_width(wide);
        add(ui);
    });
}

fn zone_ui(ui: &mut Ui, zone: &ZoneRow, ends: [f64; 2], out: &mut Vec<LedgerIntent>) {
    let palette = theme::palette(ui);
    let name = plain(&zone.name);
    let depth = zone.read.map_or_else(
        || "not read yet".to_owned(),
        |read| {
            let judged = zone
                .judged
                .as_ref()
                .map(|r| format!("{} mm", judged(r).against()));
            judged.unwrap_or_else(|| length(zone.left_mm.unwrap_or(read.depth_mm)))
        },
    );
    let limit = zone.limit_mm.map_or_else(
        || "no limit".to_owned(),
        |limit| format!("limit {}", length(limit)),
    );
    let waxed = match (zone.left_mm, zone.read) {
        (Some(_), Some(read)) => format!(", waxed from {}", length(read.depth_mm)),
        _ => String::new(),
    };
    let spoken = format!("{name}: depth {depth}{waxed}, {limit}");
    // Where wax is planned, the depth is what it leaves: then the cast's own is told in its place.
    let blockout = zone.read.map(|read| match zone.left_mm {
        Some(_) => format!("waxed from {}", length(read.depth_mm)),
        None => format!("blockout {} mm³", amount(read.blockout_mm3)),
    });
    let bar = |ui: &mut Ui, wide: f32| {
        let name = &spoken;
        bars::depth_ui(ui, zone, &Bar { name, wide, ends }, palette);
    };
    row_ui(
        ui,
        Row {
            name: &name,
            figure: &typeset(&depth),
            limit: &mut |ui| limit_ui(ui, zone, out),
            blockout,
            judged: zone.judged.as_ref(),
            governs: zone.governs,
            bar: &bar,
        },
    );
}

/// The limit, or that there is none; either can be changed to the other.
fn limit_ui(ui: &mut Ui, zone: &ZoneRow, out: &mut Vec<LedgerIntent>) {
    let name = plain(&zone.name);
    let edit = |mm| LedgerEdit::ZoneLimit {
        zone: zone.index,
        mm,
    };
    if let Some(limit) = zone.limit_mm {
        let label = format!("Undercut limit of {name}");
        let field = Number::of(&label, &range::UNDERCUT_LIMIT).with_lead("limit ");
        field_ui(ui, &field, limit, out, |mm| edit(Some(mm)));
        let label = format!("Take the limit off {name}");
        if button(ui, "remove limit", &label) {
            out.push(LedgerIntent::Do(edit(None)));
        }
    } else {
        let label = format!("Give {name} a limit");
        if button(ui, "set limit", &label) {
            out.push(LedgerIntent::Do(edit(Some(FIRST_LIMIT_MM))));
        }
    }
}

fn button(ui: &mut Ui, text: &str, name: &str) -> bool {
    let response = ui.small_button(text);
    let name = name.to_owned();
    ui.ctx()
        .accesskit_node_builder(response.id, |node| node.set_label(name));
    response.clicked()
}

fn pair_ui(ui: &mut Ui, pair: &PairRow, ends: [f64; 2]) {
    let palette = theme::palette(ui);
    let [one, other] = pair.names.each_ref().map(|name| plain(name));
    let name = format!("{one} with {other}");
    let judged = judged(&pair.judged);
    let spoken = format!("{name}: depths in total {}", typeset(&judged.text()));
    let bar = |ui: &mut Ui, wide: f32| {
        let name = &spoken;
        bars::sum_ui(ui, &pair.judged, &Bar { name, wide, ends }, palette);
    };
    let at_most = format!("at most {} mm", judged.bound());
    row_ui(
        ui,
        Row {
            name: &name,
            figure: &typeset(&format!("total {} mm", judged.against())),
            limit: &mut |ui| {
                ui.label(RichText::new(&at_most).color(palette.text_weak));
            },
            blockout: None,
            judged: Some(&pair.judged),
            governs: pair.governs,
            bar: &bar,
        },
    );
}

fn flags(ui: &mut Ui, judged: Option<&LimitReading>, governs: bool, palette: &Palette) {
    if let Some(reading) = judged.filter(|reading| !reading.met) {
        flag(
            ui,
            &typeset(&missed_in_full(reading)),
            palette.state_text[2],
        );
    }
    if governs {
        flag(ui, GOVERNS, palette.accent);
    }
}
