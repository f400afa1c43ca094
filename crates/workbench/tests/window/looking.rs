//! Every screen in the sizes it has to bear, for looking at: `TILTBENCH_PICTURES=folder`.

use crate::driver::{Paints, Setup, Window, sample};
use egui::{Key, Theme};
use egui_kittest::kittest::Queryable as _;
use std::path::Path;
use tiltbench_workbench::app::Start;

/// Name, size in points, scale, theme: 1280 x 720 at 100 %, 1920 x 1080 at 150 % and 200 %, and a
/// larger one.
const SIZES: [(&str, [f32; 2], f32, Theme); 5] = [
    ("1280", [1280.0, 720.0], 1.0, Theme::Light),
    ("1280-dark", [1280.0, 720.0], 1.0, Theme::Dark),
    ("1920-150", [1280.0, 720.0], 1.5, Theme::Dark),
    ("1920-200", [960.0, 540.0], 2.0, Theme::Light),
    ("1920", [1920.0, 1080.0], 1.0, Theme::Light),
];

#[test]
fn screens_for_looking() {
    let Some(folder) = std::env::var_os("TILTBENCH_PICTURES").map(std::path::PathBuf::from) else {
        return;
    };
    std::fs::create_dir_all(&folder).expect("a folder");
    let only = std::env::var("TILTBENCH_SIZE").ok();
    for (name, size, scale, theme) in SIZES {
        if only.as_ref().is_some_and(|only| only != name) {
            continue;
        }
        let setup = Setup {
            size,
            scale,
            theme,
            paints: Paints::Yes,
            ..Setup::default()
        };
        shoot_all(&folder, name, &setup);
    }
}

fn shoot_all(folder: &Path, name: &str, setup: &Setup) {
    let own = tempfile::tempdir().expect("a folder");
    let mut window = Window::open_with(Start::Empty, setup, own);
    let shoot = |window: &mut Window, screen: &str| {
        window.harness.run_steps(4);
        let picture = window.harness.render().expect("a picture");
        let path = folder.join(format!("{name}-{screen}.png"));
        picture.save(path).expect("a file");
    };
    shoot(&mut window, "empty");
    window.drop_file(&sample("two-canines.json"));
    window.surveyed();
    window.click("Recommended");
    window.settle();
    shoot(&mut window, "two");
    window.click("Magnify");
    let zone = window
        .harness
        .get_by_label("Undercut limit of labial flange");
    let at = zone.rect().center();
    window.harness.hover_at(at);
    shoot(&mut window, "zone-lit");
    window.click("Keep");
    window.harness.get_by_label("Kept").scroll_to_me();
    window.harness.run_steps(12);
    shoot(&mut window, "compared");
    window.menu("Job", "Go to walls");
    shoot(&mut window, "handles");
    window.menu("Job", "Go to intake");
    window.reach("Edit points of labial flange");
    window.click("Occlusal");
    shoot(&mut window, "points");
    window.drop_file(&sample("upper-compromise.json"));
    window.click("Discard changes");
    window.surveyed();
    shoot(&mut window, "survey");
    window.click("Front");
    window.click("Section");
    shoot(&mut window, "section");
    window.click("Section");
    window.menu("Job", "Go to walls");
    shoot(&mut window, "walls");
    window.reach("Tooth and place");
    window.harness.run_steps(12);
    window.harness.get_by_label("Name").scroll_to_me();
    window.harness.run_steps(12);
    shoot(&mut window, "place");
    window.menu("Job", "Go to intake");
    window.click("Orient by clicking");
    shoot(&mut window, "intake");
    window.drop_file(&sample("before-waxing.json"));
    window.surveyed();
    shoot(&mut window, "before-waxing");
    window.drop_file(&sample("three-no-common-draw.json"));
    window.surveyed();
    window.click("Least bad");
    window.settle();
    shoot(&mut window, "none");
    window.drop_file(&sample("ridge-only.ply"));
    shoot(&mut window, "dropped-scan");
    window.click("Go back");
    window.menu("Help", "Find an action");
    shoot(&mut window, "finder");
    window.harness.key_press(Key::Escape);
    window.harness.run_steps(3);
    window.click("Keep");
    window.menu("File", "New case");
    shoot(&mut window, "unsaved");
}
