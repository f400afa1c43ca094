//! What cannot be used is refused: which file, which place, what is wrong, what to do.

use crate::cases::{case, ridge_only, ridge_scan, two_canines};
use crate::program::Bench;
use serde_json::Value;

/// Expects `check` and `survey` to refuse a case, with every one of these words.
fn refused(bench: &Bench, words: &[&str]) {
    for args in [
        &["survey", "case.json"][..],
        &["check", "case.json", "--json", "--tilt", "0,0"],
    ] {
        let message = bench.refused(args);
        assert!(message.starts_with("error: "), "{message}");
        for word in words.iter().chain(&["case.json"]) {
            assert!(message.contains(word), "{word:?} not in: {message}");
        }
    }
}

#[test]
fn what_is_no_case() {
    refused(&Bench::new(), &["cannot use the case", "No such file"]);
    let folder = Bench::new();
    std::fs::create_dir(folder.path("case.json")).unwrap();
    refused(&folder, &["it is a folder, not a file"]);
    for (bytes, words) in [
        (&b""[..], "the file is empty"),
        (b"{\"format\": ", "line 1"),
        (b"[1, 2]", "a case is an object"),
        (b"{}", "`format` is missing"),
        (b"solid jaw\nfacet normal 0 0 1", "not a case"),
        (b"\xff\xfe\x00", "UTF-8"),
        (
            b"{\"format\": \"tiltbench-case\", \"version\": [9, 0]}",
            "newer than this program",
        ),
    ] {
        refused(&Bench::new().with("case.json", bytes), &[words]);
    }
}

#[test]
fn every_problem_of_a_case_at_once() {
    let mut spoiled = two_canines();
    spoiled["limitz"] = Value::Null;
    spoiled["copings"][0]["tooth"] = "19".into();
    spoiled["copings"][1]["walls"]["mesial"]["taper_deg"] = "steep".into();
    refused(
        &Bench::new().with_case("case.json", &spoiled),
        &[
            "3 problems",
            "limitz",
            "limits",
            "copings[0].tooth",
            "copings[1].walls.mesial.taper_deg",
            "line ",
        ],
    );
}

/// A box of 10 mm a side on its open bottom: which way it faces is beyond doubt.
const BOTTOMLESS_BOX: &str = "\
v -5 -5 0\nv 5 -5 0\nv 5 5 0\nv -5 5 0\nv -5 -5 10\nv 5 -5 10\nv 5 5 10\nv -5 5 10
f 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8
";

#[test]
fn what_is_wrong_with_the_scan() {
    let bench = Bench::new().with_case("case.json", &ridge_only());
    refused(
        &bench,
        &[
            "cannot use the cast",
            "ridge.obj",
            "cast.scan names a file beside",
        ],
    );
    let bench = bench.with("ridge.obj", "not a scan");
    refused(&bench, &["ridge.obj", "neither STL nor PLY nor OBJ"]);
    let bench = bench.with("ridge.obj", ridge_scan(true));
    refused(
        &bench,
        &["ridge.obj", "inside out", "--mend OUT.ply", "--turn-open"],
    );
    // A good scan looked at from its back is not to be mended.
    let mut upside_down = ridge_only();
    upside_down["cast"]["frame"] =
        serde_json::json!({"origin": [0, 0, 0], "anterior": [0, 1, 0], "occlusal": [0, 0, -1]});
    let bench = Bench::new()
        .with_case("case.json", &upside_down)
        .with("ridge.obj", BOTTOMLESS_BOX);
    refused(
        &bench,
        &[
            "ridge.obj",
            "the occlusal direction points into the cast",
            "Turn cast.frame.occlusal round",
        ],
    );
    let message = bench.refused(&["survey", "case.json"]);
    assert!(
        !message.contains("--mend") && !message.contains("inside out"),
        "{message}"
    );
}

#[test]
fn a_zone_beside_the_scan() {
    let mut away = ridge_only();
    away["seat_zones"][1]["outline"] = serde_json::json!([[100, 100], [110, 100], [110, 110]]);
    let bench = Bench::new()
        .with_case("case.json", &away)
        .with("ridge.obj", ridge_scan(false));
    refused(&bench, &["lingual flange", "no scan surface"]);
}

#[test]
fn a_scan_of_no_scan() {
    let bench = Bench::new().with("text.stl", "hello").with("empty.stl", "");
    std::fs::create_dir(bench.path("folder.stl")).unwrap();
    for (args, words) in [
        (&["scan", "none.stl"][..], "No such file"),
        (&["scan", "folder.stl"], "folder.stl"),
        (&["scan", "text.stl"], "neither STL nor PLY nor OBJ"),
        (&["scan", "empty.stl", "--json"], "it is empty"),
        (&["scan", "text.stl", "--unit", "ft"], "mm, m, cm, um, in"),
        (&["scan", "text.stl", "--turn-open"], "--mend"),
    ] {
        let message = bench.refused(args);
        assert!(message.contains(words), "{args:?}: {message}");
        assert!(message.matches("No such file").count() <= 1, "{message}");
    }
}

#[test]
fn nothing_to_survey_is_still_an_answer() {
    let bench = Bench::new().with_case("case.json", &case("Nothing", "maxillary", &[]));
    let answer = bench.json(&["survey", "case.json", "--json"]);
    assert_eq!(answer["acceptable"], false);
    for key in ["common_draw", "recommended", "least_bad"] {
        assert_eq!(answer[key], Value::Null, "{key}");
    }
    let text = bench.text(&["survey", "case.json"]);
    assert!(text.contains("Nothing to judge: no wall guides"), "{text}");
}

/// A name from a file may hold anything; it must not reach a terminal as a command.
#[test]
fn names_cannot_steer_a_terminal() {
    let mut nasty = two_canines();
    nasty["title"] = "\u{1b}[2Jcleared".into();
    nasty["copings"][0]["id"] = "a\u{1b}[31mb".into();
    let bench = Bench::new().with_case("case.json", &nasty);
    let run = bench.run(&["survey", "case.json"]);
    assert!(
        !run.stdout.contains('\u{1b}') && !run.stderr.contains('\u{1b}'),
        "{run:?}"
    );
    assert!(run.status == 2 || run.stdout.contains("cleared"), "{run:?}");
}
