//! The whole table.

use super::intent::LedgerIntent;
use super::scene::LedgerScene;
use super::walls::{Places, coping_ui, small};
use super::{table_limits, zones};
use crate::pointed::Pointed;
use crate::theme::{self, size};
use egui::{RichText, Ui, Vec2};

/// Height of a row, points: what is read beside its neighbours stands close to them.
const DENSE_ROW: f32 = 19.0;

/// The ledger. Keep one per window: it remembers what was pointed at.
#[derive(Debug, Default)]
pub struct Ledger {
    pointed: Option<Pointed>,
}

impl Ledger {
    /// Draws the ledger as wide as there is room, and says what the hand did. Put it into a scroll
    /// area: it is as high as the case is long.
    pub fn ui(&mut self, ui: &mut Ui, scene: &LedgerScene) -> Vec<LedgerIntent> {
        let palette = theme::palette(ui);
        let mut intents = Vec::new();
        let mut places: Places = Vec::new();
        let spacing = ui.spacing_mut();
        spacing.item_spacing.y = 3.0;
        spacing.button_padding = Vec2::new(3.0, 1.0);
        spacing.interact_size = Vec2::new(24.0, DENSE_ROW);
        heading(
            ui,
            "Walls",
            "least / centre / most draft, per wall; tapers per wall; totals of opposing walls",
        );
        if scene.copings.is_empty() {
            small(ui, "No coping stands on the cast.", palette.text_weak);
        }
        for row in &scene.copings {
            ui.push_id(("coping", row.index), |ui| {
                coping_ui(ui, scene, row, &mut places, &mut intents);
            });
        }
        heading(
            ui,
            "Denture-bearing area",
            "undercut depth against its limit",
        );
        zones::zones_ui(ui, scene, &mut places, &mut intents);
        heading(
            ui,
            "Limits of the case",
            "of walls and zones without their own",
        );
        table_limits::limits_ui(ui, scene, &mut places, &mut intents);
        self.point(ui, &places, &mut intents);
        intents
    }

    fn point(&mut self, ui: &Ui, places: &Places, intents: &mut Vec<LedgerIntent>) {
        let under = places
            .iter()
            .find(|(rect, _)| ui.rect_contains_pointer(*rect));
        let pointed = under.map(|(_, pointed)| pointed.clone());
        if pointed != self.pointed {
            self.pointed.clone_from(&pointed);
            intents.push(LedgerIntent::Points(pointed));
        }
    }
}

fn heading(ui: &mut Ui, text: &str, note: &str) {
    let palette = theme::palette(ui);
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(text).font(theme::strong(size::HEADING)));
        ui.label(
            RichText::new(note)
                .font(theme::plain(size::SMALL))
                .color(palette.text_weak),
        );
    });
}
