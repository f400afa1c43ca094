//! What the window looks like, on Mesa's software renderer: few pictures, as small as still shows
//! what matters.

use crate::driver::{Paints, Setup, Window, sample};
use tiltbench_workbench::app::Start;

fn picture(name: &str, start: Start, setup: &Setup) {
    if !Window::can_paint() {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = Window::open_with(
        start,
        &Setup {
            paints: Paints::Yes,
            ..*setup
        },
        folder,
    );
    window.surveyed();
    window.harness.snapshot(name);
}

#[test]
fn a_surveyed_case() {
    let start = Start::File(sample("two-canines.json"));
    picture("survey", start, &Setup::default());
}

#[test]
fn no_common_path_by_night() {
    let start = Start::File(sample("three-no-common-draw.json"));
    let setup = Setup {
        size: [1400.0, 900.0],
        theme: egui::Theme::Dark,
        ..Setup::default()
    };
    picture("no-common-path", start, &setup);
}
