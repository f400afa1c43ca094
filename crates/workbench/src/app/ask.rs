//! Questions that come before anything else: unsaved work, work left behind, what this is.

use super::dialogs::FileQuestion;
use super::intent::Intent;
use super::look::call;
use crate::theme::{self, size};
use crate::words::CAUTION;
use egui::{Frame, Id, Margin, Modal, RichText, Ui};
use std::path::{Path, PathBuf};
use tiltbench_case::demo::SampleKind;
use tiltbench_session::Recoverable;

/// What is to be done once unsaved work is saved or may go.
#[derive(Debug, Clone)]
pub(super) enum Then {
    /// Begin an empty case.
    New,
    /// Open a file.
    Open(PathBuf),
    /// Open a sample.
    Sample(SampleKind),
    /// Take up work that was left behind.
    Recover(Recoverable),
    /// Leave.
    Quit,
}

/// A question.
#[derive(Debug, Clone)]
pub(super) enum Ask {
    /// What becomes of unsaved work.
    Unsaved(Then),
    /// Whether a scan is meant for the case in the hand.
    Scan {
        /// The scan.
        path: PathBuf,
        /// The scan it would take the place of.
        replaces: Option<String>,
    },
    /// The path of a file, on a desktop without a file chooser.
    Path {
        /// What is to be chosen.
        question: FileQuestion,
        /// What has been typed.
        text: String,
    },
    /// Work was left behind by a session that ended without saving.
    Recover(Vec<Recoverable>),
    /// What this is: nothing to decide.
    About,
}

/// The answer to the question that is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Answer {
    /// Save, then go on.
    Save,
    /// Let the work go, and go on.
    Discard,
    /// The scan becomes the cast of the case in the hand.
    ThisCase,
    /// The scan becomes the cast of a new case.
    NewCase,
    /// The file is the one whose path was typed.
    ThisPath,
    /// Do nothing.
    Cancel,
}

/// Shows a question over everything.
pub(super) fn ask_ui(ui: &Ui, ask: &mut Ask, out: &mut Vec<Intent>) {
    let frame = Frame::popup(ui.style()).inner_margin(Margin::same(18));
    let modal = Modal::new(Id::unique("question"))
        .frame(frame)
        .show(ui.ctx(), |ui| {
            ui.set_width(420.0);
            match ask {
                Ask::Unsaved(then) => unsaved_ui(ui, then, out),
                Ask::Scan { path, replaces } => scan_ui(ui, path, replaces.as_deref(), out),
                Ask::Path { question, text } => path_ui(ui, question, text, out),
                Ask::Recover(left) => recover_ui(ui, left, out),
                Ask::About => about_ui(ui, out),
            }
        });
    if modal.should_close() {
        out.push(Intent::Answer(Answer::Cancel));
    }
}

fn unsaved_ui(ui: &mut Ui, then: &Then, out: &mut Vec<Intent>) {
    ui.heading("Save the changes?");
    let what = match then {
        Then::New => "Beginning a new case",
        Then::Open(_) | Then::Sample(_) => "Opening another case",
        Then::Recover(_) => "Taking up the work left behind",
        Then::Quit => "Leaving",
    };
    ui.label(format!(
        "{what} lets go of changes that no case file holds."
    ));
    ui.add_space(size::PAD);
    let answers = [
        ("Save", Answer::Save),
        ("Discard changes", Answer::Discard),
        ("Go back", Answer::Cancel),
    ];
    answers_ui(ui, &answers, out);
}

fn answers_ui(ui: &mut Ui, answers: &[(&str, Answer)], out: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        for (word, answer) in answers {
            if ui.button(*word).clicked() {
                out.push(Intent::Answer(*answer));
            }
        }
    });
}

fn scan_ui(ui: &mut Ui, path: &Path, replaces: Option<&str>, out: &mut Vec<Intent>) {
    ui.heading("What is this scan meant as?");
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    ui.label(name);
    ui.add_space(size::GAP);
    ui.label(match replaces {
        Some(old) => format!(
            "As the cast of this case it takes the place of {old}; copings, zones, unit and \
             orientation stay as they are."
        ),
        None => "As the cast of this case it lies under the copings and zones there are.".into(),
    });
    ui.add_space(size::PAD);
    let answers = [
        ("As the cast of this case", Answer::ThisCase),
        ("As a new case", Answer::NewCase),
        ("Go back", Answer::Cancel),
    ];
    answers_ui(ui, &answers, out);
}

fn path_ui(ui: &mut Ui, question: &FileQuestion, text: &mut String, out: &mut Vec<Intent>) {
    let (heading, word) = match question {
        FileQuestion::Open => ("Open case or scan", "Open"),
        FileQuestion::OpenScan => ("Open scan for this case", "Open"),
        FileQuestion::SaveCase(_) => ("Save case as", "Save"),
        FileQuestion::SavePicture(_) => ("Save picture", "Save"),
    };
    ui.heading(heading);
    ui.label(
        "No file was chosen. If no dialog appeared, this desktop has no file chooser: type the path of the \
         file here, drop the file on the window, or install xdg-desktop-portal or zenity.",
    );
    ui.add_space(size::GAP);
    let field = egui::TextEdit::singleline(text)
        .hint_text("/home/me/case.json")
        .desired_width(f32::INFINITY);
    let field = ui.add(field);
    call(&field, "Path of the file".to_owned());
    if !field.lost_focus() && ui.memory(|memory| memory.focused().is_none()) {
        field.request_focus();
    }
    let is_typed = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    ui.add_space(size::PAD);
    if is_typed {
        out.push(Intent::Answer(Answer::ThisPath));
        return;
    }
    let answers = [(word, Answer::ThisPath), ("Go back", Answer::Cancel)];
    answers_ui(ui, &answers, out);
}

fn recover_ui(ui: &mut Ui, left: &[Recoverable], out: &mut Vec<Intent>) {
    ui.heading("Work was left unsaved");
    ui.label("An earlier session ended without saving. Its last state was kept.");
    ui.add_space(size::GAP);
    for work in left {
        let name = match (&work.title[..], &work.case) {
            ("", Some(case)) => case.display().to_string(),
            ("", None) => "Untitled case".to_owned(),
            (title, _) => title.to_owned(),
        };
        ui.horizontal(|ui| {
            ui.add(egui::Label::new(RichText::new(&name).strong()).truncate());
        });
        ui.horizontal(|ui| {
            let recover = ui.button("Recover");
            call(&recover, format!("Recover {name}"));
            if recover.clicked() {
                out.push(Intent::Recover(work.clone()));
            }
            let let_go = ui.button("Let it go");
            call(&let_go, format!("Let {name} go"));
            if let_go.clicked() {
                out.push(Intent::LetGo(work.clone()));
            }
        });
        ui.add_space(size::GAP);
    }
    if ui.button("Decide later").clicked() {
        out.push(Intent::Answer(Answer::Cancel));
    }
}

fn about_ui(ui: &mut Ui, out: &mut Vec<Intent>) {
    let palette = theme::palette(ui);
    ui.heading("Tiltbench");
    ui.label(format!("Version {}", env!("CARGO_PKG_VERSION")));
    ui.add_space(size::GAP);
    ui.label(
        "Finds, explains and hands over the survey tilt of overdenture copings: one line of draw \
         that all guiding walls share and that the ridge allows. Straight seating only: a rotated \
         path and the spring of the mucosa are not modelled.",
    );
    ui.add_space(size::GAP);
    ui.label(RichText::new(CAUTION).color(palette.text).strong());
    ui.add_space(size::GAP);
    ui.label(
        "Drag on the cast to turn it, with shift or the right button to move it, scroll to zoom.",
    );
    ui.add_space(size::PAD);
    if ui.button("Close").clicked() {
        out.push(Intent::Answer(Answer::Cancel));
    }
}
