//! Cases with something wrong in them, and what is said about each.

use crate::samples::{FULL, good, lone, parse, schema_accepts, with};
use serde_json::{Value, json};
use std::path::Path;
use tiltbench_case::{CaseErrors, parse_case};

/// Whether the JSON Schema has to refuse the case as well.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Schema {
    /// A matter of structure.
    Refuses,
    /// A matter only the reader can judge.
    Accepts,
}
use Schema::{Accepts, Refuses};

/// One value of the sample replaced (`None`: removed), and the one problem that makes.
struct Bad {
    pointer: &'static str,
    value: Option<Value>,
    path: &'static str,
    says: &'static [&'static str],
    schema: Schema,
}

fn set(
    pointer: &'static str,
    value: Value,
    path: &'static str,
    says: &'static [&'static str],
    schema: Schema,
) -> Bad {
    Bad {
        pointer,
        value: Some(value),
        path,
        says,
        schema,
    }
}

fn drop(
    pointer: &'static str,
    path: &'static str,
    says: &'static [&'static str],
    schema: Schema,
) -> Bad {
    Bad {
        pointer,
        value: None,
        path,
        says,
        schema,
    }
}

fn check(cases: &[Bad]) {
    assert!(parse(FULL).is_ok());
    for bad in cases {
        let text = with(bad.pointer, bad.value.clone());
        let Err(error) = parse(&text) else {
            panic!("{} = {:?} was accepted", bad.pointer, bad.value);
        };
        let [problem] = error.problems() else {
            panic!(
                "{} = {:?}: not one problem: {error}",
                bad.pointer, bad.value
            );
        };
        assert_eq!(problem.path, bad.path, "{problem}");
        let message = problem.to_string();
        for words in bad.says {
            assert!(message.contains(words), "{words:?} is not in: {message}");
        }
        assert_eq!(
            schema_accepts(&text),
            bad.schema == Accepts,
            "the schema on {} = {:?}",
            bad.pointer,
            bad.value
        );
    }
}

#[test]
#[rustfmt::skip] // A table: a row a case.
fn keys_and_kinds() {
    check(&[
        set("/copings/0/walls/mesial/tapr_deg", json!(3), "copings[0].walls.mesial.tapr_deg",
            &["unknown key \"tapr_deg\"", "nearest known one is \"taper_deg\"", "x_"], Refuses),
        set("/titel", json!("x"), "titel", &["nearest known one is \"title\""], Refuses),
        set("/copings/0/walls/buccal", json!({"taper_deg": 1}), "copings[0].walls.buccal",
            &["unknown key \"buccal\"", "known here are \"mesial\", \"labial\", \"distal\", \"lingual\""], Refuses),
        set("/copings/0/taper_deg", json!(3), "copings[0].taper_deg",
            &["that key belongs to a wall"], Refuses),
        set("/copings/0/notes", json!("bent"), "copings[0].notes",
            &["that key belongs to the case", "begin it with \"x_\""], Refuses),
        set("/seat_zones/0/undercut_limit", json!(1), "seat_zones[0].undercut_limit",
            &["nearest known one is \"undercut_limit_mm\""], Refuses),
        set("/a key\n", json!(1), "[\"a key\\n\"]", &["unknown key \"a key\\n\""], Refuses),
        drop("/arch", "",
            &["the case (line 1, column 1)", "`arch` is missing", "\"arch\": \"mandibular\""], Refuses),
        drop("/cast/scan", "cast", &["`scan` is missing"], Refuses),
        drop("/cast/frame/origin", "cast.frame", &["`origin` is missing"], Refuses),
        drop("/copings/0/tooth", "copings[0]", &["`tooth` is missing"], Refuses),
        drop("/copings/1/height_mm", "copings[1]",
            &["`height_mm` is missing", "\"height_mm\": 5.0"], Refuses),
        drop("/copings/0/walls/distal/taper_deg", "copings[0].walls.distal",
            &["`taper_deg` is missing"], Refuses),
        drop("/seat_zones/1/outline", "seat_zones[1]", &["`outline` is missing"], Refuses),
        set("/copings/0/height_mm", json!("6"), "copings[0].height_mm",
            &["found the text \"6\", expected a number", "write \"height_mm\": 5.0"], Refuses),
        set("/copings/0/tooth", json!(33), "copings[0].tooth",
            &["found the number 33, expected a text in quotes", "write \"tooth\": \"33\""], Refuses),
        set("/copings/0/walls/labial/guides", json!("no"), "copings[0].walls.labial.guides",
            &["expected true or false"], Refuses),
        set("/copings/0/axis", json!([0, 1]), "copings[0].axis",
            &["found an array of 2, expected three numbers"], Refuses),
        set("/copings/0/axis/1", json!("up"), "copings[0].axis[1]",
            &["found the text \"up\", expected a number"], Refuses),
        set("/copings/0/margin_centre", json!(null), "copings[0].margin_centre",
            &["found null, expected three numbers"], Refuses),
        set("/copings", json!({}), "copings", &["found an object, expected a list"], Refuses),
        set("/copings/0", json!(7), "copings[0]",
            &["found the number 7, expected an object"], Refuses),
        set("/copings", json!(vec![0; 21]), "copings", &["found 21 of them, allowed 20"], Refuses),
        set("/seat_zones", json!(vec![0; 41]), "seat_zones", &["found 41 of them, allowed 40"], Refuses),
        set("/cast/leave_out", json!(vec![0; 101]), "cast.leave_out",
            &["found 101 of them, allowed 100"], Refuses),
        set("/seat_zones/0/outline", json!((0..1001).map(|n| [n % 2, n]).collect::<Vec<_>>()),
            "seat_zones[0].outline", &["found 1001 of them, allowed 1000", "thin"], Refuses),
        set("/limits", json!([]), "limits", &["found an array of 0, expected an object"], Refuses),
        set("/cast", json!(null), "cast", &["found null, expected an object"], Refuses),
        set("/seat_zones/0/outline/2", json!([1, 2, 3]), "seat_zones[0].outline[2]",
            &["found an array of 3, expected two numbers"], Refuses),
        set("/title", json!("  "), "title", &["the text is empty"], Refuses),
        set("/cast/scan", json!(""), "cast.scan", &["the text is empty"], Refuses),
        set("/arch", json!("Mandibular"), "arch",
            &["found \"Mandibular\", allowed \"mandibular\", \"maxillary\"", "the nearest is \"mandibular\""], Refuses),
        set("/cast/scan_unit", json!("inch"), "cast.scan_unit",
            &["allowed \"mm\", \"m\", \"cm\", \"um\", \"in\""], Refuses),
    ]);
}

#[test]
#[rustfmt::skip] // A table: a row a case.
fn numbers_out_of_range() {
    check(&[
        set("/copings/0/walls/mesial/taper_deg", json!(75.5), "copings[0].walls.mesial.taper_deg",
            &["found 75.5, allowed -45 to 60 degrees", "per wall"], Refuses),
        set("/copings/0/walls/mesial/half_sector_deg", json!(91), "copings[0].walls.mesial.half_sector_deg",
            &["allowed 0 to 90 degrees"], Refuses),
        set("/copings/0/walls/mesial/taper_se_deg", json!(-0.5), "copings[0].walls.mesial.taper_se_deg",
            &["found -0.5, allowed 0 to 10 degrees", "two of three repeated measurements"], Refuses),
        set("/copings/1/prep/mesial/taper_se_deg", json!(10.5), "copings[1].prep.mesial.taper_se_deg",
            &["found 10.5, allowed 0 to 10 degrees"], Refuses),
        set("/copings/0/walls/mesial/basis", json!("mesured"), "copings[0].walls.mesial.basis",
            &["\"mesured\"", "measured", "estimated", "stated"], Refuses),
        set("/copings/1/prep/mesial/basis", json!(true), "copings[1].prep.mesial.basis",
            &["a text in quotes"], Refuses),
        set("/copings/0/axis_se_deg", json!("1"), "copings[0].axis_se_deg", &["a number"], Refuses),
        set("/copings/0/axis_basis", json!("guessed"), "copings[0].axis_basis",
            &["\"guessed\"", "measured", "estimated", "stated"], Refuses),
        set("/copings/0/walls/mesial/draft_min_deg", json!(-1), "copings[0].walls.mesial.draft_min_deg",
            &["allowed 0 to 30 degrees"], Refuses),
        set("/copings/0/walls/mesial/draft_max_deg", json!(0), "copings[0].walls.mesial.draft_max_deg",
            &["found 0, allowed above 0, up to 90 degrees"], Refuses),
        set("/copings/0/walls/mesial/height_mm", json!(0), "copings[0].walls.mesial.height_mm",
            &["allowed above 0, up to 30 mm"], Refuses),
        set("/copings/0/height_mm", json!(-6), "copings[0].height_mm", &["found -6"], Refuses),
        set("/copings/0/margin_widths_mm/labiolingual", json!(0), "copings[0].margin_widths_mm.labiolingual",
            &["allowed above 0, up to 30 mm"], Refuses),
        set("/copings/0/margin_centre", json!([0, 1e300, 0]), "copings[0].margin_centre[1]",
            &["allowed -1000 to 1000 mm"], Refuses),
        set("/copings/1/mill_taper_deg", json!(31), "copings[1].mill_taper_deg",
            &["allowed 0 to 30 degrees"], Refuses),
        set("/copings/1/margin_thickness_mm", json!(-0.1), "copings[1].margin_thickness_mm",
            &["allowed 0 to 10 mm"], Refuses),
        set("/limits/tilt_max_deg", json!(0), "limits.tilt_max_deg",
            &["allowed above 0, up to 40 degrees"], Refuses),
        set("/limits/tilt_max_deg", json!(40.001), "limits.tilt_max_deg",
            &["found 40.001"], Refuses),
        set("/limits/wall_draft_min_deg", json!(31), "limits.wall_draft_min_deg",
            &["allowed 0 to 30 degrees"], Refuses),
        set("/limits/opposing_undercut_limit_mm", json!(null), "limits.opposing_undercut_limit_mm",
            &["found null, expected a number"], Refuses),
        set("/seat_zones/0/undercut_limit_mm", json!(-1), "seat_zones[0].undercut_limit_mm",
            &["allowed 0 to 20 mm"], Refuses),
        set("/seat_zones/0/undercut_limit_mm", json!("none"), "seat_zones[0].undercut_limit_mm",
            &["a number, or null for no limit"], Refuses),
        set("/cast/frame/origin/0", json!(2e7), "cast.frame.origin[0]",
            &["scan's own unit"], Refuses),
    ]);
}

#[test]
#[rustfmt::skip] // A table: a row a case.
fn what_the_numbers_mean_together() {
    check(&[
        set("/copings/0/axis", json!([0, 0, 0]), "copings[0].axis", &["length 0"], Refuses),
        set("/copings/0/axis", json!([0.1, 0, -1]), "copings[0].axis",
            &["found z = -1, allowed above 0", "turn it round"], Accepts),
        set("/copings/1/canal_axis", json!([1, 0, 0]), "copings[1].canal_axis",
            &["z = 0"], Accepts),
        set("/copings/0/mesial", json!([0.1, 0.2, 2]), "copings[0].mesial",
            &["the mesial direction is 0.0 degrees from the coping's axis, allowed 5 or more"], Accepts),
        set("/copings/0/labial", json!([1, 0.3, 0]), "copings[0].labial",
            &["degrees out of the plane of `axis` and `mesial`"], Accepts),
        set("/cast/frame/anterior", json!([0, 1, 2]), "cast.frame",
            &["26.6 degrees apart, allowed 60 to 120"], Accepts),
        set("/limits/wall_draft_max_deg", json!(0.25), "limits",
            &["wall_draft_min_deg is 0.25 and wall_draft_max_deg is 0.25"], Accepts),
        set("/limits/metal_min_mm", json!(1.6), "limits",
            &["metal_min_mm is 1.6 and metal_max_mm is 1.5"], Accepts),
        set("/copings/0/walls/distal/draft_min_deg", json!(8.5), "copings[0].walls.distal",
            &["draft_min_deg is 8.5 and draft_max_deg is 8 (one of them is not stated here)"], Accepts),
        set("/seat_zones/0/z_range", json!([0, -12]), "seat_zones[0].z_range",
            &["found 0 to -12", "lower z first"], Accepts),
        set("/seat_zones/0/z_range", json!([-0.2, 0]), "seat_zones[0].z_range",
            &["the z range is 0.2 mm thick, allowed 0.25 or more"], Accepts),
        set("/seat_zones/0/outline", json!([[0, 0], [0.4, 0], [0, 0.4]]), "seat_zones[0].outline",
            &["the outline bounds 0.0800 mm², allowed 0.1 or more"], Accepts),
        set("/seat_zones/0/outline", json!([[0, 0], [1, 0]]), "seat_zones[0].outline",
            &["found 2 points, a polygon has at least 3"], Refuses),
        set("/seat_zones/0/outline", json!([[0, 0], [1, 1], [1, 0], [0, 1]]), "seat_zones[0].outline",
            &["the side from point 0 and the side from point 2", "cross or touch"], Accepts),
        set("/seat_zones/0/outline", json!([[0, 0], [1, 1], [2, 2]]), "seat_zones[0].outline",
            &["cross or touch"], Accepts),
        set("/seat_zones/0/outline", json!([[0, 0], [4, 0], [4, 4], [0, 0.0]]), "seat_zones[0].outline",
            &["points 0 and 3 (counted from 0) are the same"], Refuses),
        set("/seat_zones/2", json!({ "name": "labial flange", "outline": [[0, 0], [1, 0], [0, 1]] }),
            "seat_zones[2].name", &["already taken by seat_zones[0]", "a name of its own"], Accepts),
        set("/seat_zones/0/opposes", json!("lingual flank"), "seat_zones[0].opposes",
            &["no seat zone is named \"lingual flank\"; the nearest is \"lingual flange\""], Accepts),
        set("/seat_zones/0/opposes", json!("labial flange"), "seat_zones[0].opposes",
            &["opposes itself"], Accepts),
        set("/copings/1/tooth", json!("19"), "copings[1].tooth",
            &["places in quadrant 1 run from 1 to 8"], Refuses),
        set("/copings/1/tooth", json!("03"), "copings[1].tooth",
            &["quadrants run from 1 to 8"], Refuses),
        set("/copings/1/tooth", json!("58"), "copings[1].tooth",
            &["places in quadrant 5 run from 1 to 5"], Refuses),
        set("/copings/1/tooth", json!("canine"), "copings[1].tooth", &["not two digits"], Refuses),
        set("/copings/0/id", json!("33/a"), "copings[0].id", &["has '/' in it"], Refuses),
        set("/copings/1/id", json!("left"), "copings[1].id",
            &["already taken by copings[0]"], Accepts),
        set("/copings/0/id", json!("43"), "copings[1].tooth",
            &["already taken by copings[0]", "an `id` of its own"], Accepts),
        set("/copings/0/prep", json!({}), "copings[0]", &["both `walls` and `prep`"], Refuses),
        drop("/copings/0/walls", "copings[0]", &["neither `walls` nor `prep`"], Refuses),
        set("/copings/0/mill_taper_deg", json!(2), "copings[0].mill_taper_deg",
            &["belongs to a coping with `prep`"], Refuses),
        set("/copings/0/keep_stump", json!(true), "copings[0].keep_stump",
            &["`keep_stump` belongs to a coping with `prep`"], Refuses),
        set("/copings/1/keep_stump", json!("yes"), "copings[1].keep_stump",
            &["expected true or false"], Refuses),
        set("/cast/leave_out/0/outline", json!([[0, 0], [1, 1], [1, 0], [0, 1]]),
            "cast.leave_out[0].outline", &["cross or touch"], Accepts),
        set("/cast/leave_out/0/above_z", json!(2000), "cast.leave_out[0].above_z",
            &["found 2000, allowed -1000 to 1000 mm"], Refuses),
        drop("/cast/leave_out/0/above_z", "cast.leave_out[0]",
            &["`above_z` is missing", "\"above_z\": 2.0"], Refuses),
        drop("/copings/1/mill_taper_deg", "copings[1]", &["`mill_taper_deg` is missing"], Refuses),
        drop("/copings/1/margin_thickness_mm", "copings[1]",
            &["`margin_thickness_mm` is missing"], Refuses),
    ]);
}

#[test]
fn a_wall_that_folds_over_is_named_with_the_greatest_taper() {
    // A round margin of radius 2.5 under four equal walls is a cone, whose tip is 2.5 / tan(taper)
    // high: at 5 mm the greatest taper is atan(2.5 / 5) = 26.565 degrees.
    let cone = |taper: f64| {
        lone("33", [-11.0, 14.0, 0.0], [1.0, 0.3, 0.0])
            .replace("\"labiolingual\":7", "\"labiolingual\":5")
            .replace("\"taper_deg\":3", &format!("\"taper_deg\":{taper}"))
    };
    good(&cone(26.5));
    let error = parse(&cone(26.7)).unwrap_err();
    let paths: Vec<_> = error.problems().iter().map(|p| p.path.as_str()).collect();
    assert_eq!(
        paths,
        ["mesial", "labial", "distal", "lingual"]
            .map(|side| format!("copings[0].walls.{side}.taper_deg"))
    );
    let message = error.problems()[1].to_string();
    for words in [
        "the labial wall, with a taper of 26.70 degrees, folds over below its height of 5 mm",
        "the greatest possible taper there is 26.56 degrees",
    ] {
        assert!(message.contains(words), "{words:?} is not in: {message}");
    }
    // One wall too steep among others that are not.
    let text = with("/copings/1/prep/distal/taper_deg", Some(json!(55)));
    let error = parse(&text).unwrap_err();
    assert_eq!(error.problems().len(), 1, "{error}");
    assert_eq!(error.problems()[0].path, "copings[1].prep.distal.taper_deg");
}

#[test]
fn a_key_given_twice_is_named_wherever_it_is() {
    for (from, to, path, line) in [
        (
            "\"height_mm\": 6.0,",
            "\"height_mm\": 6.0, \"height_mm\": 7.0,",
            "copings[0].height_mm",
            35,
        ),
        (
            "\"arch\": \"mandibular\",",
            "\"arch\": \"mandibular\",\n\"arch\": \"maxillary\",",
            "arch",
            6,
        ),
        // Kept sections too: a reader of theirs would silently lose one of the values.
        (
            "\"shelf\": 7",
            "\"shelf\": [{ \"a b\": 1, \"a\\u0020b\": 1 }]",
            "x_lab.shelf[0][\"a b\"]",
            75,
        ),
    ] {
        assert!(FULL.contains(from), "{from}");
        let error = parse(&FULL.replace(from, to)).unwrap_err();
        let [problem] = error.problems() else {
            panic!("{error}");
        };
        assert_eq!(
            (problem.path.as_str(), problem.line),
            (path, line),
            "{problem}"
        );
        assert!(
            problem.to_string().contains("keep one of them"),
            "{problem}"
        );
    }
}

#[test]
fn every_problem_is_listed_at_once_in_the_order_of_the_file() {
    let text = r#"{
  "format": "tiltbench-case", "version": 1, "arch": "lower",
  "cast": { "scan": 7, "scan_unit": "ft", "frame": { "origin": [0, 0, 0], "anterior": [0, 0, 1] } },
  "seat_zones": [ 3, { "name": "a", "outline": [[0, 0], [1, "x"], [1, 1]], "z_range": [1, 1], "opposes": "a" } ],
  "copings": [
    { "tooth": "99", "margin_centre": [0, 0], "axis": [0, 0, -1], "mesial": [0, 0, 0],
      "margin_widths_mm": { "mesiodistal": -1 }, "height_mm": true,
      "walls": { "mesial": { "guides": 1, "taper_deg": 99 }, "top": {} } },
    { "tooth": "33", "id": "a/b", "margin_centre": [0, 0, 0], "axis": [0, 0, 1], "mesial": [0, 0, 1],
      "margin_widths_mm": { "mesiodistal": 5, "labiolingual": 5 }, "height_mm": 5, "prep": {} }
  ],
  "limits": { "tilt_max_deg": 90, "metal_min_mm": 5, "color": "red" }
}"#;
    let error = parse(text).unwrap_err();
    let paths: Vec<&str> = error.problems().iter().map(|p| p.path.as_str()).collect();
    assert_eq!(
        paths,
        [
            "arch",
            "cast.scan",
            "cast.scan_unit",
            "cast.frame",
            "seat_zones[0]",
            "seat_zones[1].outline[1][1]",
            "seat_zones[1].z_range",
            "seat_zones[1].opposes",
            "copings[0].tooth",
            "copings[0].margin_centre",
            "copings[0].axis",
            "copings[0].mesial",
            "copings[0].margin_widths_mm",
            "copings[0].margin_widths_mm.mesiodistal",
            "copings[0].height_mm",
            "copings[0].walls.mesial.guides",
            "copings[0].walls.mesial.taper_deg",
            "copings[0].walls.top",
            "copings[1]",
            "copings[1]",
            "copings[1].id",
            "copings[1].mesial",
            "limits",
            "limits.tilt_max_deg",
            "limits.color",
        ],
        "{error}"
    );
    assert!(
        error
            .to_string()
            .starts_with("25 problems:\n  arch (line 2, column"),
        "{error}"
    );
}

#[test]
fn a_file_of_noise_lists_a_thousand_problems_and_counts_the_rest() {
    let noise: Vec<_> = (0..1500).map(|n| format!(r#""noise{n}": 0, "#)).collect();
    let noise = noise.concat();
    let error = parse(&FULL.replacen('{', &format!("{{ {noise}"), 1)).unwrap_err();
    assert_eq!(error.problems().len(), 1000);
    let message = error.to_string();
    assert!(
        message.starts_with("1500 problems:\n  noise0 "),
        "{message}"
    );
    assert!(message.ends_with("\n  and 500 more"), "{message}");
}

/// Each of these is refused as a whole, with these words.
fn refused(files: &[(&[u8], &str)]) {
    for (bytes, words) in files {
        let error = parse_case(bytes, Path::new("")).unwrap_err();
        assert!(error.problems().is_empty(), "{error}");
        let message = error.to_string();
        assert!(message.contains(words), "{words:?} is not in: {message}");
        assert!(
            message.lines().count() == 1 && message.len() < 300,
            "{message}"
        );
    }
}

#[test]
#[rustfmt::skip] // A table: a row a file.
fn files_of_another_kind() {
    let mut stl = vec![0; 134];
    stl[80] = 1;
    let utf16: Vec<u8> = FULL.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let marked: Vec<u8> = [&[0xFF, 0xFE][..], &utf16].concat();
    let large = vec![b' '; (4 << 20) + 1];
    refused(&[
        (b"", "the file is empty"),
        (b" \n\t ", "the file is empty"),
        (b"\xEF\xBB\xBF", "the file is empty"),
        (&utf16, "written in UTF-16; save it as UTF-8"),
        (&marked, "written in UTF-16; save it as UTF-8"),
        (b"\xFE\xFF\0{\0}", "written in UTF-16"),
        (b"\xFF\xFE\0\0{\0\0\0", "written in UTF-32"),
        (b"{\n \"title\": \"\xE9\" }", "line 2, byte 12: the text is not UTF-8"),
        (b"solid lower\nendsolid",
            "an STL scan, not a case; give the case file, whose cast.scan names the scan"),
        (&stl, "an STL scan, not a case"),
        (b"ply\nformat ascii 1.0\n", "a PLY scan, not a case"),
        (b"# lower\nv 0 0 0\n", "an OBJ scan, not a case"),
        (b"\x1F\x8B\x08\0", "a gzip'ed file, not a case"),
        (b"PK\x03\x04", "a zip archive, not a case"),
        (b"\x89PNG\r\n", "a picture, not a case"),
        (b"\x07\x08\0\0", "a binary file, not a case"),
        (&large, "has 4194305 bytes, and a case file at most 4194304"),
    ]);
}

#[test]
#[rustfmt::skip] // A table: a row a file.
fn texts_that_are_not_json() {
    let deep = "[".repeat(200);
    refused(&[
        (b"{\n  \"a\": 1,\n}", "line 3, column 1: not JSON here: trailing comma; remove the comma"),
        (b"{ 'a': 1 }", "line 1, column 3: not JSON here: key must be a string"),
        (b"{ \"a\": NaN }", "not JSON here: expected value; JSON has no comments"),
        (b"{ // a\n }", "line 1, column 3"),
        (b"{ \"a\": 1e999 }", "number out of range"),
        (b"{ \"a\": 1", "the file ends too early"),
        (b"{} {}", "line 1, column 4: not JSON here: trailing characters; the case ended before this"),
        (b"{ \"a\": \"\t\" }", "a tab in it is written \\t"),
        (deep.as_bytes(), "nested more than 128 deep"),
    ]);
}

#[test]
#[rustfmt::skip] // A table: a row a file.
fn heads_that_are_not_of_a_case_this_program_reads() {
    refused(&[
        (b"[1]", "the file holds an array of 1, and a case is an object"),
        (b"3", "the file holds the number 3"),
        (b"{}", "not marked as a case: `format` is missing"),
        (br#"{ "format": "other", "version": 1 }"#, "not a case: `format` is the text \"other\""),
        (br#"{ "format": 1 }"#, "not a case: `format` is the number 1"),
        (br#"{ "format": "tiltbench-case" }"#, "does not say its version; add \"version\": [1, 1]"),
        (br#"{ "format": "tiltbench-case", "version": "1.0" }"#,
            "`version` is the text \"1.0\"; it is two whole numbers"),
        (br#"{ "format": "tiltbench-case", "version": [1] }"#, "`version` is [1]; it is two whole"),
        (br#"{ "format": "tiltbench-case", "version": [1, -1] }"#, "`version` is [1, -1]"),
        (br#"{ "format": "tiltbench-case", "version": 1.5 }"#, "`version` is the number 1.5"),
        (br#"{ "format": "tiltbench-case", "version": [1, 99999999999] }"#,
            "`version` is [1, 99999999999]"),
        (br#"{ "format": "tiltbench-case", "version": [2, 3], "what": 1 }"#,
            "of version 2.3, newer than this program, which reads versions up to 1.x"),
        (br#"{ "format": "tiltbench-case", "version": 0 }"#,
            "of version 0.0, older than any this program reads"),
    ]);
}

#[test]
fn a_missing_file_and_a_folder_are_told_apart() {
    let folder = tempfile::tempdir().unwrap();
    let error = tiltbench_case::read_case(&folder.path().join("none.json")).unwrap_err();
    assert!(matches!(error, CaseErrors::Io(_)), "{error}");
    let text = error.to_string();
    assert!(
        text.starts_with("the file cannot be read; check its name"),
        "{text}"
    );
    let error = tiltbench_case::read_case(folder.path())
        .unwrap_err()
        .to_string();
    assert_eq!(
        error,
        "it is a folder, not a file; name the case file in it"
    );
    let error = tiltbench_case::read_draft(folder.path())
        .unwrap_err()
        .to_string();
    assert!(error.starts_with("it is a folder"), "{error}");
}

/// What a message repeats of the file is cut, and numbers have no rows of zeros.
#[test]
fn what_is_echoed_is_cut() {
    let long = "g".repeat(5_000);
    let mut case: Value = serde_json::from_str(FULL).unwrap();
    case[&long] = json!(1);
    case["copings"][0]["tooth"] = json!(long);
    case["copings"][1]["id"] = json!(format!("{long}/"));
    case["seat_zones"][0]["name"] = json!(long);
    case["seat_zones"][1]["name"] = json!(long);
    case["seat_zones"][1]["opposes"] = json!(long.replace('g', "h"));
    case["limits"]["tilt_max_deg"] = json!(1e300);
    case["arch"] = json!(long);
    let message = parse(&case.to_string()).unwrap_err().to_string();
    for line in message.lines() {
        assert!(line.len() < 400, "{line}");
    }
    assert!(message.contains("found 1e300, allowed"), "{message}");
    assert!(message.lines().count() >= 7, "{message}");
}

#[test]
fn bounds_themselves_are_allowed() {
    for (pointer, value) in [
        (
            "/copings/0/walls",
            json!({ "mesial": { "taper_deg": -45 } }),
        ),
        ("/copings/0/walls/labial/half_sector_deg", json!(0)),
        ("/copings/0/walls/labial/half_sector_deg", json!(90)),
        ("/limits/tilt_max_deg", json!(40)),
        ("/limits/metal_min_mm", json!(0)),
        ("/copings/1/mill_taper_deg", json!(0)),
        ("/cast/frame/anterior", json!([0, 3f64.sqrt() / 2.0, 0.5])),
        ("/seat_zones", json!([])),
        ("/copings", json!([])),
        ("/copings/0/walls", json!({})),
    ] {
        let mut case: Value = serde_json::from_str(&with(pointer, Some(value))).unwrap();
        // Nothing is planned on what goes.
        case["planned"] = json!([]);
        let text = case.to_string();
        good(&text);
        assert!(schema_accepts(&text), "{pointer}");
    }
}

/// Each wall was told its greatest taper by a search of its own, from 90 degrees down: 35 ms.
#[test]
fn a_case_full_of_walls_that_fold_over_is_refused_soon() {
    let mut case: Value =
        serde_json::from_str(&lone("33", [-12.0, 14.0, 0.0], [1.0, 0.8, 0.0])).unwrap();
    let mut folding = case["copings"][0].clone();
    folding["height_mm"] = json!(30);
    folding["margin_widths_mm"] = json!({ "mesiodistal": 0.5, "labiolingual": 7 });
    let copings: Vec<Value> = (0..20)
        .map(|id| {
            folding["id"] = json!(format!("c{id}"));
            folding.clone()
        })
        .collect();
    case["copings"] = copings.into();
    let begun = std::time::Instant::now();
    let error = parse(&case.to_string()).unwrap_err();
    let seconds = begun.elapsed().as_secs_f64();
    assert_eq!(error.problems().len(), 80, "{error}");
    assert!(
        error
            .to_string()
            .contains("the greatest possible taper there is"),
        "{error}"
    );
    assert!(seconds < 1.0, "{seconds:.2} s");
}

#[test]
fn planned_work_on_what_is_not_there_is_named() {
    let omit = |coping: &str| json!({"kind": "omit", "where": {"coping": coping}});
    check(&[
        set(
            "/planned/1/where/zone",
            json!("labial flenge"),
            "planned[1].where.zone",
            &[
                "planned on seat zone \"labial flenge\"",
                "the nearest is \"labial flange\"",
            ],
            Accepts,
        ),
        set(
            "/planned/3",
            omit("34"),
            "planned[3].where.coping",
            &["planned on coping \"34\", and there is none of that name"],
            Accepts,
        ),
        set(
            "/planned/2/where/side",
            json!("labial"),
            "planned[2].where.side",
            &["planned on the labial wall, and this coping has none"],
            Accepts,
        ),
        set(
            "/planned/3",
            json!({"kind": "blockout", "where": {"zone": "labial flange"}, "wax_mm": 0.2, "left_mm": 1.0}),
            "planned[3]",
            &["planned[1] already plans this kind of work in this place"],
            Accepts,
        ),
        set(
            "/planned/0/to",
            json!(55),
            "planned[0].to",
            &["the mesial wall, with a taper of 55.00 degrees, folds over"],
            Accepts,
        ),
        set(
            "/planned/1/wax_mm",
            json!(0),
            "planned[1].wax_mm",
            &[
                "found 0",
                "above 0, up to 20 mm",
                "the greatest thickness of the wax",
            ],
            Refuses,
        ),
        set(
            "/planned/0/state",
            json!("measurd"),
            "planned[0].state",
            &["measured"],
            Refuses,
        ),
    ]);
}

#[test]
fn planned_work_that_lacks_what_it_needs_is_named() {
    check(&[
        drop(
            "/planned/0/to",
            "planned[0]",
            &["of the kind retaper needs `to`", "\"to\": 8.0"],
            Refuses,
        ),
        drop(
            "/planned/1/left_mm",
            "planned[1]",
            &["of the kind blockout needs `left_mm`"],
            Refuses,
        ),
        set(
            "/planned/1/to",
            json!(3.0),
            "planned[1].to",
            &["`to` means nothing to planned work of the kind blockout; remove it"],
            Refuses,
        ),
        set(
            "/planned/1/where/side",
            json!("mesial"),
            "planned[1].where.side",
            &["`side` means nothing to planned work of the kind blockout"],
            Refuses,
        ),
    ]);
}
