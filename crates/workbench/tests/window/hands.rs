//! What is done on the cast itself: directions turned, outlines edited; and the forms beside it.

use crate::driver::{Setup, Window, sample};
use egui::accesskit::Role;
use egui::{Key, Pos2, Vec2};
use egui_kittest::kittest::Queryable as _;
use tiltbench_workbench::app::Start;
use tiltbench_workbench::pointed::Pointed;

fn two_canines() -> Window {
    let mut window = Window::open(Start::File(sample("two-canines.json")));
    window.until("the scan is there", |window| {
        window.session().derived().cast.is_some()
    });
    let shown = |window: &Window| {
        let view = window
            .harness
            .query_by_label_contains("View of the cast: the scan");
        view.is_some()
    };
    // Made ready to be seen on a thread of its own.
    for _ in 0..6000 {
        if shown(&window) {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
        window.harness.step();
    }
    assert!(shown(&window), "the scan in the view");
    window
}

fn drag(window: &mut Window, from: Pos2, by: Vec2) {
    window.harness.hover_at(from);
    window.harness.run_steps(2);
    window.harness.drag_at(from);
    window.harness.run_steps(2);
    for share in [0.3, 0.7, 1.0] {
        window.harness.hover_at(from + by * share);
        window.harness.run_steps(2);
    }
    window.harness.drop_at(from + by);
    window.harness.run_steps(3);
}

fn place(window: &Window, label: &str) -> Pos2 {
    window.harness.get_by_label_contains(label).rect().center()
}

/// For an undo, which brings back the very figures.
fn bits(v: [f64; 3]) -> [u64; 3] {
    v.map(f64::to_bits)
}

fn axis(window: &Window) -> [f64; 3] {
    window.session().document().file().copings[0].axis
}

#[test]
fn an_axis_is_dragged_on_the_cast_as_one_step() {
    let mut window = two_canines();
    window.menu("Job", "Go to walls");
    window.click("Front");
    let before = axis(&window);
    let from = place(&window, "Axis of 43: drag");
    drag(&mut window, from, Vec2::new(30.0, 0.0));
    let after = axis(&window);
    let lean = |axis: [f64; 3]| axis[0].atan2(axis[2]).to_degrees();
    // From the front, the right of the picture is the patient's left: -x on a lower cast.
    assert!(lean(after) < lean(before) - 3.0, "{before:?} {after:?}");
    assert_eq!(window.session().undo_name(), Some("Turn axis of coping 43"));
    window.menu("Edit", "Undo: Turn axis");
    assert_eq!(bits(axis(&window)), bits(before));
    assert_eq!(window.session().undo_name(), None, "it was one step");
}

#[test]
fn an_axis_is_turned_by_keys_and_a_drag_is_called_off() {
    let mut window = two_canines();
    window.menu("Job", "Go to walls");
    window.click("Front");
    let before = axis(&window);
    let from = place(&window, "Axis of 43: drag");
    window.harness.drag_at(from);
    window.harness.run_steps(2);
    window.harness.hover_at(from + Vec2::new(40.0, 0.0));
    window.harness.run_steps(2);
    assert!(window.session().is_dragging());
    window.harness.key_press(Key::Escape);
    window.harness.run_steps(2);
    window.harness.drop_at(from + Vec2::new(40.0, 0.0));
    window.harness.run_steps(2);
    assert_eq!(bits(axis(&window)), bits(before));
    assert_eq!(window.session().undo_name(), None);

    window
        .harness
        .get_by_label_contains("Axis of 43: drag")
        .focus();
    window.harness.run_steps(2);
    window.harness.key_press(Key::ArrowUp);
    window.harness.run_steps(2);
    let lean = |axis: [f64; 3]| axis[1].atan2(axis[2]).to_degrees();
    assert!((lean(axis(&window)) - lean(before) - 0.5).abs() < 1e-6);
}

#[test]
fn a_mesial_direction_is_dragged_on_the_cast_as_one_step() {
    let mut window = two_canines();
    window.menu("Job", "Go to walls");
    window.click("Occlusal");
    let mesial = |window: &Window| window.session().document().file().copings[0].mesial;
    let before = mesial(&window);
    let from = place(&window, "Mesial direction of 43: drag");
    drag(&mut window, from, Vec2::new(0.0, -14.0));
    let after = mesial(&window);
    // Up on an occlusal view is anterior.
    assert!(after[1] > before[1], "{before:?} {after:?}");
    window.menu("Edit", "Undo: Turn mesial");
    assert_eq!(bits(mesial(&window)), bits(before));
    assert_eq!(window.session().undo_name(), None, "it was one step");
}

/// Begins to edit the outline of the first zone.
fn edit_points(window: &mut Window) {
    window.reach("Edit points of labial flange");
}

fn outline(window: &Window) -> Vec<[f64; 2]> {
    window.session().document().file().seat_zones[0]
        .outline
        .clone()
}

#[test]
fn points_of_an_outline_are_put_in_and_taken_out_on_the_cast() {
    let mut window = two_canines();
    window.menu("Job", "Go to intake");
    window.click("Occlusal");
    let before = outline(&window);
    edit_points(&mut window);
    // The longest side: there is room between its ends.
    let count = before.len();
    let length = |side: &usize| {
        let [a, b] = [before[*side], before[(*side + 1) % count]];
        (a[0] - b[0]).hypot(a[1] - b[1])
    };
    let long = (0..count - 1).max_by(|a, b| length(a).total_cmp(&length(b)));
    let side = long.expect("a side");
    let [one, other] = [side + 1, side + 2].map(|n| {
        let name = format!("Point {n} of labial flange");
        window.harness.get_by_label(&name).rect().center()
    });
    let middle = one + (other - one) * 0.5;
    window.harness.hover_at(middle);
    window.harness.run_steps(1);
    window.harness.drag_at(middle);
    window.harness.drop_at(middle);
    window.harness.run_steps(4);
    let more = outline(&window);
    assert_eq!(more.len(), before.len() + 1, "a point was put in");
    let ends = [more[side], more[side + 2]];
    assert_eq!(ends, [before[side], before[side + 1]], "between the two");
    assert_eq!(
        window.session().undo_name(),
        Some("Add point to zone labial flange")
    );
    window
        .harness
        .get_by_label(&format!("Point {} of labial flange", side + 2))
        .focus();
    window.harness.run_steps(3);
    window.harness.key_press(Key::ArrowRight);
    window.harness.run_steps(3);
    let moved = outline(&window)[side + 1][0] - more[side + 1][0];
    assert!((moved - 0.5).abs() < 1e-9, "{moved}");
    window.harness.key_press(Key::Delete);
    window.harness.run_steps(3);
    assert_eq!(outline(&window), before);
    for _ in 0..3 {
        window.menu("Edit", "Undo: ");
    }
    assert_eq!(window.session().undo_name(), None);
    assert_eq!(outline(&window), before);
}

#[test]
fn a_zone_gets_heights_and_its_points_are_typed() {
    let mut window = two_canines();
    window.menu("Job", "Go to intake");
    let range = |window: &Window| window.session().document().file().seat_zones[0].z_range;
    let heights = "labial flange lies between two heights only";
    let had = range(&window);
    window.harness.get_by_label(heights).scroll_to_me();
    window.harness.run_steps(12);
    if had.is_none() {
        window.click(heights);
    }
    let [low, high] = range(&window).expect("a range to begin with");
    assert!(low < high);
    window.type_number("Least height of labial flange", "-6");
    assert_eq!(range(&window), Some([-6.0, high]));
    window.reach(heights);
    assert_eq!(range(&window), None);

    edit_points(&mut window);
    let before = outline(&window);
    window.reach("Add a point after it");
    assert_eq!(outline(&window).len(), before.len() + 1);
    let name = "How far point 2 of labial flange lies toward anterior";
    window.type_number(name, "12.5");
    assert!((outline(&window)[1][1] - 12.5).abs() < 1e-9);
    window.reach("Remove point");
    assert_eq!(outline(&window), before);
}

#[test]
fn a_root_canal_is_entered_and_its_angle_to_the_draw_is_told() {
    let mut window = two_canines();
    window.menu("Job", "Go to walls");
    let canal = |window: &Window| window.session().document().file().copings[0].canal_axis;
    if canal(&window).is_none() {
        window.click("The root canal of 43 is known");
    }
    assert!(canal(&window).is_some());
    window.type_number("Root canal of 43 leans anterior", "10");
    window.type_number("Root canal of 43 leans to the patient's right", "0");
    let [x, y, z] = canal(&window).expect("a canal");
    assert!(x.abs() < 1e-9 && (y.atan2(z).to_degrees() - 10.0).abs() < 1e-9);
    window.harness.get_by_label("10.0° off the held draw");
    window.click("The root canal of 43 is known");
    assert_eq!(canal(&window), None);
}

#[test]
fn a_zone_pointed_at_is_lit_in_every_view() {
    let mut window = Window::open(Start::File(sample("two-canines.json")));
    window.surveyed();
    let zone = Pointed::Zone("labial flange".into());
    let at = place(&window, "Undercut limit of labial flange");
    window.harness.hover_at(at);
    window.harness.run_steps(3);
    assert_eq!(window.harness.state().pointed(), Some(&zone));
    let borders = window.harness.state().lit_borders();
    assert!(
        borders > 0,
        "the chart shows where its depth meets the limit"
    );
}

/// What is typed as the patient's right lowered is that on both arches: +x on a lower cast, -x on an
/// upper one.
#[test]
fn left_and_right_are_the_patients_on_both_arches() {
    for (stem, sign) in [("walls-only", 1.0), ("upper-compromise", -1.0)] {
        let mut window = Window::open(Start::File(sample(&format!("{stem}.json"))));
        let upper = sign < 0.0;
        let arch = window.session().document().file().arch;
        assert_eq!(
            arch == tiltbench_geometry::frame::Arch::Maxillary,
            upper,
            "{stem}"
        );
        window.type_number("Anterior lowered", "0");
        window.type_number("Patient's right lowered", "2");
        let held = window.session().document().held();
        assert!(
            (held.lateral_rad().to_degrees() - sign * 2.0).abs() < 1e-9,
            "{stem}"
        );
        let said = window
            .harness
            .query_all_by_label("Patient's right down 2.0°")
            .count();
        assert!(said > 0, "{stem}: the held tilt in words");
        window
            .harness
            .get_by_label_contains("Tilt chart, held: patient's right down 2.0°");
        let said = window
            .harness
            .query_all_by_label_contains("patient's left 2.0°")
            .count();
        assert_eq!(said, 0, "{stem}");
    }
}

/// From 1280 x 720 points on, the copings of the sample and its zones are seen without scrolling, and
/// no word of the row above the cast wraps.
#[test]
fn everything_of_the_sample_is_seen_at_1280_by_720() {
    let mut window = Window::open(Start::File(sample("two-canines.json")));
    window.surveyed();
    let foot = 720.0 - 24.0;
    for name in [
        "Height of 43",
        "Height of 33",
        "Taper of 33 lingual wall, per wall",
        "Undercut limit of labial flange",
        "Undercut limit of lingual flange",
    ] {
        let rect = window.harness.get_by_label(name).rect();
        assert!(rect.bottom() <= foot, "{name}: {rect:?}");
        assert!(rect.right() <= 1280.0, "{name}: {rect:?}");
    }
    let row = window.harness.get_by_label("Overview").rect();
    let last = window.harness.get_by_label("Section").rect();
    assert!((row.top() - last.top()).abs() < 1.0, "{row:?} {last:?}");
}

/// The least screen there is: 1920 x 1080 at 200 %. Of each view there is something to work with, and
/// nothing leaves the window.
#[test]
fn there_is_room_for_everything_at_960_by_540() {
    let setup = Setup {
        size: [960.0, 540.0],
        scale: 2.0,
        ..Setup::default()
    };
    let folder = tempfile::tempdir().expect("a folder");
    let start = Start::File(sample("two-canines.json"));
    let mut window = Window::open_with(start, &setup, folder);
    window.surveyed();
    let rect = |window: &Window, name: &str| window.harness.get_by_label_contains(name).rect();
    let cast = rect(&window, "View of the cast");
    assert!(cast.width() > 250.0 && cast.height() > 200.0, "{cast:?}");
    let chart = rect(&window, "Tilt chart, held");
    assert!(chart.width() > 180.0 && chart.height() > 150.0, "{chart:?}");
    assert!(chart.right() <= 960.0, "{chart:?}");
    let foot = 540.0 - 24.0;
    for name in ["Anterior lowered", "Patient's right lowered"] {
        let field = window.harness.get_by_role_and_label(Role::SpinButton, name);
        assert!(field.rect().bottom() <= foot, "{name}: {:?}", field.rect());
    }
    for name in ["Recommended", "Keep", "Height of 43", "Section"] {
        let rect = window
            .harness
            .get_by_role_and_label(role_of(name), name)
            .rect();
        assert!(
            rect.bottom() <= foot && rect.right() <= 960.0,
            "{name}: {rect:?}"
        );
    }
}

fn role_of(name: &str) -> Role {
    if name.starts_with("Height") {
        Role::SpinButton
    } else {
        Role::Button
    }
}
