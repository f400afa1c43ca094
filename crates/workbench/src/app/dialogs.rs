//! Files chosen by the user, behind a trait so that tests choose them.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, sync_channel};
use std::time::{Duration, Instant};

/// What is to be chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FileQuestion {
    /// A case or a scan to open.
    Open,
    /// A scan for the case in the hand.
    OpenScan,
    /// Where to write the case; with a name to begin with.
    SaveCase(String),
    /// Where to write a picture; with a name to begin with.
    SavePicture(String),
}

/// Endings of scans, in the spellings that are met.
const SCANS: [&str; 8] = ["stl", "ply", "obj", "gz", "STL", "PLY", "OBJ", "GZ"];

/// What a dialog answered.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FileAnswer {
    /// The chosen file; `None` if nothing was chosen.
    pub path: Option<PathBuf>,
    /// How long the dialog was open: no time at all where there is none to be had.
    pub open_for: Duration,
}

/// Something that asks for files without holding up the window.
pub trait FileDialogs {
    /// Asks. The answer comes when it comes; `wake` is called then.
    fn ask(&mut self, question: &FileQuestion, wake: egui::Context) -> Receiver<FileAnswer>;
}

/// The desktop's own dialogs.
#[derive(Debug, Default)]
pub struct DesktopDialogs;

impl FileDialogs for DesktopDialogs {
    fn ask(&mut self, question: &FileQuestion, wake: egui::Context) -> Receiver<FileAnswer> {
        let (send, receive) = sync_channel(1);
        let dialog = rfd::AsyncFileDialog::new();
        let chosen = match question {
            FileQuestion::Open => Chosen::Open(Box::pin(
                dialog
                    .set_title("Open case or scan")
                    .add_filter("Cases and scans", &[&["json", "JSON"], &SCANS[..]].concat())
                    .add_filter("All files", &["*"])
                    .pick_file(),
            )),
            FileQuestion::OpenScan => Chosen::Open(Box::pin(
                dialog
                    .set_title("Open scan for this case")
                    .add_filter("Scans", &SCANS)
                    .add_filter("All files", &["*"])
                    .pick_file(),
            )),
            FileQuestion::SaveCase(name) => Chosen::Save(Box::pin(
                dialog
                    .set_title("Save case as")
                    .set_file_name(name)
                    .add_filter("Case", &["json"])
                    .save_file(),
            )),
            FileQuestion::SavePicture(name) => Chosen::Save(Box::pin(
                dialog
                    .set_title("Save picture")
                    .set_file_name(name)
                    .add_filter("PNG picture", &["png"])
                    .save_file(),
            )),
        };
        let thread = std::thread::Builder::new().name("file-dialog".into());
        let waits = thread.spawn(move || {
            // However slow the window is meanwhile, this is the dialog's own time.
            let since = Instant::now();
            let (Chosen::Open(asked) | Chosen::Save(asked)) = chosen;
            let file = pollster::block_on(asked);
            // Nobody may be waiting any more.
            drop(send.send(FileAnswer {
                path: file.map(|file| file.path().to_path_buf()),
                open_for: since.elapsed(),
            }));
            wake.request_repaint();
        });
        // Without a thread the answer is "nothing": the sender is gone.
        drop(waits);
        receive
    }
}

type Asked = std::pin::Pin<Box<dyn Future<Output = Option<rfd::FileHandle>> + Send>>;

enum Chosen {
    Open(Asked),
    Save(Asked),
}

/// Dialogs that answer what a test put in, in order, and then are left without choosing anything.
#[derive(Debug, Default)]
pub struct ScriptedDialogs {
    /// The answers still to be given, first one first.
    pub answers: std::collections::VecDeque<FileAnswer>,
}

impl FileDialogs for ScriptedDialogs {
    fn ask(&mut self, _question: &FileQuestion, wake: egui::Context) -> Receiver<FileAnswer> {
        let (send, receive) = sync_channel(1);
        let left = FileAnswer {
            path: None,
            open_for: Duration::from_secs(1),
        };
        drop(send.send(self.answers.pop_front().unwrap_or(left)));
        wake.request_repaint();
        receive
    }
}
