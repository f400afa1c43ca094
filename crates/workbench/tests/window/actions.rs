//! Everything the window can do: in the menus by its very name, by its keys, in the list that is
//! searched; and every control with a name.

use crate::cases::{open_copy_of, open_walls_of};
use crate::driver::{Setup, Window, name_of, sample};
use egui::accesskit;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use std::collections::BTreeMap;
use tiltbench_workbench::actions::{Action, Menu, Step};
use tiltbench_workbench::app::Start;

/// Whether a menu's item is this action: its name, alone or with what is undone, and then its keys.
fn is_item(window: &Window, action: Action, label: &str) -> bool {
    let keys = window.harness.ctx.format_shortcut(&action.shortcut());
    let name = label.strip_suffix(&keys).unwrap_or(label).trim_end();
    name == action.name() || name.starts_with(&format!("{}: ", action.name()))
}

#[test]
fn every_action_is_in_its_menu_by_its_name() {
    let mut window = Window::open(Start::Empty);
    for menu in Menu::ALL {
        window.click(menu.title());
        if menu == Menu::File {
            window.harness.get_by_label_contains("Open sample").hover();
            window.harness.run_steps(8);
        }
        let labels = window.names();
        let wanted = Action::all().into_iter().filter(|a| a.menu() == menu);
        for action in wanted {
            let found = labels
                .iter()
                .filter(|label| is_item(&window, action, label));
            // Some stand on the empty bench as well.
            assert!(
                found.count() > 0,
                "{} is not in {}",
                action.name(),
                menu.title()
            );
        }
        window.press(Modifiers::NONE, Key::Escape);
        window.press(Modifiers::NONE, Key::Escape);
    }
}

/// Puts away what an action may have opened.
fn tidy(window: &mut Window) {
    for _ in 0..3 {
        window.press(Modifiers::NONE, Key::Escape);
    }
}

/// What an action comes to, where that is seen at once.
fn is_done(window: &Window, action: Action, before: &Before) -> bool {
    let session = window.session();
    match action {
        Action::New | Action::Sample(_) => window.count("Save the changes?") == 1,
        Action::Undo => session.undo_name().is_none(),
        Action::Redo => session.undo_name().is_some(),
        Action::Section => window.count("What is cut") == 1,
        Action::Theme => window.harness.ctx.global_style().visuals.dark_mode != before.dark,
        Action::Go(Step::Intake) => window.count("Open scan…") == 1,
        Action::Go(Step::Walls) => window.count("Add on tooth") == 1,
        Action::Go(Step::Survey) => window.count("Held tilt") == 1,
        Action::Orient | Action::DrawZone | Action::ClickMargin => {
            window.count("There is no scan yet to click on") == 1
        }
        Action::TypeZone => session.document().file().seat_zones.len() == before.zones + 1,
        Action::KeepHeld => session.document().kept_tilts().len() == before.kept + 1,
        Action::CopyFigures => window.count("Figures copied") == 1,
        Action::About => !window.said("Version ").is_empty(),
        Action::FindAction => window.count("Find an action") == 1,
        // Asked for a file, a picture or another sight of the cast, which nothing here answers; or
        // left, as all was saved before.
        _ => true,
    }
}

struct Before {
    dark: bool,
    zones: usize,
    kept: usize,
}

impl Before {
    fn of(window: &Window) -> Self {
        let document = window.session().document();
        Self {
            dark: window.harness.ctx.global_style().visuals.dark_mode,
            zones: document.file().seat_zones.len(),
            kept: document.kept_tilts().len(),
        }
    }
}

/// A window with one step to take back and one to make again.
fn with_steps() -> Window {
    let mut window = open_walls_of("walls-only");
    window.click("Keep");
    window.click("Keep");
    window.press(Modifiers::COMMAND, Key::Z);
    window
}

#[test]
fn every_action_is_carried_out_from_the_list() {
    let mut window = with_steps();
    for action in Action::all() {
        let before = Before::of(&window);
        window.press(Modifiers::COMMAND, Key::K);
        window
            .harness
            .get_by_label("Find an action")
            .type_text(action.name());
        window.harness.run_steps(2);
        window.press(Modifiers::NONE, Key::Enter);
        assert!(is_done(&window, action, &before), "{}", action.name());
        tidy(&mut window);
    }
}

#[test]
fn every_action_is_carried_out_by_its_keys() {
    let mut window = with_steps();
    for action in Action::all() {
        let before = Before::of(&window);
        let keys = action.shortcut();
        window.press(keys.modifiers, keys.logical_key);
        assert!(is_done(&window, action, &before), "{}", action.name());
        tidy(&mut window);
    }
}

/// What is typed into a field is not taken for keys of an action.
#[test]
fn keys_that_write_or_undo_belong_to_the_field_that_is_typed_in() {
    let mut window = with_steps();
    window.press(Modifiers::COMMAND, Key::Num1);
    window.click("Name of the case");
    let undone = window.session().undo_name().map(str::to_owned);
    window.press(Modifiers::COMMAND, Key::Z);
    window.press(Modifiers::ALT, Key::C);
    assert_eq!(window.session().undo_name(), undone.as_deref());
}

/// Everything that can be clicked, stepped or typed in has a name, and no two of a kind have the same in
/// one part of the window: the panel of the step, or the views, which show some of its figures as well.
fn assert_named(window: &Window, screen: &str) {
    let root = window.harness.root();
    let mut seen: BTreeMap<(bool, String, String), usize> = BTreeMap::new();
    for node in root.children_recursive() {
        let inner = node.accesskit_node();
        let does = [
            accesskit::Action::Click,
            accesskit::Action::Increment,
            accesskit::Action::SetValue,
        ];
        let acts = does
            .iter()
            .any(|action| inner.data().supports_action(*action));
        // Bars of scrolled parts and handles between panels are told by what they are.
        let plain = [accesskit::Role::ScrollBar, accesskit::Role::Splitter];
        if !acts || inner.is_hidden() || plain.contains(&inner.role()) {
            continue;
        }
        let name = name_of(&node);
        let role = format!("{:?}", inner.role());
        assert!(
            !name.trim().is_empty(),
            "{screen}: a {role} without a name, {:?}",
            node.rect()
        );
        let in_panel = node.rect().left() < 320.0;
        *seen.entry((in_panel, role, name)).or_default() += 1;
    }
    for ((_, role, name), count) in seen {
        assert_eq!(count, 1, "{screen}: {count} times {role} {name:?}");
    }
}

#[test]
fn every_control_of_every_step_has_a_name_of_its_own() {
    let mut window = open_copy_of("two-canines");
    window.surveyed();
    window.click("Keep");
    window.click("Recommended");
    window.click("Keep");
    window.settle();
    for (step, opened) in [
        ("intake", &["Unit: millimetres", "Type the frame"][..]),
        ("walls", &["Tooth and place"]),
        ("survey", &[]),
    ] {
        window.menu("Job", &format!("Go to {step}"));
        assert_named(&window, step);
        for part in opened {
            window.reach(part);
            window.harness.run_steps(8);
            assert_named(&window, part);
        }
    }
    window.click("Section");
    assert_named(&window, "section");
    window.click("What is cut");
    assert_named(&window, "what may be cut");
    tidy(&mut window);
    window.menu("Job", "Go to intake");
    window.reach("Edit points of labial flange");
    assert_named(&window, "points of a zone");
    window.press(Modifiers::NONE, Key::F2);
    assert_named(&window, "orienting");
    tidy(&mut window);
    for (menu, item) in [
        ("File", "New case"),
        ("Help", "About"),
        ("Help", "Find an action"),
    ] {
        window.click(menu);
        assert_named(&window, menu);
        window.harness.get_by_label_contains(item).click();
        window.harness.run_steps(3);
        assert_named(&window, item);
        tidy(&mut window);
    }
    window.drop_file(&sample("ridge-only.ply"));
    assert_named(&window, "a scan dropped");
}

#[test]
fn every_control_has_a_name_where_there_is_no_common_path() {
    let mut window = open_walls_of("three-no-common-draw");
    assert_named(&window, "no common path");
    window.menu("Job", "Go to walls");
    assert_named(&window, "walls");
    let window = open_walls_of("before-waxing");
    assert_named(&window, "before waxing");
    let folder = tempfile::tempdir().expect("a folder");
    let window = Window::open_with(Start::Empty, &Setup::default(), folder);
    assert_named(&window, "empty");
}
