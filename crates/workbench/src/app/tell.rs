//! A window that tells what it shows: so that from outside can be measured how soon.

use super::workbench::{Workbench, paint_soon};
use egui::{Context, Ui};
use std::io::Write as _;

/// What is told, and whether a window shows it.
type Told = (&'static str, fn(&Workbench) -> bool);

/// What is told, in this order, one line each on standard output.
const TOLD: [Told; 3] = [
    ("first frame", |_| true),
    ("cast shown", Workbench::shows_cast),
    ("everything shown", |bench| {
        bench.is_settled() && bench.session().derived().survey.is_some()
    }),
];

/// The window, telling.
pub(super) struct Telling {
    bench: Workbench,
    /// How much of it the frames so far have held, and how much has been told.
    drawn: usize,
    told: usize,
}

impl Telling {
    pub(super) fn new(bench: Workbench) -> Self {
        Self {
            bench,
            drawn: 0,
            told: 0,
        }
    }
}

impl eframe::App for Telling {
    fn logic(&mut self, ctx: &Context, frame: &mut eframe::Frame) {
        // The frame before is on the screen by now.
        for (what, _) in &TOLD[self.told..self.drawn] {
            // Whoever asked may have gone.
            drop(writeln!(std::io::stdout(), "{what}"));
        }
        self.told = self.drawn;
        self.bench.logic(ctx, frame);
    }

    fn ui(&mut self, ui: &mut Ui, frame: &mut eframe::Frame) {
        self.bench.ui(ui, frame);
        let now = TOLD[self.drawn..].iter();
        self.drawn += now.take_while(|(_, holds)| holds(&self.bench)).count();
        if self.told < self.drawn {
            paint_soon(ui.ctx());
        }
    }

    fn on_exit(&mut self) {
        self.bench.on_exit();
    }
}
