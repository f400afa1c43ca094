//! The arrow keys of a control that turns or moves something.

use egui::{Event, EventFilter, Id, Key, Ui};

/// What the arrow keys asked for since the last frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Arrows {
    /// Presses to the right, less those to the left.
    pub(crate) right: f64,
    /// Presses up, less those down.
    pub(crate) up: f64,
    /// Whether with shift.
    pub(crate) fine: bool,
}

/// Degrees, and millimetres, for an arrow key; and with shift.
const STEP: f64 = 0.5;
const FINE_STEP: f64 = 0.1;

impl Arrows {
    /// The arrow keys, while a control has the focus, which they then do not move. A key that is held
    /// down counts as often as it repeats.
    pub(crate) fn of(ui: &Ui, id: Id) -> Self {
        let filter = EventFilter {
            horizontal_arrows: true,
            vertical_arrows: true,
            ..EventFilter::default()
        };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
        ui.input(|input| {
            let count = |key: Key| {
                let pressed = |event: &&Event| {
                    matches!(event, Event::Key { key: k, pressed: true, modifiers, .. }
                        if *k == key && !modifiers.ctrl && !modifiers.alt && !modifiers.command)
                };
                input.events.iter().filter(pressed).count() as f64
            };
            Self {
                right: count(Key::ArrowRight) - count(Key::ArrowLeft),
                up: count(Key::ArrowUp) - count(Key::ArrowDown),
                fine: input.modifiers.shift,
            }
        })
    }

    /// How far to the right and up, in degrees or millimetres; `None` if no arrow was pressed.
    pub(crate) fn steps(self) -> Option<[f64; 2]> {
        let step = if self.fine { FINE_STEP } else { STEP };
        (self.right != 0.0 || self.up != 0.0).then_some([self.right * step, self.up * step])
    }
}
