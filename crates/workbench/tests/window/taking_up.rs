//! A case taken up again: as it was looked at, from the list of recent ones; and what is under way.

use crate::cases::{open_copy_of, open_walls_of};
use crate::driver::{Setup, Window};
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use tiltbench_case::read_case;
use tiltbench_session::{Figure, JobKind};
use tiltbench_workbench::actions::Action;
use tiltbench_workbench::app::Start;

#[test]
fn a_case_opens_as_it_was_looked_at() {
    let mut window = open_copy_of("two-canines");
    window.menu("Job", "Go to walls");
    window
        .harness
        .get_by_role_and_label(Role::Button, "33")
        .click();
    window.harness.run_steps(3);
    window.click("Front");
    window.click("Section");
    window.harness.get_by_label("What is cut");
    let camera = *window.harness.state().camera();
    window.press(Modifiers::COMMAND, Key::S);
    window.until("saved", |window| !window.session().is_unsaved());
    window.menu("File", "New case");
    assert_eq!(window.count("What is cut"), 0);
    window.click("File");
    window.harness.get_by_label_contains("Open recent").hover();
    window.harness.run_steps(8);
    window.click("two-canines.json");
    window.until("the cast is shown", |window| {
        window.shows_cast() && window.is_settled()
    });
    let chosen = window
        .harness
        .get_by_label_contains("33  lower left canine");
    assert!(chosen.rect().left() < 320.0, "the panel of its walls");
    window.harness.get_by_label("What is cut");
    let found = window.harness.state().camera();
    assert!((found.back() - camera.back()).norm() < 1e-9);
    assert!((found.height_mm - camera.height_mm).abs() < 1e-9);
}

#[test]
fn light_or_dark_is_remembered() {
    let mut window = Window::open(Start::Empty);
    let is_dark = |window: &Window| window.harness.ctx.global_style().visuals.dark_mode;
    assert!(!is_dark(&window));
    let keys = Action::Theme.shortcut();
    window.press(keys.modifiers, keys.logical_key);
    assert!(is_dark(&window));
    // The harness sets a theme of its own on opening, so the settings are asked.
    let folder = window.kill();
    let window = Window::open_with(Start::Empty, &Setup::default(), folder);
    assert_eq!(window.session().settings().window["theme"], "dark");
}

#[test]
fn an_opened_case_is_saved_where_it_was_read() {
    let mut window = open_walls_of("two-canines");
    let path = window.folder.path().join("case.json");
    let before = read_case(&path).expect("a case").copings()[0].clone();
    window.menu("Job", "Go to walls");
    window.type_number("Height of 43", "4.5");
    window.press(Modifiers::COMMAND, Key::S);
    window.until("saved", |window| !window.session().is_unsaved());
    let after = read_case(&path).expect("a case").copings()[0].clone();
    assert!((after.height_mm - 4.5).abs() < 1e-9 && (before.height_mm - 4.5).abs() > 0.1);
    assert!(!window.said("Saved: ").is_empty());
}

/// What hangs on a tilt says that it is behind, until it is not.
#[test]
fn what_is_behind_says_so() {
    let mut window = open_copy_of("two-canines");
    window.surveyed();
    window.harness.get_by_label_contains("Intake, done");
    window.harness.get_by_label_contains("Walls, done");
    window.click("Recommended");
    window.settle();
    let done = "Survey, done: the held tilt is acceptable";
    window.harness.get_by_label(done);
    window.menu("Job", "Go to walls");
    window.type_number("Height of 43", "4.5");
    assert!(
        window
            .session()
            .derived()
            .survey
            .as_ref()
            .is_some_and(Figure::is_stale)
    );
    window
        .harness
        .get_by_label("Survey, needs attention: of an earlier state");
    window.menu("Job", "Go to survey");
    window
        .harness
        .get_by_label_contains("Of an earlier state of the case");
    window.surveyed();
    assert_eq!(window.said("Of an earlier state of the case"), "");
    window.push("Flat");
    window.settle();
    window
        .harness
        .get_by_label("Survey, needs attention: the held tilt is not acceptable");
}

#[test]
fn what_is_being_worked_out_is_stopped() {
    let mut window = open_copy_of("upper-compromise");
    window.menu("Job", "Go to walls");
    let coping = window.session().document().file().copings[0].clone();
    let name = format!("Height of {}", coping.id.unwrap_or(coping.tooth));
    window.type_number(&name, "4.1");
    window.until("it is surveyed", |window| {
        let jobs = &window.session().derived().jobs;
        jobs.iter().any(|job| job.kind == JobKind::Survey)
    });
    window.click("Stop surveying");
    let jobs = window.session().derived().jobs.clone();
    assert!(
        jobs.iter().all(|job| job.kind != JobKind::Survey),
        "{jobs:?}"
    );
    window.settle();
    let survey = window.session().derived().survey.as_ref();
    assert!(survey.is_none_or(Figure::is_stale), "it was not made");
}
