//! What the window looks like, on Mesa's software renderer: few pictures, as small as still shows
//! what matters.

use crate::common::{assert_refused, can_paint};
use crate::driver::{Paints, Setup, Window, sample};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use tiltbench_workbench::app::Start;

fn picture(name: &str, start: Start, setup: &Setup) {
    if !can_paint() {
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

#[test]
fn changes_of_the_window_are_refused() {
    if !can_paint() {
        return;
    }
    let setup = Setup {
        paints: Paints::Yes,
        ..Setup::default()
    };
    let folder = tempfile::tempdir().expect("a folder");
    let start = Start::File(sample("walls-only.json"));
    let mut window = Window::open_with(start, &setup, folder);
    window.surveyed();
    let picture = |window: &mut Window| {
        window.harness.run_steps(4);
        window.harness.render().expect("a picture")
    };
    let (drawn, again) = (picture(&mut window), picture(&mut window));
    window.harness.get_by_label_contains("Tilt chart").focus();
    window.harness.run_steps(2);
    let focused = picture(&mut window);
    assert_refused("the chart with the keyboard", &drawn, &again, &focused);
    window
        .harness
        .key_press_modifiers(Modifiers::SHIFT, Key::ArrowUp);
    window.settle();
    let nudged = picture(&mut window);
    assert_refused(
        "a tilt a tenth of a degree off",
        &focused,
        &focused,
        &nudged,
    );
}
