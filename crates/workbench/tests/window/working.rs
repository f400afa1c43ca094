//! Working in the window.

use crate::driver::{Window, sample};
use egui_kittest::kittest::Queryable as _;
use tiltbench_workbench::app::Start;

#[test]
fn the_recommended_tilt_is_held_and_taken_back() {
    let mut window = Window::open(Start::File(sample("two-canines.json")));
    window.surveyed();
    assert_eq!(window.session().derived().acceptable(), Some(false));
    window.harness.get_by_label_contains("Not acceptable");
    window.click("Recommended");
    window.settle();
    assert_eq!(window.session().derived().acceptable(), Some(true));
    assert_eq!(window.session().undo_name(), Some("Hold tilt"));
    window.menu("Edit", "Undo: Hold tilt");
    assert_eq!(window.session().undo_name(), None);
}
