//! Rows of seat zones and of opposing pairs.

use super::bars;
use super::field::{Field, field_ui};
use super::intent::{LedgerEdit, LedgerIntent};
use super::judged::{judged, missed};
use super::scene::{LedgerScene, PairRow, ZoneRow};
use super::walls::{Places, flag, small};
use crate::pointed::Pointed;
use crate::theme::{self, Palette, size};
use crate::viewport::Freshness;
use egui::{RichText, Stroke, StrokeKind, Ui};
use tiltbench_sheet::format::numbers::{amount, length, typeset};
use tiltbench_sheet::format::words::plain;

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
        small(ui, "No seat zone is drawn on the cast.", palette.text_weak);
        return;
    }
    if scene.zones_freshness == Freshness::Stale {
        flag(
            ui,
            "Of an earlier tilt; being read again.",
            palette.state_text[1],
        );
    }
    for zone in &scene.zones {
        let row = ui.vertical(|ui| zone_ui(ui, zone, out));
        let rect = row.response.rect.expand(3.0);
        if scene
            .lit
            .as_ref()
            .is_some_and(|lit| lit.lights_zone(&zone.name))
        {
            lit(ui, rect, palette);
        }
        places.push((rect, Pointed::Zone(zone.name.clone())));
        ui.add_space(size::GAP);
    }
    for pair in &scene.pairs {
        let row = ui.vertical(|ui| pair_ui(ui, pair));
        let rect = row.response.rect.expand(3.0);
        let [one, other] = pair.names.clone();
        let pair = Pointed::Zones(one, other);
        if scene.lit.as_ref() == Some(&pair) {
            lit(ui, rect, palette);
        }
        places.push((rect, pair));
        ui.add_space(size::GAP);
    }
}

fn lit(ui: &Ui, rect: egui::Rect, palette: &Palette) {
    let pen = Stroke::new(2.5, palette.lit);
    ui.painter()
        .rect_stroke(rect, size::ROUND, pen, StrokeKind::Inside);
}

fn zone_ui(ui: &mut Ui, zone: &ZoneRow, out: &mut Vec<LedgerIntent>) {
    let palette = theme::palette(ui);
    let name = plain(&zone.name);
    let depth = zone.read.map_or_else(
        || "not read yet".to_owned(),
        |read| {
            zone.judged.as_ref().map_or_else(
                || length(read.depth_mm),
                |r| format!("{} mm", judged(r).against()),
            )
        },
    );
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(&name).font(theme::strong(size::BODY)));
        ui.label(typeset(&format!("depth {depth}")));
        limit_ui(ui, zone, out);
        if let Some(read) = zone.read {
            let text = format!("blockout {} mm³", amount(read.blockout_mm3));
            ui.label(RichText::new(text).color(palette.text_weak));
        }
        flags(ui, zone.judged.as_ref(), zone.governs, palette);
    });
    let limit = zone.limit_mm.map_or_else(
        || "no limit".to_owned(),
        |limit| format!("limit {}", length(limit)),
    );
    let name = format!("{name}: depth {depth}, {limit}");
    bars::depth_ui(ui, zone, &name, palette);
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
        let field = Field::mm(&label, 0.0..=10.0).with_lead("limit ");
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

fn pair_ui(ui: &mut Ui, pair: &PairRow) {
    let palette = theme::palette(ui);
    let [one, other] = pair.names.each_ref().map(|name| plain(name));
    let figures = typeset(&judged(&pair.judged).text());
    ui.horizontal_wrapped(|ui| {
        let names = format!("{one} with {other}");
        ui.label(RichText::new(&names).font(theme::strong(size::BODY)));
        ui.label(format!("depths in total {figures}"));
        flags(ui, Some(&pair.judged), pair.governs, palette);
    });
    let name = format!("{one} with {other}: depths in total {figures}");
    bars::sum_ui(ui, &pair.judged, &name, palette);
}

fn flags(
    ui: &mut Ui,
    judged: Option<&tiltbench_solver::limit::LimitReading>,
    governs: bool,
    palette: &Palette,
) {
    if let Some(reading) = judged.filter(|reading| !reading.met) {
        flag(ui, &missed(reading), palette.state_text[2]);
    }
    if governs {
        flag(ui, "governs", palette.accent);
    }
}
