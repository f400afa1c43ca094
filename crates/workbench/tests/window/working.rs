//! Working in the window: what a hand does, found by what it is called.

use crate::cases::{open_walls_of, open_walls_with};
use crate::driver::Window;
use egui::{Key, Modifiers, Vec2};
use egui_kittest::Node;
use egui_kittest::kittest::Queryable as _;
use serde_json::json;
use std::path::PathBuf;
use tiltbench_case::read_case;
use tiltbench_case::schema::v1::PlannedState;
use tiltbench_session::Settings;
use tiltbench_workbench::app::{Start, Workbench};

fn held_deg(window: &Window) -> [f64; 2] {
    let held = window.session().document().held();
    [held.anterior_rad(), held.lateral_rad()].map(f64::to_degrees)
}

#[test]
fn the_recommended_tilt_is_held_and_taken_back() {
    let mut window = open_walls_of("two-canines");
    window.click("Recommended");
    window.settle();
    assert_eq!(window.session().derived().acceptable(), Some(true));
    assert!(held_deg(&window)[0].abs() > 0.5, "{:?}", held_deg(&window));
    window.menu("Edit", "Undo: Hold tilt");
    assert_eq!(window.session().undo_name(), None);
    assert!(held_deg(&window).iter().all(|deg| deg.abs() < 1e-9));
    window.menu("Edit", "Redo: Hold tilt");
    assert!(held_deg(&window)[0].abs() > 0.5);
}

#[test]
fn the_tilt_is_dragged_as_one_step_and_nudged_by_keys() {
    let mut window = open_walls_of("two-canines");
    let chart = window.harness.get_by_label_contains("Tilt chart").rect();
    let handle = chart.center();
    window.harness.drag_at(handle);
    window.harness.run_steps(2);
    for step in 1..6_u8 {
        let to = handle + Vec2::new(0.0, 8.0 * f32::from(step));
        window.harness.hover_at(to);
        window.harness.run_steps(2);
    }
    assert!(
        window.session().is_dragging(),
        "a preview while it is dragged"
    );
    assert_eq!(window.session().undo_name(), None);
    window.harness.drop_at(handle + Vec2::new(0.0, 40.0));
    window.harness.run_steps(3);
    let [anterior, _] = held_deg(&window);
    assert!(
        anterior < -1.0,
        "down on the chart lowers the posterior: {anterior}"
    );
    assert_eq!(window.session().undo_name(), Some("Hold tilt"));

    window.harness.get_by_label_contains("Tilt chart").focus();
    window.harness.run_steps(2);
    window.harness.key_press(Key::ArrowUp);
    window.harness.run_steps(2);
    let nudged = held_deg(&window)[0];
    assert!(
        nudged > anterior && nudged < anterior + 0.76,
        "{anterior} {nudged}"
    );
}

fn first_change(window: &Window) -> Node<'_> {
    let mut changes = window.harness.get_all_by_label_contains("Plan: ");
    changes.next().expect("a change to apply")
}

#[test]
fn no_common_path_offers_changes_that_are_applied_and_undone() {
    let mut window = open_walls_of("three-no-common-draw");
    window.harness.get_by_label("No common path");
    let survey = window.session().derived().survey.clone().expect("a survey");
    assert!(!survey.value.changes.is_empty());
    let before = window.session().document().file().clone();
    // It may lie below the fold.
    first_change(&window).scroll_to_me();
    window.harness.run_steps(12);
    first_change(&window).click();
    window.harness.run_steps(12);
    assert_ne!(*window.session().document().file(), before);
    window.surveyed();
    window.harness.get_by_label("Recommended tilt");
    let mut steps = 0;
    while window.session().undo_name().is_some() {
        window
            .harness
            .key_press_modifiers(Modifiers::COMMAND, Key::Z);
        window.harness.run_steps(3);
        steps += 1;
        assert!(steps < 10);
    }
    assert_eq!(*window.session().document().file(), before);
    assert!(!window.session().is_unsaved());
}

/// What the ledger says of the metal over the walls, in order.
fn metal(window: &Window) -> Vec<String> {
    let mut names = window.names();
    names.retain(|name| name.starts_with("metal ") && name.ends_with(" mm"));
    names
}

#[test]
fn metal_before_waxing_follows_what_is_typed_and_a_tilt_is_held() {
    let mut window = open_walls_of("before-waxing");
    let before = metal(&window);
    assert!(!before.is_empty());
    window.menu("Job", "Go to walls");
    window
        .harness
        .get_by_label_contains("Mill taper per wall of");
    window.harness.get_by_label("Make it finished");
    window.type_number("Metal at the margin of 44", "0.8");
    assert_eq!(
        window.session().undo_name(),
        Some("Change margin thickness of coping 44")
    );
    let after = metal(&window);
    assert_eq!(after.len(), before.len());
    assert_ne!(after, before);
    window.menu("Job", "Go to survey");
    window.surveyed();
    let survey = window.session().derived().survey.clone().expect("a survey");
    assert!(survey.value.recommended.is_some());
    // Flat is recommended, and is held already.
    window.click("Recommended");
    window.settle();
    assert_eq!(window.session().derived().acceptable(), Some(true));
    assert_eq!(metal(&window), after);
    window.type_number("Anterior lowered", "3");
    window.settle();
    assert_ne!(metal(&window), after, "another tilt, another range");
}

#[test]
fn a_file_that_is_neither_case_nor_scan_changes_nothing() {
    let mut window = open_walls_of("walls-only");
    let before = window.session().document().file().clone();
    let wrong = window.folder.path().join("letter.txt");
    std::fs::write(&wrong, "Dear colleague").expect("a file");
    window.drop_file(&wrong);
    window.until("told", Workbench::is_settled);
    window.harness.get_by_label_contains("Not done");
    assert_eq!(*window.session().document().file(), before);
    window.harness.get_by_label_contains("Put away").click();
    window.harness.run_steps(3);
    assert!(window.harness.query_by_label_contains("Not done").is_none());
}

/// A picture is large: one that no file was chosen for is not held on to.
#[test]
fn a_picture_that_is_not_saved_is_let_go() {
    let mut window = open_walls_of("walls-only");
    window.menu("File", "Save picture of the chart");
    assert!(window.harness.state().has_picture());
    window.until("it is let go", |window| !window.has_picture());
    // Nor where a path could be typed, and is not.
    window.answer_without_a_chooser();
    window.menu("File", "Save picture of the chart");
    while window.count("Path of the file") == 0 {
        std::thread::sleep(std::time::Duration::from_millis(5));
        window.harness.step();
    }
    assert!(window.harness.state().has_picture());
    window.click("Go back");
    assert!(!window.harness.state().has_picture());
}

#[test]
fn unsaved_work_is_asked_for_and_saved() {
    let mut window = open_walls_of("walls-only");
    window.click("Keep");
    assert!(window.session().is_unsaved());
    window.menu("File", "New case");
    window.harness.get_by_label("Save the changes?");
    window.click("Go back");
    assert!(window.session().is_unsaved());
    window.menu("File", "New case");
    window.click("Save");
    assert!(
        window.session().document().file().copings.is_empty(),
        "a new case"
    );
    let saved = read_case(&window.folder.path().join("case.json")).expect("a case");
    assert!(saved.file().held_tilts.is_some());
}

/// A window with a change that has been kept for recovery, and where.
fn with_kept_work() -> (Window, PathBuf) {
    let mut window = open_walls_of("walls-only");
    let session = window.harness.state_mut().session_mut();
    let settings = Settings {
        autosave_s: 0,
        ..session.settings().clone()
    };
    session.set_settings(settings).expect("a profile");
    window.click("Keep");
    window.until("kept", |window| {
        window.session().next_due().is_none() && window.is_settled()
    });
    let kept = window.folder.path().join(".case.json.recovery");
    assert!(kept.is_file());
    (window, kept)
}

#[test]
fn work_left_by_a_kill_is_recovered() {
    let (window, kept) = with_kept_work();
    let tilts = window.session().document().file().held_tilts.clone();
    assert!(tilts.is_some());
    let folder = window.kill();
    assert!(kept.is_file(), "it outlives the window");
    let mut window = Window::open_with(Start::Empty, &crate::driver::Setup::default(), folder);
    window.harness.get_by_label("Work was left unsaved");
    window.click("Recover Four lower copings measured by hand");
    assert_eq!(window.session().document().file().held_tilts, tilts);
    assert!(window.session().is_unsaved());
}

#[test]
fn changes_let_go_on_purpose_leave_nothing_behind() {
    let (mut window, kept) = with_kept_work();
    window.menu("File", "Quit");
    window.click("Go back");
    assert!(kept.is_file() && window.session().is_unsaved());
    window.menu("File", "Quit");
    window.click("Discard changes");
    assert!(!kept.exists(), "let go with the changes");
    // Not by the test's own tidying up.
    let folder = window.kill();
    assert!(!kept.exists());
    let window = Window::open_with(Start::Empty, &crate::driver::Setup::default(), folder);
    let asked = window
        .harness
        .query_by_label_contains("Work was left unsaved");
    assert!(asked.is_none());
}

#[test]
fn opening_another_case_lets_go_of_what_was_discarded() {
    let (mut window, kept) = with_kept_work();
    window.menu("File", "New case");
    window.click("Discard changes");
    assert!(!kept.exists());
    assert!(window.session().document().path().is_none());
}

/// What is planned is done, measured, and then part of the case.
#[test]
fn planned_work_is_done_and_measured() {
    let mut window = open_walls_with("two-canines", |case| {
        let retaper = json!({
            "kind": "retaper", "where": { "coping": "43", "side": "mesial" }, "to": 7.5
        });
        let unguide = json!({ "kind": "unguide", "where": { "coping": "33", "side": "distal" } });
        case.insert("planned".into(), json!([retaper, unguide]));
    });
    window.surveyed();
    window.harness.get_by_label("Planned work");
    assert_eq!(window.count("measured, per wall"), 0);
    let done = |window: &Window, part: &str| {
        let names = window.names();
        let name = names
            .iter()
            .find(|name| name.starts_with("Done: ") && name.contains(part));
        name.expect("planned").clone()
    };
    let retaper = done(&window, "Retaper the mesial wall of 43");
    window.reach(&retaper);
    window.settle();
    window.type_number("Measured taper per wall", "7.2");
    window.settle();
    let file = window.session().document().file().clone();
    assert_eq!(file.planned[0].state, Some(PlannedState::Measured));
    let wall = file.copings[0].basis.walls().mesial.expect("a wall");
    assert!((wall.taper_deg - 7.2).abs() < 1e-9);
    let unguide = done(&window, "out of guiding");
    window.reach(&unguide);
    window.settle();
    let names = window.names();
    let gone = names
        .iter()
        .find(|name| name.ends_with("the wall guides no more"));
    let gone = gone.expect("a button").clone();
    window.reach(&gone);
    window.settle();
    let file = window.session().document().file().clone();
    assert_eq!(file.planned[1].state, Some(PlannedState::Measured));
    assert_eq!(
        file.copings[1]
            .basis
            .walls()
            .distal
            .and_then(|wall| wall.guides),
        Some(false)
    );
    assert_eq!(window.count("Planned work"), 0);
}
