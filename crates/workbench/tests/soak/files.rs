//! What is opened: the samples, a small case, and files that were spoiled.

use crate::die::Die;
use crate::driver::sample;
use crate::mutate::{CASE_WORDS, SCAN_WORDS, nudge, spoil};
use crate::shelf::{RIDGE_CASE, shelf};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::mpsc::Receiver;
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tiltbench_workbench::app::dialogs::{FileAnswer, FileDialogs, FileQuestion, ScriptedDialogs};

/// The samples; the last is without a scan.
const SAMPLES: [&str; 6] = [
    "two-canines",
    "before-waxing",
    "three-no-common-draw",
    "upper-compromise",
    "ridge-only",
    "walls-only",
];

/// Puts the samples into a folder, as they were.
pub(crate) fn put_samples(folder: &Path) {
    for stem in SAMPLES {
        for name in [format!("{stem}.json"), format!("{stem}.ply")] {
            let from = sample(&name);
            if from.exists() {
                fs::copy(from, folder.join(name)).expect("the folder takes files");
            }
        }
    }
    fs::write(folder.join("shelf.json"), RIDGE_CASE).expect("the folder takes files");
    fs::write(folder.join("shelf.obj"), shelf()).expect("the folder takes files");
}

/// A file to be opened: one there is, or one that is made now.
pub(crate) fn any(die: &mut Die, folder: &Path) -> PathBuf {
    let made = |name: &str, bytes: Vec<u8>| {
        let path = folder.join(name);
        fs::write(&path, bytes).expect("the folder takes files");
        path
    };
    let case = |die: &mut Die| {
        fs::read(sample(&format!("{}.json", die.pick(&SAMPLES)))).expect("a sample")
    };
    match die.index(16) {
        0 | 1 => folder.join("walls-only.json"),
        2 | 3 => folder.join("shelf.json"),
        4 => folder.join(format!("{}.json", die.pick(&SAMPLES))),
        5 => folder.join(format!("{}.ply", die.pick(&SAMPLES[..5]))),
        6 | 7 => folder.join("shelf.obj"),
        8 | 9 => made("moved.json", nudge(case(die), &mut die.spoiler())),
        10 => {
            let (bytes, donor) = (case(die), case(die));
            made(
                "odd.json",
                spoil(bytes, &donor, CASE_WORDS, &mut die.spoiler()),
            )
        }
        11 => made("moved.obj", nudge(shelf().into(), &mut die.spoiler())),
        12 => {
            let (scan, donor) = (shelf(), shelf());
            let bytes = spoil(
                scan.into(),
                donor.as_bytes(),
                SCAN_WORDS,
                &mut die.spoiler(),
            );
            made("odd.obj", bytes)
        }
        13 => folder.join(saved(die)),
        14 => made("letter.txt", b"Dear colleague".to_vec()),
        _ => folder.join(die.pick(&["", "missing.json", "missing/case.json"])),
    }
}

fn saved(die: &mut Die) -> &'static str {
    die.pick(&["saved.json", "saved too.json", "missing/saved.json"])
}

/// Dialogs that answer at once, by the die of the move.
#[derive(Debug)]
pub(crate) struct Answers {
    pub(crate) die: Arc<Mutex<Die>>,
    pub(crate) folder: PathBuf,
}

impl FileDialogs for Answers {
    fn ask(&mut self, question: &FileQuestion, wake: egui::Context) -> Receiver<FileAnswer> {
        let mut die = self.die.lock().expect("one thread");
        let path = match question {
            FileQuestion::Open | FileQuestion::OpenScan => any(&mut die, &self.folder),
            FileQuestion::SaveCase(_) => self.folder.join(saved(&mut die)),
            FileQuestion::SavePicture(_) => self.folder.join("picture.png"),
        };
        // Left without choosing, or none to be seen, where a path is then typed.
        let seconds = u64::from(!die.one_in(2));
        let answer = FileAnswer {
            path: (!die.one_in(4)).then_some(path),
            open_for: Duration::from_secs(seconds),
        };
        let mut scripted = ScriptedDialogs {
            answers: [answer].into(),
        };
        scripted.ask(question, wake)
    }
}
