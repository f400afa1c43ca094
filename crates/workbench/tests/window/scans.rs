//! A scan for the case in the hand: opened, dropped, asked about, and oriented.

use crate::cases::{edited, open_copy_of, open_walls_of};
use crate::driver::{Setup, Window, sample};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use serde_json::json;
use tiltbench_case::demo::{self, SampleKind};
use tiltbench_case::mesh_io::write_ply;
use tiltbench_workbench::app::Start;

const ASKED: &str = "What is this scan meant as?";

fn copings(window: &Window) -> usize {
    window.session().document().file().copings.len()
}

fn until_read(window: &mut Window) {
    window.until("the scan is there", |window| {
        window.session().derived().cast.is_some()
    });
}

#[test]
fn a_case_measured_by_hand_gets_its_scan() {
    let mut window = open_walls_of("two-canines");
    window.menu("Job", "Go to intake");
    window.answer(sample("two-canines.ply"));
    window.click("Open scan…");
    until_read(&mut window);
    assert_eq!(copings(&window), 2, "the walls are still there");
    let step = Some("Load scan two-canines.ply");
    assert_eq!(window.session().undo_name(), step);
    window.press(Modifiers::COMMAND, Key::Z);
    assert!(window.session().document().scan().is_none());
    assert!(!window.session().is_unsaved());
}

#[test]
fn a_scan_that_was_moved_is_pointed_at_anew() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = edited("two-canines", folder.path(), |case| {
        case.insert("cast".into(), json!({ "scan": "moved-away.ply" }));
    });
    let mut window = Window::open_with(Start::File(path), &Setup::default(), folder);
    window.until("it was looked for", |window| {
        window.session().derived().cast_problem.is_some()
    });
    window.menu("Job", "Go to intake");
    window
        .harness
        .get_by_label_contains("Intake, needs attention");
    window.answer(sample("two-canines.ply"));
    window.click("Open scan…");
    until_read(&mut window);
    assert_eq!(window.session().derived().cast_problem, None);
    assert_eq!(copings(&window), 2);
    window.surveyed();
    window.harness.get_by_label_contains("Intake, done");
}

#[test]
fn a_dropped_scan_is_asked_about_where_it_may_be_meant_for_the_case() {
    let mut window = open_walls_of("two-canines");
    window.drop_file(&sample("two-canines.ply"));
    window.harness.get_by_label(ASKED);
    window.click("Go back");
    assert!(window.session().derived().jobs.is_empty());
    window.drop_file(&sample("two-canines.ply"));
    window.click("As the cast of this case");
    until_read(&mut window);
    assert_eq!(copings(&window), 2);
    assert!(window.session().document().path().is_some());
    // The next one would take its place.
    window.drop_file(&sample("upper-compromise.ply"));
    let words = "it takes the place of two-canines.ply";
    window.harness.get_by_label_contains(words);
    window.click("As a new case");
    window.harness.get_by_label("Save the changes?");
    window.click("Discard changes");
    window.until("the other scan is there", |window| {
        let scan = window.session().document().scan();
        scan.is_some_and(|scan| scan.name() == "upper-compromise.ply")
    });
    assert_eq!(copings(&window), 0);
}

#[test]
fn what_was_begun_of_an_empty_case_is_not_lost_to_a_scan() {
    let mut window = Window::open(Start::Empty);
    window.click("Upper jaw");
    window.drop_file(&sample("upper-compromise.ply"));
    assert_eq!(window.count(ASKED), 0);
    until_read(&mut window);
    let arch = window.session().document().file().arch;
    assert_eq!(arch, tiltbench_geometry::frame::Arch::Maxillary);
}

/// From the last pick on the prompt says what orienting would do; picks that give no frame are told at
/// once.
#[test]
fn a_cast_is_oriented_by_points_clicked_on_it() {
    let mut window = open_copy_of("two-canines");
    window.click("Occlusal");
    window.press(Modifiers::NONE, Key::F2);
    window
        .harness
        .get_by_label("Click point 1 of 3 on the occlusal plane");
    let pick = |window: &mut Window, points: &[[f64; 2]]| {
        for [x, y] in points {
            window.click_cast([*x, *y, 0.0]);
        }
    };
    pick(&mut window, &[[-21.0, 9.0], [21.0, 9.0], [0.0, 24.0]]);
    window
        .harness
        .get_by_label("Click the midline at its posterior end");
    pick(&mut window, &[[0.0, 19.5], [0.0, 21.0]]);
    let said = window.said("oints of the midline");
    assert!(
        said.starts_with("The two points of the midline are"),
        "{said}"
    );
    for _ in 0..2 {
        window.click("Take back the last point");
    }
    pick(&mut window, &[[0.0, 16.5], [0.0, 23.5]]);
    let said = window.said("The cast will be tipped by");
    assert!(said.contains("° and turned by"), "{:?}", window.names());
    window.click("Orient the cast");
    assert_eq!(window.session().undo_name(), Some("Orient cast"));
    let cast = window.session().document().file().cast.clone();
    assert!(cast.is_some_and(|cast| cast.frame.is_some()));
}

#[test]
fn escape_leaves_what_clicks_are_collected_for_and_nothing_nearer() {
    let mut window = open_copy_of("ridge-only");
    window.menu("Job", "Draw a zone");
    let prompt = "Click around the zone, at least three points";
    window.harness.get_by_label(prompt);
    // A menu is nearer.
    window.click("File");
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!(window.count(prompt), 1);
    window.press(Modifiers::NONE, Key::Escape);
    assert_eq!(window.count(prompt), 0);
}

#[test]
fn the_unit_of_a_scan_is_chosen_by_the_size_it_gives() {
    let mut window = open_copy_of("ridge-only");
    window.menu("Job", "Go to intake");
    window.click("Unit: millimetres");
    window.harness.run_steps(8);
    window.click("inches");
    let unit = |window: &Window| {
        let cast = window.session().document().file().cast.clone();
        cast.and_then(|cast| cast.scan_unit)
    };
    assert_eq!(unit(&window), Some(tiltbench_case::mesh_io::Unit::Inch));
    window
        .harness
        .get_by_label_contains("Intake, needs attention: the size looks wrong");
    window.press(Modifiers::COMMAND, Key::Z);
    assert_eq!(unit(&window), None);
}

/// A small scan with something the matter with it.
fn small_scan(window: &Window, spoil: impl FnOnce(&mut tiltbench_geometry::mesh::Mesh)) {
    let made = demo::sample(SampleKind::RidgeOnly, 6_000);
    let mut mesh = made.mesh.expect("a cast");
    spoil(&mut mesh);
    write_ply(&window.folder.path().join("small.ply"), &mesh).expect("a file");
}

#[test]
fn a_scan_is_mended_and_the_mending_taken_back() {
    let mut window = Window::open(Start::Empty);
    small_scan(&window, |mesh| mesh.triangles.push(mesh.triangles[0]));
    window.drop_file(&window.folder.path().join("small.ply"));
    until_read(&mut window);
    let facets = |window: &Window| {
        let cast = window.session().derived().cast.as_ref();
        cast.map(|cast| cast.scan.scan().mesh.triangles.len())
    };
    let before = facets(&window).expect("a cast");
    window.reach("Mend the scan");
    window.until("mended", |window| window.session().undo_name().is_some());
    assert_eq!(facets(&window), Some(before - 1));
    assert_eq!(window.count("Mend the scan"), 0);
    window.press(Modifiers::COMMAND, Key::Z);
    assert_eq!(facets(&window), Some(before));
}

/// A speck inside the stone is left out of the zone it lies in, and that is told beside the scan's
/// health.
#[test]
fn what_was_left_out_of_a_zone_is_told() {
    let mut window = Window::open(Start::Empty);
    let case = SampleKind::RidgeOnly.case();
    let outline = &case.seat_zones[0].outline;
    let [x, y] = [0, 1].map(|axis| {
        let sum: f64 = outline[..4].iter().map(|at| at[axis]).sum();
        sum / 4.0
    });
    small_scan(&window, |mesh| {
        let near = mesh
            .vertices
            .iter()
            .filter(|v| (v.x - x).hypot(v.y - y) < 3.0);
        let top = near.map(|v| v.z).fold(f64::MIN, f64::max);
        let first = u32::try_from(mesh.vertices.len()).expect("few");
        for [dx, dy, dz] in [
            [0.0, 0.0, 0.0],
            [0.5, 0.0, 0.0],
            [0.0, 0.5, 0.0],
            [0.0, 0.0, 0.5],
        ] {
            mesh.vertices.push([x + dx, y + dy, top - 4.0 + dz].into());
        }
        for corners in [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]] {
            mesh.triangles
                .push(corners.map(|corner: u32| first + corner));
        }
    });
    let mut file = case;
    file.cast = file.cast.map(|cast| tiltbench_case::schema::v1::Cast {
        scan: "small.ply".into(),
        ..cast
    });
    for zone in &mut file.seat_zones {
        zone.z_range = None;
    }
    let path = window.folder.path().join("case.json");
    let draft = tiltbench_case::Draft::new(file);
    tiltbench_case::write_draft(&draft, &path).expect("a file");
    window.drop_file(&path);
    window.until("the zones are cut", |window| {
        window.session().derived().ridge.is_some()
    });
    let remarks = window.session().derived().ridge_remarks.clone();
    assert!(!remarks.is_empty());
    window.menu("Job", "Go to intake");
    window.harness.get_by_label(&remarks[0]);
}

/// Marks name facets: those of a large scan are none of a small one that takes its place.
#[test]
fn a_smaller_scan_takes_the_place_of_the_one_that_is_marked() {
    let folder = tempfile::tempdir().expect("a folder");
    let made = demo::sample(SampleKind::TwoCanines, 4_000);
    let mut scan = made.mesh.expect("a cast");
    write_ply(&folder.path().join("whole.ply"), &scan).expect("a file");
    scan.triangles.truncate(scan.triangles.len() / 2);
    let half = folder.path().join("half.ply");
    write_ply(&half, &scan).expect("a file");
    let path = edited("two-canines", folder.path(), |case| {
        case["cast"]["scan"] = json!("whole.ply");
    });
    let mut window = Window::open_with(Start::File(path), &Setup::default(), folder);
    window.until("the cast is marked", |window| {
        window.shows_cast() && window.session().derived().marks.is_some()
    });
    window.drop_file(&half);
    window.click("As the cast of this case");
    window.until("the other scan is shown", |window| {
        let cast = window.session().derived().cast.as_ref();
        cast.is_some_and(|cast| cast.mesh.triangles.len() == scan.triangles.len())
            && window.is_settled()
    });
}
