//! Writing: what an author wrote stays as it was, and what was edited changes and nothing else.

use crate::samples::{FULL, good, parse, schema_accepts, squeezed, with};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use tiltbench_case::mesh_io::Unit;
use tiltbench_case::schema::v1::{
    Basis, CaseFile, Cast, Coping, FigureBasis, Frame, LeaveOut, MarginWidths, SeatZone,
    UndercutLimit, Wall, Walls,
};
use tiltbench_case::{Case, read_case, write_case};
use tiltbench_geometry::frame::Arch;

/// Lines of `new` that are not in `old` at the same place, when both have as many lines.
fn changed_lines<'t>(old: &str, new: &'t str) -> Vec<&'t str> {
    assert_eq!(old.lines().count(), new.lines().count(), "{new}");
    let pairs = old.lines().zip(new.lines());
    pairs
        .filter(|(a, b)| a != b)
        .map(|(_, b)| b.trim())
        .collect()
}

#[test]
fn writing_changes_no_token() {
    // Number tokens such as 3.10 and 12345678901234567890123, escapes and order included.
    let text = good(FULL).to_text();
    assert_eq!(squeezed(&text), squeezed(FULL));
    assert_eq!(good(&text).to_text(), text, "writing is stable");
    let flat = squeezed(FULL);
    assert_eq!(
        good(&flat).to_text(),
        text,
        "layout does not depend on the file's own"
    );
}

#[test]
fn an_edit_changes_what_was_edited_and_nothing_else() {
    let case = good(FULL);
    let before = case.to_text();
    let mut file = case.file().clone();
    let Basis::Finished { walls } = &mut file.copings[0].basis else {
        panic!("finished");
    };
    walls.labial = Some(Wall::tapered(0.1 + 0.2));
    file.copings[1].margin_centre[0] = 12.0;
    file.limits.tilt_max_deg = Some(14.5);
    file.held_tilts = Some(json!([{ "name": "flat" }, { "name": "mine" }]));
    let after = case.edited(&file).unwrap();
    assert_eq!(after.file(), &file);
    assert_eq!(
        changed_lines(&before, &after.to_text()),
        [
            r#""labial": { "taper_deg": 0.30000000000000004 },"#,
            r#""margin_centre": [12.0, 14.0, 0.5],"#,
            r#""tilt_max_deg": 14.5,"#,
            r#""held_tilts": [{ "name": "flat" }, { "name": "mine" }],"#,
        ]
    );
    let undone = after.edited(case.file()).unwrap();
    assert_eq!(undone.file(), case.file());
}

#[test]
fn keys_of_others_survive_edits_at_every_depth() {
    let mut value: Value = serde_json::from_str(FULL).unwrap();
    // Nothing is planned on what goes.
    value["planned"] = json!([]);
    let free = json!({ "b": [1, { "a": null }], "a": "x" });
    for place in [
        "",
        "/cast",
        "/cast/frame",
        "/seat_zones/0",
        "/copings/0",
        "/copings/0/margin_widths_mm",
        "/copings/0/walls",
        "/copings/0/walls/mesial",
        "/limits",
    ] {
        value.pointer_mut(place).unwrap()["x_shop"] = free.clone();
    }
    let text = value.to_string();
    assert!(schema_accepts(&text));
    let case = good(&text);
    // The first coping is renamed, the second goes, a third comes, and the order is turned round.
    let mut file = case.file().clone();
    file.copings[0].id = Some("renamed".into());
    let mut third = file.copings[1].clone();
    third.id = Some("third".into());
    file.copings[1] = third;
    file.copings.reverse();
    file.seat_zones.reverse();
    file.title = None;
    let written: Value = serde_json::from_str(&case.edited(&file).unwrap().to_text()).unwrap();
    for place in ["", "/cast", "/cast/frame", "/seat_zones/1", "/limits"] {
        assert_eq!(written.pointer(place).unwrap()["x_shop"], free, "{place}");
    }
    assert!(written.get("title").is_none());
    assert!(written["seat_zones"][0].get("x_shop").is_none());
    // Renamed in place first, then moved.
    let mut renamed = case.file().clone();
    renamed.copings[0].id = Some("renamed".into());
    let renamed = case.edited(&renamed).unwrap();
    let mut moved = renamed.file().clone();
    moved.copings.reverse();
    let written: Value = serde_json::from_str(&renamed.edited(&moved).unwrap().to_text()).unwrap();
    for place in [
        "/copings/1",
        "/copings/1/margin_widths_mm",
        "/copings/1/walls",
        "/copings/1/walls/mesial",
    ] {
        assert_eq!(written.pointer(place).unwrap()["x_shop"], free, "{place}");
    }
    assert!(written["copings"][0].get("x_shop").is_none());
}

#[test]
fn a_newer_minor_version_opens_and_keeps_what_it_brought() {
    let mut value: Value = serde_json::from_str(FULL).unwrap();
    value["version"] = json!([1, 7]);
    value["tints"] = json!({ "wax": "green" });
    value["copings"][0]["walls"]["mesial"]["polish"] = json!(1e2);
    let case = good(&value.to_string());
    let remarks: Vec<String> = case.remarks().iter().map(ToString::to_string).collect();
    assert_eq!(
        remarks[0],
        "version: the case is of version 1.7, newer than the 1.1 this program \
        knows; keys it does not know are kept and not used"
    );
    assert_eq!(
        remarks[1],
        "the key \"tints\" is not known to this program; kept, not used"
    );
    assert_eq!(
        remarks[2],
        "copings[0].walls.mesial: the key \"polish\" is not known to this \
        program; kept, not used"
    );
    let mut file = case.file().clone();
    file.title = Some("edited".into());
    let written: Value = serde_json::from_str(&case.edited(&file).unwrap().to_text()).unwrap();
    value["title"] = json!("edited");
    assert_eq!(written, value);
    // The same keys in a file of this version are errors.
    value["version"] = json!([1, 1]);
    assert_eq!(parse(&value.to_string()).unwrap_err().problems().len(), 2);
}

#[test]
fn an_edit_that_makes_no_case_is_refused_and_leaves_the_case() {
    let case = good(FULL);
    let mut file = case.file().clone();
    file.copings[0].height_mm = f64::NAN;
    file.copings[1].mesial = file.copings[1].axis;
    let error = case.edited(&file).unwrap_err();
    let paths: Vec<_> = error.problems().iter().map(|p| p.path.as_str()).collect();
    assert_eq!(
        paths,
        ["copings[0].height_mm", "copings[1].mesial"],
        "{error}"
    );
    assert_eq!(case, good(FULL));
}

/// A case built by a program, with something of everything.
fn built() -> CaseFile {
    let mut file = CaseFile::new("Built \"here\"", Arch::Maxillary);
    file.cast = Some(Cast {
        scan: "upper.ply".into(),
        scan_unit: Some(Unit::Micrometre),
        frame: Some(Frame {
            origin: [0.1, 0.2, 0.3],
            anterior: [0.0, 1.0, 0.0],
            occlusal: [0.0, 0.0, 1.0],
        }),
        leave_out: vec![LeaveOut {
            outline: vec![[0.0, 0.0], [2.0, 0.0], [0.0, 2.0]],
            above_z: 3.5,
        }],
    });
    file.seat_zones = vec![SeatZone {
        name: "tuberosity".into(),
        outline: vec![[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]],
        z_range: None,
        undercut_limit_mm: Some(UndercutLimit::Unlimited),
        opposes: None,
    }];
    let walls = Walls {
        mesial: Some(Wall::tapered(3.1)),
        labial: Some(Wall {
            taper_se_deg: Some(0.25),
            guides: Some(true),
            ..Wall::estimated(1.0 / 3.0)
        }),
        ..Walls::default()
    };
    for (tooth, basis) in [
        (
            "13",
            Basis::Finished {
                walls: walls.clone(),
            },
        ),
        (
            "2.3",
            Basis::Prep {
                prep: walls,
                mill_taper_deg: 2.0,
                margin_thickness_mm: 0.6,
                keep_stump: None,
            },
        ),
    ] {
        file.copings.push(Coping {
            id: None,
            tooth: tooth.into(),
            margin_centre: [if tooth == "13" { -17.0 } else { 17.0 }, 10.0, 0.0],
            axis: [0.0, 0.1, 1.0],
            axis_basis: Some(FigureBasis::Measured),
            axis_se_deg: Some(0.7),
            mesial: [if tooth == "13" { 1.0 } else { -1.0 }, 0.5, 0.0],
            labial: None,
            margin_widths_mm: MarginWidths {
                mesiodistal: 5.5,
                labiolingual: 7.0,
            },
            height_mm: 5.0,
            basis,
            canal_axis: None,
        });
    }
    file
}

#[test]
fn what_a_program_builds_is_written_and_read_back_the_same() {
    let file = built();
    let case = Case::new(&file, Path::new("")).unwrap();
    assert_eq!(case.file(), &file);
    let text = case.to_text();
    assert!(schema_accepts(&text), "{text}");
    // Degrees as given: no trip through radians.
    assert!(text.contains(r#""mesial": { "taper_deg": 3.1 }"#), "{text}");
    assert!(
        text.contains(r#""taper_deg": 0.3333333333333333,"#)
            || text.contains(r#""taper_deg": 0.3333333333333333 "#),
        "{text}"
    );
    assert!(text.contains(r#""undercut_limit_mm": null"#), "{text}");
    let keys: Vec<_> = serde_json::from_str::<Value>(&text)
        .unwrap()
        .as_object()
        .unwrap()
        .keys()
        .cloned()
        .collect();
    assert_eq!(
        keys,
        [
            "format",
            "version",
            "title",
            "arch",
            "cast",
            "seat_zones",
            "copings"
        ]
    );
    assert_eq!(good(&text).file(), &file);
    assert!(
        case.remarks().iter().all(|r| r.path == "copings"),
        "{:?}",
        case.remarks()
    );
}

#[test]
fn a_case_written_elsewhere_still_names_its_scan() {
    let folder = tempfile::tempdir().unwrap();
    let (old, new) = (folder.path().join("old"), folder.path().join("new/deep"));
    fs::create_dir_all(old.join("scans")).unwrap();
    fs::create_dir_all(&new).unwrap();
    fs::write(old.join("scans/lower.ply"), "here").unwrap();
    fs::write(old.join("a.json"), FULL).unwrap();

    let case = read_case(&old.join("a.json")).unwrap();
    assert_eq!(fs::read(case.cast().unwrap().path()).unwrap(), b"here");
    write_case(&case, &old.join("b.json")).unwrap();
    assert_eq!(
        squeezed(&fs::read_to_string(old.join("b.json")).unwrap()),
        squeezed(FULL)
    );

    write_case(&case, &new.join("c.json")).unwrap();
    let moved = read_case(&new.join("c.json")).unwrap();
    assert_eq!(moved.cast().unwrap().scan(), "../../old/scans/lower.ply");
    assert_eq!(fs::read(moved.cast().unwrap().path()).unwrap(), b"here");
    let text = fs::read_to_string(new.join("c.json")).unwrap();
    assert_eq!(
        squeezed(&text),
        squeezed(&FULL.replace("scans/lower", "../../old/scans/lower"))
    );

    // An absolute path stays.
    let absolute = with(
        "/cast/scan",
        Some(json!(old.join("scans/lower.ply").to_str().unwrap())),
    );
    let absolute = tiltbench_case::parse_case(absolute, &old).unwrap();
    assert_eq!(
        absolute.moved_to(&new).unwrap().cast().unwrap().scan(),
        absolute.cast().unwrap().scan()
    );
}

#[test]
fn a_write_that_fails_leaves_the_file_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let case = tiltbench_case::parse_case(FULL, folder.path()).unwrap();
    fs::create_dir(folder.path().join("taken")).unwrap();
    let error = write_case(&case, &folder.path().join("taken")).unwrap_err();
    assert!(error.to_string().contains("folder"), "{error}");
    let error = write_case(&case, &folder.path().join("none/a.json")).unwrap_err();
    assert!(
        error
            .to_string()
            .contains("naming the scan from its new folder failed"),
        "{error}"
    );
    let left: Vec<_> = fs::read_dir(folder.path())
        .unwrap()
        .map(|e| e.unwrap().file_name())
        .collect();
    assert_eq!(left, ["taken"]);
}
