//! New, open, save, samples, settings.

use crate::support::{Desk, hold, start};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use std::sync::Arc;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_case::mesh_io::{Unit, read_scan, write_ply};
use tiltbench_case::read_case;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_session::{
    CaseCommand, CastCommand, Command, CopingCommand, FileError, IfUnsaved, JobKind, JobState,
    Notice, Repair, ScanSource, Session, ZoneCommand,
};

fn title(text: &str) -> Command {
    Command::Case(CaseCommand::Title(text.into()))
}

#[test]
fn unsaved_work_is_marked_and_does_not_go_unasked() {
    let mut desk = Desk::quiet();
    let path = desk.sample(SampleKind::WallsOnly);
    assert!(!desk.session.is_unsaved(), "an empty case");
    desk.apply(&title("mine"));
    assert!(desk.session.is_unsaved());
    let refused = desk.session.open(&path, IfUnsaved::Refuse);
    assert!(matches!(refused, Err(FileError::Unsaved)));
    let refused = desk.session.new_case(Arch::Maxillary, IfUnsaved::Refuse);
    assert!(matches!(refused, Err(FileError::Unsaved)));
    assert_eq!(desk.session.document().title(), "mine");
    assert!(matches!(desk.session.save(), Err(FileError::NoPath)));
    let own = desk.path("own.json");
    desk.session.save_as(&own).unwrap();
    assert!(!desk.session.is_unsaved());
    desk.apply(&title("yours"));
    assert!(desk.session.is_unsaved());
    assert!(desk.session.undo());
    assert!(!desk.session.is_unsaved(), "undone to what is saved");
    assert!(desk.session.redo());
    desk.session.save().unwrap();
    assert!(desk.session.undo());
    assert!(desk.session.is_unsaved(), "undone to before what is saved");
    desk.session.open(&path, IfUnsaved::Discard).unwrap();
    assert_eq!(desk.session.recent(), [path, own.clone()]);
    assert_eq!(read_case(&own).unwrap().title(), "yours");
    // A view is no work.
    desk.session.set_view(Some(json!({ "camera": [1, 2] })));
    assert!(!desk.session.is_unsaved());
}

#[test]
fn what_is_not_touched_survives_a_save() {
    let mut desk = Desk::quiet();
    let path = desk.sample(SampleKind::WallsOnly);
    let mut value: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
    value["x_lab"] = json!({ "tray": 7 });
    value["copings"][0]["x_shade"] = json!("A3");
    value["record"] = json!([1, 2]);
    value["view"] = json!({ "camera": 5 });
    fs::write(&path, serde_json::to_string_pretty(&value).unwrap()).unwrap();
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    assert_eq!(
        desk.session.document().view(),
        Some(&json!({ "camera": 5 }))
    );
    desk.apply(&hold(1.5, 0.0));
    desk.session.set_view(Some(json!({ "camera": 6 })));
    desk.session.save().unwrap();
    value["held_tilts"] = json!([{ "anterior_deg": 1.5, "lateral_deg": 0.0 }]);
    value["view"] = json!({ "camera": 6 });
    let saved: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
    assert_eq!(saved, value);
}

#[test]
fn wrong_files_are_told_and_leave_the_document_alone() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::WallsOnly);
    let before = desk.text();
    for (name, bytes, words) in [
        (
            "a.pdf",
            &b"%PDF-1.7 and more"[..],
            "a document or a picture",
        ),
        ("b.json", b"{ \"format\": \"other\" }", "this is not a case"),
        (
            "c.json",
            b"{ \"format\": \"tiltbench-case\", \"version\": [9, 0] }",
            "newer",
        ),
        ("d.txt", b"the quick brown fox", "not JSON"),
        ("e.json", b"", "empty"),
    ] {
        let path = desk.path(name);
        fs::write(&path, bytes).unwrap();
        let error = desk.session.open(&path, IfUnsaved::Refuse).unwrap_err();
        let text = error.to_string();
        assert!(text.contains(words) && text.contains(name), "{text}");
    }
    let gone = desk
        .session
        .open(&desk.path("gone.json"), IfUnsaved::Refuse);
    assert!(gone.unwrap_err().to_string().contains("cannot be read"));
    // What looks like a scan is looked into.
    let path = desk.path("f.stl");
    fs::write(&path, b"solid nothing\nendsolid nothing\n").unwrap();
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    desk.until("it was looked into", Session::is_idle);
    let told = desk.problems_told();
    assert!(told[0].contains("f.stl"), "{told:?}");
    assert_eq!(desk.text(), before);
    desk.session.load_scan(&desk.path("a.pdf")).unwrap();
    desk.until("it was looked into", Session::is_idle);
    let told = desk.problems_told();
    assert!(told[0].contains("PDF"), "{told:?}");
    assert_eq!((desk.text(), desk.session.undo_name()), (before, None));
}

#[test]
fn a_draft_with_problems_is_saved_and_opens_again_with_them() {
    let mut desk = Desk::quiet();
    let path = desk.open_sample(SampleKind::TwoCanines);
    desk.apply(&Command::Coping(CopingCommand::Height(0, 300.0)));
    desk.apply(&Command::Zone(ZoneCommand::Rename {
        zone: 0,
        name: String::new(),
    }));
    let text = desk.text();
    desk.session.save().unwrap();
    assert!(read_case(&path).is_err(), "the strict reader is the gate");
    desk.session
        .new_case(Arch::Mandibular, IfUnsaved::Refuse)
        .unwrap();
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    assert_eq!(desk.text(), text);
    let problems = &desk.session.derived().problems;
    let paths: Vec<&str> = problems
        .iter()
        .map(|problem| problem.path.as_str())
        .collect();
    assert!(paths.contains(&"seat_zones[0].name"), "{paths:?}");
    assert!(paths.contains(&"copings[0].height_mm"), "{paths:?}");
    assert!(!desk.session.derived().is_case() && desk.session.derived().survey.is_none());
    desk.until("its scan is there all the same", |s| {
        s.derived().cast.is_some()
    });
    desk.apply(&Command::Coping(CopingCommand::Height(0, 5.0)));
    desk.apply(&Command::Zone(ZoneCommand::Rename {
        zone: 0,
        name: "front".into(),
    }));
    assert!(desk.session.derived().is_case());
}

#[test]
fn a_case_moved_to_another_folder_still_names_its_scan() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::RidgeOnly);
    let other = desk.path("elsewhere");
    fs::create_dir(&other).unwrap();
    let path = other.join("copy.json");
    desk.session.save_as(&path).unwrap();
    assert_eq!(
        read_case(&path).unwrap().cast().unwrap().scan(),
        "../ridge-only.ply"
    );
    assert!(read_case(&path).unwrap().load_cast().is_ok());
    assert_eq!(desk.session.document().path(), Some(path.as_path()));
    assert!(
        desk.session.derived().cast.is_some(),
        "nothing is read again"
    );
    // And back again.
    desk.session.save_as(&desk.path("back.json")).unwrap();
    let back = read_case(&desk.path("back.json")).unwrap();
    assert_eq!(back.cast().unwrap().scan(), "ridge-only.ply");
}

#[test]
fn a_scan_that_is_gone_is_told_and_can_be_replaced() {
    let mut desk = Desk::quiet();
    let path = desk.sample(SampleKind::RidgeOnly);
    let (gone, moved) = (desk.path("ridge-only.ply"), desk.path("moved.ply"));
    fs::rename(&gone, &moved).unwrap();
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    desk.until("it was looked for", |s| s.derived().cast_problem.is_some());
    let told = desk.problems_told();
    assert!(told[0].contains("ridge-only.ply"), "{told:?}");
    assert!(desk.session.derived().is_case(), "the case is a case");
    desk.session.survey();
    let surveying = |job: &JobState| job.kind == JobKind::Survey;
    assert!(
        !desk.session.derived().jobs.iter().any(surveying),
        "no tilt is recommended past zones not read"
    );
    desk.session.load_scan(&moved).unwrap();
    desk.until("the other scan is there", |s| s.derived().cast.is_some());
    assert_eq!(desk.session.undo_name(), Some("Load scan moved.ply"));
    assert_eq!(desk.session.derived().cast_problem, None);
    assert!(desk.session.undo());
    assert!(desk.session.derived().cast.is_none());
    let why = desk.session.derived().cast_problem.clone();
    assert!(why.is_some_and(|why| why.contains("ridge-only.ply")));
    fs::copy(&moved, &gone).unwrap();
    desk.session.read_cast_again();
    desk.until("the first scan is there", |s| s.derived().cast.is_some());
}

/// A scan with a repeated facet and an unused vertex offers to be mended.
#[test]
fn a_scan_is_mended_as_a_step_and_written_beside_the_case() {
    let mut desk = Desk::quiet();
    let mesh = sample(SampleKind::RidgeOnly, 6_000).mesh.unwrap();
    let mut spoiled: Mesh = mesh.clone();
    spoiled.triangles.push(mesh.triangles[0]);
    let scan = desk.path("spoiled.ply");
    write_ply(&scan, &spoiled).unwrap();
    let bytes = fs::read(&scan).unwrap();
    desk.session.open(&scan, IfUnsaved::Refuse).unwrap();
    desk.until("the scan is read", |s| s.derived().cast.is_some());
    let cast = desk.session.derived().cast.clone().unwrap();
    assert!(cast.scan.repairs().contains(&Repair::Mend));
    desk.session.mend(Repair::Mend).unwrap();
    desk.until("it is mended", |s| s.undo_name().is_some());
    assert_eq!(
        desk.session.undo_name(),
        Some("Mend scan: spoiled-mended.ply")
    );
    let mended = desk.session.derived().cast.clone().unwrap();
    assert_eq!(mended.mesh.triangles.len(), mesh.triangles.len());
    assert!(!mended.scan.repairs().contains(&Repair::Mend));
    assert!(desk.session.undo());
    let back = desk.session.derived().cast.clone().unwrap();
    assert_eq!(
        back.scan.scan().mesh.triangles.len(),
        spoiled.triangles.len()
    );
    // What is there twice is read once all the same.
    assert_eq!(back.mesh.triangles.len(), mesh.triangles.len());
    assert!(desk.session.redo());
    desk.session.save_as(&desk.path("mended.json")).unwrap();
    let written = desk.path("spoiled-mended.ply");
    assert_eq!(
        read_scan(&written).unwrap().mesh.triangles,
        mended.scan.scan().mesh.triangles
    );
    assert_eq!(
        fs::read(&scan).unwrap(),
        bytes,
        "the scan itself is left alone"
    );
    assert_eq!(
        desk.session.document().scan(),
        Some(&ScanSource::File(written))
    );
    let case = read_case(&desk.path("mended.json")).unwrap();
    assert_eq!(case.cast().unwrap().scan(), "spoiled-mended.ply");
    // Saved again, it is not written again.
    desk.apply(&title("again"));
    desk.session.save().unwrap();
    assert!(!desk.path("spoiled-mended-2.ply").exists());
}

#[test]
fn a_sample_is_a_new_case_whose_scan_is_saved_with_it() {
    let mut desk = Desk::quiet();
    desk.session
        .open_sample(SampleKind::WallsOnly, IfUnsaved::Refuse)
        .unwrap();
    assert!(!desk.session.is_unsaved() && desk.session.document().path().is_none());
    desk.session
        .open_sample(SampleKind::RidgeOnly, IfUnsaved::Refuse)
        .unwrap();
    let early = desk.session.save_as(&desk.path("early.json"));
    assert!(
        matches!(early, Err(FileError::ScanNotRead)),
        "its scan is not there yet"
    );
    desk.until("its scan is made", |s| s.derived().cast.is_some());
    desk.session.save_as(&desk.path("mine.json")).unwrap();
    assert!(desk.path("ridge-only.ply").is_file());
    let case = read_case(&desk.path("mine.json")).unwrap();
    assert_eq!(
        case.load_cast().unwrap().unwrap().mesh,
        *desk.session.derived().cast.clone().unwrap().mesh
    );
    assert!(
        desk.session
            .take_notices()
            .contains(&Notice::Saved(desk.path("mine.json")))
    );
}

#[test]
fn a_file_that_somebody_else_changed_is_not_replaced_unasked() {
    let mut desk = Desk::quiet();
    let path = desk.open_sample(SampleKind::WallsOnly);
    desk.apply(&title("mine"));
    let other = fs::read_to_string(&path)
        .unwrap()
        .replace("height", "x_height");
    fs::write(&path, &other).unwrap();
    let refused = desk.session.save();
    assert!(
        matches!(refused, Err(FileError::ChangedOnDisk(_))),
        "{refused:?}"
    );
    assert_eq!(fs::read_to_string(&path).unwrap(), other);
    assert!(desk.session.is_unsaved());
    desk.session.save_as(&path).unwrap();
    assert_eq!(read_case(&path).unwrap().title(), "mine");
    desk.apply(&title("mine still"));
    desk.session.save().unwrap();
    fs::remove_file(&path).unwrap();
    desk.apply(&title("and again"));
    desk.session.save().unwrap();
    assert_eq!(read_case(&path).unwrap().title(), "and again");
}

#[test]
fn settings_outlive_a_session() {
    let desk = Desk::quiet();
    let mut settings = desk.session.settings().clone();
    settings.window = json!({ "theme": "dark" });
    let Desk {
        mut session,
        folder,
    } = desk;
    session.set_settings(settings.clone()).unwrap();
    drop(session);
    assert_eq!(start(folder.path()).settings(), &settings);
    fs::write(folder.path().join("profile/settings.json"), "[").unwrap();
    let mut session = start(folder.path());
    assert!(
        matches!(&session.take_notices()[..], [Notice::Problem(text)] if text.contains("defaults"))
    );
    assert!(Path::new(folder.path()).is_dir());
}

/// Whether a scan is packed makes no difference to whoever opens it.
#[test]
fn a_packed_scan_is_opened_like_any_other() {
    let mut desk = Desk::quiet();
    let mesh = sample(SampleKind::RidgeOnly, 6_000).mesh.unwrap();
    write_ply(&desk.path("jaw.ply"), &mesh).unwrap();
    let packed = desk.path("jaw.ply.gz");
    let file = fs::File::create(&packed).unwrap();
    let mut encoder = flate2::write::GzEncoder::new(file, flate2::Compression::fast());
    std::io::Write::write_all(&mut encoder, &fs::read(desk.path("jaw.ply")).unwrap()).unwrap();
    encoder.finish().unwrap();
    assert!(Session::may_be_scan(&packed));
    desk.session.open(&packed, IfUnsaved::Refuse).unwrap();
    desk.until("the scan is read", |s| s.derived().cast.is_some());
    let cast = desk.session.derived().cast.clone().unwrap();
    assert!(cast.scan.scan().gzip);
    assert_eq!(cast.mesh.triangles.len(), mesh.triangles.len());
    // What is packed and no scan is told once it has been looked into.
    let text = desk.path("letter.gz");
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    std::io::Write::write_all(&mut encoder, b"Dear colleague").unwrap();
    fs::write(&text, encoder.finish().unwrap()).unwrap();
    desk.session.open(&text, IfUnsaved::Discard).unwrap();
    desk.until("it was looked into", Session::is_idle);
    let told = desk.problems_told();
    assert!(told[0].contains("letter.gz"), "{told:?}");
}

/// A scan wound both ways is taken up, so that it can be mended, and nothing is read off it before.
#[test]
fn a_scan_wound_both_ways_is_not_read_until_it_is_mended() {
    let mut desk = Desk::quiet();
    let path = desk.sample(SampleKind::RidgeOnly);
    let scan = desk.path("ridge-only.ply");
    let mut mixed = read_scan(&scan).unwrap().mesh;
    for triangle in mixed.triangles.iter_mut().step_by(3) {
        triangle.swap(1, 2);
    }
    write_ply(&scan, &mixed).unwrap();
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    desk.until("it is refused", |s| s.derived().ridge_problem.is_some());
    let why = desk.session.derived().ridge_problem.clone().unwrap();
    assert!(
        why.contains("show their back") && why.ends_with("mend it"),
        "{why}"
    );
    assert!(desk.session.derived().ridge.is_none());
    desk.session.mend(Repair::Mend).unwrap();
    desk.until("it is read", |s| s.derived().ridge.is_some());
    assert_eq!(desk.session.derived().ridge_problem, None);
}

/// A mended scan stays in the unit that the case says, and its file says so, too.
#[test]
fn a_mended_scan_tells_the_unit_it_is_in() {
    let mut desk = Desk::quiet();
    let mut mesh = sample(SampleKind::RidgeOnly, 6_000).mesh.unwrap();
    for vertex in &mut mesh.vertices {
        vertex.coords /= Unit::Centimetre.mm();
    }
    mesh.triangles.push(mesh.triangles[0]);
    let scan = desk.path("small.ply");
    write_ply(&scan, &mesh).unwrap();
    desk.session.open(&scan, IfUnsaved::Refuse).unwrap();
    desk.until("the scan is read", |s| s.derived().cast.is_some());
    desk.apply(&Command::Cast(CastCommand::Unit(Unit::Centimetre)));
    desk.session.mend(Repair::Mend).unwrap();
    desk.until("it is mended", |s| {
        s.undo_name().is_some_and(|name| name.starts_with("Mend"))
    });
    desk.session.save_as(&desk.path("case.json")).unwrap();
    let bytes = fs::read(desk.path("small-mended.ply")).unwrap();
    let head = String::from_utf8_lossy(&bytes[..100]);
    assert!(head.contains("comment lengths in cm\n"), "{head}");
}

/// In a unit that makes it larger than any cast, a scan is shown and not read.
#[test]
fn a_scan_of_a_size_no_cast_has_is_not_read() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::RidgeOnly);
    desk.until("it is read", |s| s.derived().ridge.is_some());
    desk.apply(&Command::Cast(CastCommand::Unit(Unit::Inch)));
    let why = desk.session.derived().ridge_problem.clone().unwrap();
    assert!(why.contains("in inches") && why.contains("\"mm\""), "{why}");
    assert!(desk.session.undo());
    desk.until("it is read again", |s| s.derived().ridge.is_some());
}

/// What is in memory of a scan is not what its file holds for ever: a case that is opened again, and a scan
/// that is loaded again, are as they lie on disk.
#[test]
fn a_scan_that_changed_on_disk_is_read_again() {
    let mut desk = Desk::quiet();
    let path = desk.open_sample(SampleKind::RidgeOnly);
    let file = desk.path("ridge-only.ply");
    let facets = |session: &Session| {
        let cast = session.derived().cast.as_ref();
        cast.map(|cast| (cast.scan.scan().file_facets, cast.mesh.triangles.len()))
    };
    let change = |triangles| {
        let mesh = sample(SampleKind::RidgeOnly, triangles).mesh.unwrap();
        write_ply(&file, &mesh).unwrap();
        Some((mesh.triangles.len(), mesh.triangles.len()))
    };
    let first = facets(&desk.session);
    let second = change(6_000);
    assert_ne!(first, second);
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    desk.until("the scan is there again", |s| s.derived().cast.is_some());
    assert_eq!(facets(&desk.session), second, "opened again");
    desk.until("its zones are cut", |s| s.derived().ridge.is_some());
    let ridge = desk.session.derived().ridge.clone().unwrap();
    let third = change(9_000);
    desk.session.load_scan(&file).unwrap();
    desk.until("it is loaded again", |s| facets(s) != second);
    assert_eq!(facets(&desk.session), third, "loaded again");
    desk.until("its zones are cut again", |s| {
        let now = s.derived().ridge.as_ref();
        now.is_some_and(|now| !Arc::ptr_eq(now, &ridge))
    });
    // One that is gone is told, and not shown from memory.
    fs::remove_file(&file).unwrap();
    desk.session.open(&path, IfUnsaved::Discard).unwrap();
    desk.until("it was looked for", |s| s.derived().cast_problem.is_some());
    assert!(desk.session.derived().cast.is_none());
}

/// A scan that lives in memory is written beside the case once; but not taken to lie there when another one does.
#[test]
fn a_mended_scan_is_not_taken_for_another_one_that_was_written_before() {
    let mut desk = Desk::quiet();
    let scan = desk.path("spoiled.ply");
    let spoil = |triangles| {
        let mut mesh = sample(SampleKind::RidgeOnly, triangles).mesh.unwrap();
        mesh.triangles.push(mesh.triangles[0]);
        write_ply(&scan, &mesh).unwrap();
        mesh.triangles.len() - 1
    };
    let save_mended = |desk: &mut Desk, facets: usize, case: &str| {
        desk.session.open(&scan, IfUnsaved::Discard).unwrap();
        desk.until("the scan is read", |s| {
            let cast = s.derived().cast.as_ref();
            cast.is_some_and(|cast| cast.scan.scan().file_facets == facets + 1)
        });
        desk.session.mend(Repair::Mend).unwrap();
        desk.until("it is mended", |s| s.undo_name().is_some());
        desk.session.save_as(&desk.path(case)).unwrap();
        let case = read_case(&desk.path(case)).unwrap();
        assert_eq!(
            read_scan(case.cast().unwrap().path()).unwrap().file_facets,
            facets
        );
        case.cast().unwrap().scan().to_owned()
    };
    let first = spoil(6_000);
    assert_eq!(
        save_mended(&mut desk, first, "a.json"),
        "spoiled-mended.ply"
    );
    assert_eq!(
        save_mended(&mut desk, first, "b.json"),
        "spoiled-mended.ply"
    );
    // Another scan under the same name.
    let second = spoil(9_000);
    assert_eq!(
        save_mended(&mut desk, second, "c.json"),
        "spoiled-mended-2.ply"
    );
    // Somebody put another file where it was written.
    fs::copy(
        desk.path("spoiled-mended.ply"),
        desk.path("spoiled-mended-2.ply"),
    )
    .unwrap();
    assert_eq!(
        save_mended(&mut desk, second, "d.json"),
        "spoiled-mended-3.ply"
    );
}
