//! What the window tells, when, and what it asks where a desktop lacks something.

use crate::driver::{Setup, Window};
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;
use tiltbench_case::demo::SampleKind;
use tiltbench_workbench::actions::{Action, Picture};
use tiltbench_workbench::app::Start;

/// What a frame has to tell is seen without anything else happening.
#[test]
fn what_is_told_is_seen_at_once() {
    let mut window = Window::open(Start::Sample(SampleKind::WallsOnly));
    window.settle();
    let ctx = window.harness.ctx.clone();
    window.harness.state_mut().act(&ctx, Action::CopyFigures);
    // It is laid out in this frame, and the one that shows it is asked for: no move of the pointer is waited for.
    window.harness.step();
    assert!(window.harness.ctx.has_requested_repaint());
    window.harness.step();
    assert_eq!(window.count("Figures copied"), 1);
}

/// Without a file chooser a path is typed, and the file opened.
#[test]
fn a_path_is_typed_where_there_is_no_file_chooser() {
    let mut window = Window::open(Start::Empty);
    let case = window.folder.path().join("mine.json");
    let text =
        r#"{"format": "tiltbench-case", "version": 1, "arch": "maxillary", "title": "Mine"}"#;
    std::fs::write(&case, text).expect("a file");
    window.answer_without_a_chooser();
    window.press(Modifiers::COMMAND, Key::O);
    assert_eq!(window.count("Open case or scan"), 1);
    window
        .harness
        .get_by_label_contains("this desktop has no file chooser");
    window.type_text("Path of the file", &case.display().to_string());
    window.until("it is open", |window| {
        window.session().document().title() == "Mine"
    });
    assert_eq!(window.count("Path of the file"), 0);
    // A dialog that was seen and left asks nothing more.
    window.press(Modifiers::COMMAND, Key::O);
    assert_eq!(window.count("Path of the file"), 0);
    // What is typed may be a slip: it is told, and nothing is lost.
    window.answer_without_a_chooser();
    window.press(Modifiers::COMMAND, Key::O);
    window.type_text("Path of the file", "/nowhere/at/all.json");
    assert_ne!(window.said("/nowhere/at/all.json"), "");
    assert_eq!(window.session().document().title(), "Mine");
}

/// The ledger as a picture is the whole of it on paper, however little of it the window shows, and by night.
#[test]
fn the_ledger_is_saved_whole() {
    let setup = Setup {
        theme: egui::Theme::Dark,
        ..Setup::default()
    };
    let folder = tempfile::tempdir().expect("a folder");
    let start = Start::Sample(SampleKind::ThreeNoCommonDraw);
    let mut window = Window::open_with(start, &setup, folder);
    window.settle();
    let file = window.folder.path().join("ledger.png");
    window.answer(&file);
    let ctx = window.harness.ctx.clone();
    let action = Action::SavePicture(Picture::Ledger);
    window.harness.state_mut().act(&ctx, action);
    window.until("it is saved", |_| file.is_file());
    window.harness.run_steps(3);
    assert_ne!(window.said("Picture saved"), "");
    let picture = image::open(&file).expect("a picture").into_rgba8();
    // Three copings of four walls each, a zone and the table; 21 units a row, two pixels a unit.
    assert!(picture.width() >= 1800 && picture.height() > 2 * 21 * 14);
    assert_eq!(picture.get_pixel(2, 2).0, [255; 4], "on white");
    if let Some(kept) = std::env::var_os("TILTBENCH_PICTURES") {
        std::fs::copy(&file, std::path::Path::new(&kept).join("ledger.png")).expect("a copy");
    }
}
