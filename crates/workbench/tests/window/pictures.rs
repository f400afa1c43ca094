//! What the window looks like, on Mesa's software renderer: few pictures, as small as still shows
//! what matters.

use crate::common::{assert_refused, can_paint};
use crate::driver::{Paints, Setup, Window, sample};
use egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use tiltbench_workbench::app::Start;

/// A window that paints, if one can be had here.
fn window(start: Start, setup: Setup) -> Option<Window> {
    let folder = tempfile::tempdir().expect("a folder");
    let paints = Paints::Yes;
    can_paint().then(|| Window::open_with(start, &Setup { paints, ..setup }, folder))
}

/// Without what is told for a few seconds only.
fn picture(window: &mut Window, name: &str) {
    for _ in 0..5 {
        let told = window
            .harness
            .query_all_by_label_contains("Put away")
            .next();
        let Some(away) = told else { break };
        away.click();
        window.harness.run_steps(3);
    }
    window.harness.event(Event::PointerGone);
    window.harness.run_steps(4);
    window.harness.snapshot(name);
}

#[test]
fn a_case_from_the_empty_bench_through_the_steps() {
    let Some(mut window) = window(Start::Empty, Setup::default()) else {
        return;
    };
    window.settle();
    picture(&mut window, "empty");
    window.drop_file(&sample("two-canines.json"));
    window.surveyed();
    window.click("Recommended");
    window.settle();
    picture(&mut window, "survey");
    window.menu("Job", "Go to walls");
    picture(&mut window, "walls");
    window.menu("Job", "Go to intake");
    window.click("Orient by clicking");
    picture(&mut window, "intake");
}

#[test]
fn a_section_of_an_upper_cast() {
    let start = Start::File(sample("upper-compromise.json"));
    let Some(mut window) = window(start, Setup::default()) else {
        return;
    };
    window.surveyed();
    window.click("Front");
    window.click("Section");
    picture(&mut window, "section");
}

#[test]
fn before_the_wax_and_a_case_not_saved() {
    let start = Start::File(sample("before-waxing.json"));
    let Some(mut window) = window(start, Setup::default()) else {
        return;
    };
    window.surveyed();
    window.click("Recommended");
    window.settle();
    picture(&mut window, "before-waxing");
    window.menu("File", "New case");
    picture(&mut window, "unsaved");
}

#[test]
fn no_common_path_by_night() {
    let setup = Setup {
        size: [1400.0, 900.0],
        theme: egui::Theme::Dark,
        ..Setup::default()
    };
    let start = Start::File(sample("three-no-common-draw.json"));
    let Some(mut window) = window(start, setup) else {
        return;
    };
    window.surveyed();
    picture(&mut window, "no-common-path");
}

#[test]
fn changes_of_the_window_are_refused() {
    let start = Start::File(sample("walls-only.json"));
    let Some(mut window) = window(start, Setup::default()) else {
        return;
    };
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
