//! The searchable list of actions.

use super::intent::Intent;
use super::look::{call, hint};
use crate::actions::Action;
use crate::theme::{self, size};
use egui::{Align, Frame, Id, Key, Layout, Margin, Modal, ScrollArea, TextEdit, Ui};

/// The list, open or not.
#[derive(Debug, Default)]
pub(super) struct Finder {
    open: bool,
    typed: String,
    chosen: usize,
}

impl Finder {
    pub(super) fn open(&mut self) {
        *self = Self {
            open: true,
            ..Self::default()
        };
    }

    pub(super) fn is_open(&self) -> bool {
        self.open
    }

    pub(super) fn ui(&mut self, ui: &Ui, out: &mut Vec<Intent>) {
        if !self.open {
            return;
        }
        let found: Vec<Action> = Action::all()
            .into_iter()
            .filter(|action| action.matches(&self.typed))
            .collect();
        let (down, up, enter) = ui.input_mut(|input| {
            let mut pressed = |key| input.consume_key(egui::Modifiers::NONE, key);
            (
                pressed(Key::ArrowDown),
                pressed(Key::ArrowUp),
                pressed(Key::Enter),
            )
        });
        let last = found.len().saturating_sub(1);
        self.chosen = (self.chosen + usize::from(down))
            .saturating_sub(usize::from(up))
            .min(last);
        let mut picked = enter.then(|| found.get(self.chosen).copied()).flatten();
        let frame = Frame::popup(ui.style()).inner_margin(Margin::same(14));
        let modal = Modal::new(Id::unique("finder"))
            .frame(frame)
            .show(ui.ctx(), |ui| {
                ui.set_width(420.0);
                let field = TextEdit::singleline(&mut self.typed)
                    .hint_text("What do you want to do?")
                    .desired_width(f32::INFINITY);
                let field = ui.add(field);
                call(&field, "Find an action");
                field.request_focus();
                if field.changed() {
                    self.chosen = 0;
                }
                ui.add_space(size::GAP);
                ScrollArea::vertical()
                    .max_height(320.0)
                    .auto_shrink([false, true])
                    .show(ui, |ui| {
                        for (index, action) in found.iter().enumerate() {
                            if entry_ui(ui, *action, index == self.chosen) {
                                picked = Some(*action);
                            }
                        }
                        if found.is_empty() {
                            ui.weak("Nothing is called that");
                        }
                    });
            });
        if let Some(action) = picked {
            out.push(Intent::Act(action));
        }
        if picked.is_some() || modal.should_close() {
            self.open = false;
        }
    }
}

fn entry_ui(ui: &mut Ui, action: Action, chosen: bool) -> bool {
    ui.horizontal(|ui| {
        let entry = ui.selectable_label(chosen, action.name());
        call(&entry, hint(ui, action));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let keys = ui.ctx().format_shortcut(&action.shortcut());
            ui.label(
                egui::RichText::new(keys)
                    .font(theme::plain(size::SMALL))
                    .weak(),
            );
        });
        entry.clicked()
    })
    .inner
}
