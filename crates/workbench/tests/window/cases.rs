//! Cases for tests, made of the samples.

use crate::driver::{Setup, Window, sample};
use serde_json::{Map, Value};
use std::path::{Path, PathBuf};
use tiltbench_workbench::app::Start;

/// A sample with something changed in its file, in a folder. Its scan lies where the samples lie.
pub(crate) fn edited(
    stem: &str,
    folder: &Path,
    edit: impl FnOnce(&mut Map<String, Value>),
) -> PathBuf {
    let text = std::fs::read_to_string(sample(&format!("{stem}.json"))).expect("a sample");
    let mut case: Value = serde_json::from_str(&text).expect("JSON");
    edit(case.as_object_mut().expect("an object"));
    let path = folder.join("case.json");
    std::fs::write(&path, case.to_string()).expect("a file");
    path
}

fn without_cast(case: &mut Map<String, Value>) {
    case.remove("cast");
    case.remove("seat_zones");
}

/// A sample without its cast in a window: surveyed in no time.
pub(crate) fn open_walls_of(stem: &str) -> Window {
    open_edited(stem, without_cast)
}

/// The walls of a sample with something else changed as well, surveyed.
pub(crate) fn open_walls_with(stem: &str, edit: impl FnOnce(&mut Map<String, Value>)) -> Window {
    open_edited(stem, |case| {
        without_cast(case);
        edit(case);
    })
}

fn open_edited(stem: &str, edit: impl FnOnce(&mut Map<String, Value>)) -> Window {
    let folder = tempfile::tempdir().expect("a folder");
    let path = edited(stem, folder.path(), edit);
    let mut window = Window::open_with(Start::File(path), &Setup::default(), folder);
    window.surveyed();
    window
}

/// A sample with its cast in a folder of its own, in a window, with the cast in view.
pub(crate) fn open_copy_of(stem: &str) -> Window {
    let folder = tempfile::tempdir().expect("a folder");
    for name in [format!("{stem}.json"), format!("{stem}.ply")] {
        std::fs::copy(sample(&name), folder.path().join(&name)).expect("a sample");
    }
    let case = folder.path().join(format!("{stem}.json"));
    let mut window = Window::open_with(Start::File(case), &Setup::default(), folder);
    window.until("the cast is shown", |window| {
        window.shows_cast() && window.is_settled()
    });
    window
}
