//! The panels of the steps: what they light in the views, and what can be typed in them.

use crate::cases::{open_copy_of, open_walls_of};
use crate::driver::Window;
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, Pos2};
use egui_kittest::kittest::Queryable as _;
use tiltbench_case::schema::v1::{Coping, FigureBasis, SeatZone, Wall};
use tiltbench_geometry::coping::Side;
use tiltbench_workbench::pointed::Pointed;

fn coping(window: &Window) -> Coping {
    window.session().document().file().copings[0].clone()
}

fn zones(window: &Window) -> Vec<SeatZone> {
    window.session().document().file().seat_zones.clone()
}

#[test]
fn what_the_panel_lights_goes_out_when_the_pointer_leaves() {
    let mut window = open_walls_of("two-canines");
    window.menu("Job", "Go to walls");
    let wall = window
        .harness
        .get_by_role_and_label(Role::CheckBox, "mesial");
    let at = wall.rect().center();
    window.harness.hover_at(at);
    window.harness.run_steps(3);
    let lit = Pointed::Wall {
        coping: "43".into(),
        side: Side::Mesial,
    };
    assert_eq!(window.harness.state().pointed(), Some(&lit));
    window.harness.hover_at(Pos2::new(640.0, 8.0));
    window.harness.run_steps(3);
    assert_eq!(window.harness.state().pointed(), None);
}

#[test]
fn a_limit_of_the_survey_is_reached_by_keys_and_lights_its_wall() {
    let mut window = open_walls_of("two-canines");
    let governing = window.session().derived().survey.clone().expect("a survey");
    let best = governing.value.recommended.as_ref().expect("one");
    assert!(!best.governing.is_empty());
    window.harness.get_by_label("Governed by");
    // The first limit of the panel follows the buttons of the held tilt.
    let mut lit = None;
    window
        .harness
        .get_by_role_and_label(Role::Button, "Keep")
        .focus();
    for _ in 0..3 {
        window.press(Modifiers::NONE, Key::Tab);
        lit = window.harness.state().pointed().cloned();
        if lit.is_some() {
            break;
        }
    }
    assert!(matches!(lit, Some(Pointed::Wall { .. })), "{lit:?}");
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!(window.harness.state().pointed(), None);
}

#[test]
fn tooth_and_place_of_a_coping_are_typed() {
    let mut window = open_walls_of("two-canines");
    window.menu("Job", "Go to walls");
    window.reach("Tooth and place");
    window.harness.run_steps(12);
    window.type_number(
        "How far the margin centre of 43 lies to the patient's right",
        "11.5",
    );
    window.type_number("How far the margin centre of 43 lies toward anterior", "13");
    window.type_number("How far the margin centre of 43 lies toward occlusal", "1");
    // On a lower cast the patient's right is +x.
    let centre = coping(&window).margin_centre;
    for (found, typed) in centre.into_iter().zip([11.5, 13.0, 1.0]) {
        assert!((found - typed).abs() < 1e-9, "{centre:?}");
    }
    assert_eq!(window.session().undo_name(), Some("Move coping 43"));
    window.type_text("Tooth of 43", "44");
    assert_eq!(coping(&window).tooth, "44");
    window
        .harness
        .get_by_label_contains("44  lower right first premolar");
    window.type_text("Name of 44", "right");
    assert_eq!(coping(&window).id.as_deref(), Some("right"));
    let case = window.session().derived().case.clone().expect("a case");
    let labial = case.copings()[0].labial;
    window.reach("The buccal side of right is turned over");
    let case = window.session().derived().case.clone().expect("a case");
    assert!(case.copings()[0].labial.dot(&labial) < -0.99);
    window.reach("The buccal side of right is turned over");
    assert_eq!(coping(&window).labial, None);
}

/// A wall that is ticked has a taper that nobody measured. That is said until it is entered, or taken as it is.
#[test]
fn a_taper_that_nobody_measured_is_marked_until_it_is_taken() {
    let mut window = open_walls_of("two-canines");
    window.menu("Job", "Go to walls");
    let mesial = |window: &Window| coping(window).basis.walls().mesial;
    for there in [false, true] {
        let tick = window
            .harness
            .get_by_role_and_label(Role::CheckBox, "mesial");
        tick.click();
        window.settle();
        assert_eq!(mesial(&window).is_some(), there);
    }
    let added = mesial(&window).expect("a wall");
    assert_eq!(added.taper_basis(), FigureBasis::Estimated);
    assert_eq!(window.count("taper estimated"), 1, "in the ledger");
    window.reach("Taper of 43 mesial per wall is estimated: take it as it is");
    window.settle();
    let taken = mesial(&window).expect("a wall");
    assert_eq!(taken, Wall::tapered(added.taper_deg));
    assert_eq!(window.count("taper estimated"), 0);
}

#[test]
fn a_zone_is_added_and_shaped_without_a_mouse() {
    let mut window = open_copy_of("ridge-only");
    let before = zones(&window);
    window.press(Modifiers::SHIFT, Key::F3);
    assert_eq!(zones(&window).len(), before.len() + 1);
    assert_eq!(window.session().undo_name(), Some("Add zone"));
    window.type_number("How far point 1 of zone lies toward anterior", "12");
    window.type_number("How far point 1 of zone lies to the patient's right", "-3");
    let to_right = match window.session().document().file().arch {
        tiltbench_geometry::frame::Arch::Mandibular => 1.0,
        tiltbench_geometry::frame::Arch::Maxillary => -1.0,
    };
    let [x, y] = zones(&window)[before.len()].outline[0];
    assert!(
        (x + 3.0 * to_right).abs() < 1e-9 && (y - 12.0).abs() < 1e-9,
        "{x} {y}"
    );
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!(window.count("Add a point after it"), 0, "left by a key");
}

#[test]
fn zones_are_named_and_opposed_and_each_control_says_whose_it_is() {
    let mut window = open_copy_of("two-canines");
    window.menu("Job", "Go to intake");
    window.type_text("Name of zone 1", "labial side");
    assert_eq!(zones(&window)[0].name, "labial side");
    assert_eq!(zones(&window)[1].opposes.as_deref(), Some("labial side"));
    for control in [
        "Edit points of labial side",
        "Remove zone labial side",
        "The undercut depth of labial side is limited",
        "Remove zone lingual flange",
    ] {
        assert_eq!(window.count(control), 1, "{control}");
    }
    window.reach("What lingual flange opposes");
    window.click("no zone");
    assert_eq!(zones(&window)[1].opposes, None);
    assert_eq!(
        window.session().undo_name(),
        Some("Change what zone lingual flange opposes")
    );
    window.reach("The undercut depth of labial side is limited");
    let limit = zones(&window)[0].undercut_limit_mm;
    assert_eq!(
        limit,
        Some(tiltbench_case::schema::v1::UndercutLimit::Unlimited)
    );
}

#[test]
fn the_jaw_is_chosen_and_its_words_follow() {
    let mut window = open_walls_of("two-canines");
    window.type_number("Patient's right lowered", "2");
    window.menu("Job", "Go to intake");
    window.click("Upper jaw");
    assert_eq!(window.session().undo_name(), Some("Change arch"));
    window.menu("Job", "Go to walls");
    // Of a lower tooth on an upper jaw.
    window
        .harness
        .get_by_label_contains("Walls, needs attention");
    window.press(Modifiers::COMMAND, Key::Z);
    window.harness.get_by_label_contains("Walls, done");
}

/// A field grows with what is typed; what stands beside it in the ledger goes out of sight then, and the
/// window does not close.
#[test]
fn a_number_of_many_digits_is_typed_in_the_ledger() {
    let mut window = open_walls_of("two-canines");
    window.click("Height of 43");
    window.harness.event(Event::Text("180".repeat(100)));
    window.harness.run_steps(3);
    window.press(Modifiers::NONE, Key::Enter);
    let most = tiltbench_case::schema::range::HEIGHT.high;
    assert!((coping(&window).height_mm - most).abs() < 1e-9, "the most");
}
