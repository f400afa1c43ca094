//! What is going on, what was told, and the caution: the foot of the window.

use super::intent::Intent;
use super::look::{Look, call};
use crate::theme::{self, Palette, plain, size};
use crate::words::CAUTION;
use egui::{Align, Align2, Area, Frame, Id, Layout, Order, ProgressBar, RichText, Ui, Vec2};
use std::time::{Duration, Instant};
use tiltbench_session::{JobKind, Notice};
use tiltbench_sheet::format::words::capitalised;

/// How long something that is merely told stays. Problems stay until they are put away.
const STAYS: Duration = Duration::from_secs(5);
/// As many are shown at a time.
const AT_MOST: usize = 4;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Weight {
    Note,
    Problem,
}

#[derive(Debug)]
struct Message {
    text: String,
    weight: Weight,
    since: Instant,
}

/// What the user was told.
#[derive(Debug, Default)]
pub(super) struct Told {
    messages: Vec<Message>,
    /// Whether something was told that no frame has shown yet.
    has_news: bool,
}

impl Told {
    /// Something that went well, or is worth knowing.
    pub(super) fn say(&mut self, text: &str) {
        self.push(text.to_owned(), Weight::Note);
    }

    /// Something that could not be done.
    pub(super) fn problem(&mut self, text: String) {
        self.push(text, Weight::Problem);
    }

    pub(super) fn notice(&mut self, notice: Notice) {
        match notice {
            Notice::Problem(text) => self.problem(text),
            Notice::ScanLoaded(name) => self.say(&format!("Scan read: {name}")),
            Notice::Saved(path) => self.say(&format!("Saved: {}", path.display())),
            Notice::Surveyed => {}
        }
    }

    /// The latest problem that was told and not put away.
    pub(super) fn latest_problem(&self) -> Option<&str> {
        let problems = self.messages.iter().rev();
        let mut problems = problems.filter(|message| message.weight == Weight::Problem);
        problems.next().map(|message| message.text.as_str())
    }

    fn push(&mut self, text: String, weight: Weight) {
        self.has_news = true;
        self.messages.retain(|message| message.text != text);
        self.messages.push(Message {
            text,
            weight,
            since: Instant::now(),
        });
        let over = self.messages.len().saturating_sub(AT_MOST);
        self.messages.drain(..over);
    }

    /// How long until something goes by itself.
    pub(super) fn next_due(&self) -> Option<Duration> {
        self.messages
            .iter()
            .filter(|message| message.weight == Weight::Note)
            .map(|message| STAYS.saturating_sub(message.since.elapsed()))
            .min()
    }

    fn forget(&mut self) {
        self.messages
            .retain(|m| m.weight == Weight::Problem || m.since.elapsed() < STAYS);
    }
}

/// The foot of the window.
pub(super) fn status_ui(ui: &mut Ui, look: Look<'_>, told: &mut Told, out: &mut Vec<Intent>) {
    told.forget();
    let palette = theme::palette(ui);
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            job_ui(ui, look, palette, out);
            // None of it is cut where the window is narrow.
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let caution = RichText::new(CAUTION)
                    .font(plain(size::SMALL))
                    .color(palette.text);
                ui.add(egui::Label::new(caution).wrap());
            });
        });
    });
}

fn job_ui(ui: &mut Ui, look: Look<'_>, palette: &Palette, out: &mut Vec<Intent>) {
    let jobs = &look.derived().jobs;
    let shown = jobs.iter().filter(|job| job.kind.may_be_stopped());
    // What takes longest is what one waits for.
    let Some(job) = shown.max_by_key(|job| job.kind == JobKind::Survey) else {
        return;
    };
    let stop = ui.small_button("Stop");
    call(&stop, format!("Stop {}", job.kind.words()));
    let stop = stop.on_hover_text(format!("Stop {}", job.kind.words()));
    if stop.clicked() {
        out.push(Intent::Cancel(job.kind));
    }
    #[expect(clippy::cast_possible_truncation, reason = "a share of a bar")]
    let bar = ProgressBar::new(job.fraction as f32)
        .desired_width(90.0)
        .desired_height(8.0)
        .fill(palette.accent);
    let bar = ui.add(bar);
    call(&bar, format!("Progress of {}", job.kind.words()));
    let words = RichText::new(job.work)
        .font(plain(size::SMALL))
        .color(palette.text);
    ui.add(egui::Label::new(words).truncate());
}

/// What was told, over the lower right of the window.
pub(super) fn toasts_ui(ui: &Ui, told: &mut Told) {
    if told.messages.is_empty() {
        return;
    }
    if std::mem::take(&mut told.has_news) {
        // An area is laid out in one frame and shown in the next, and when it is to go is asked then, too.
        ui.ctx().request_repaint();
    }
    let palette = theme::palette(ui);
    let mut gone = None;
    Area::new(Id::unique("told"))
        .order(Order::Foreground)
        .anchor(Align2::RIGHT_BOTTOM, Vec2::new(-14.0, -38.0))
        .show(ui.ctx(), |ui| {
            ui.set_max_width(440.0);
            for (index, message) in told.messages.iter().enumerate() {
                let ground = match message.weight {
                    Weight::Note => palette.raised,
                    Weight::Problem => palette.notice,
                };
                let frame = Frame::popup(ui.style()).fill(ground);
                frame.show(ui, |ui| {
                    ui.horizontal_top(|ui| {
                        let sign = match message.weight {
                            Weight::Note => "",
                            Weight::Problem => "Not done. ",
                        };
                        let text = format!("{sign}{}", capitalised(&message.text));
                        let label =
                            egui::Label::new(RichText::new(text).color(palette.text)).wrap();
                        ui.scope(|ui| {
                            ui.set_max_width(360.0);
                            ui.add(label);
                        });
                        let away = ui.small_button("Put away");
                        call(&away, format!("Put away: {}", message.text));
                        if away.clicked() {
                            gone = Some(index);
                        }
                    });
                });
            }
        });
    if let Some(index) = gone {
        told.messages.remove(index);
    }
}
