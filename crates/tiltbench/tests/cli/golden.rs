//! Whole texts, as a technician reads them.
//!
//! They lie in `tests/golden`. After a change that is meant, write them anew with
//! `TILTBENCH_UPDATE_GOLDEN=1 cargo test -p tiltbench golden`, and read what became of them.

use crate::cases::{
    canines_on_ridge, measured_canines, prepared_root, ridge_only, ridge_scan, three_cones,
    two_canines,
};
use crate::program::Bench;
use std::path::Path;

fn same_as_golden(name: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(name);
    if std::env::var_os("TILTBENCH_UPDATE_GOLDEN").is_some() {
        std::fs::write(&path, text).unwrap();
        return;
    }
    let golden = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    for (number, (now, then)) in text.lines().zip(golden.lines()).enumerate() {
        assert_eq!(now, then, "line {} of {name}; now:\n{text}", number + 1);
    }
    assert_eq!(text, golden, "{name}");
}

#[test]
fn survey_of_two_canines() {
    let bench = Bench::new().with_case("two.json", &two_canines());
    let text = bench.text(&["survey", "two.json", "--held", "3,-2"]);
    same_as_golden("survey-two-canines.txt", &text);
}

#[test]
fn survey_of_two_canines_measured_in_part() {
    let bench = Bench::new().with_case("two.json", &measured_canines());
    let text = bench.text(&["survey", "two.json"]);
    same_as_golden("survey-measured.txt", &text);
}

#[test]
fn survey_without_a_common_draw() {
    let bench = Bench::new().with_case("three.json", &three_cones(9.0));
    same_as_golden(
        "survey-three-cones.txt",
        &bench.text(&["survey", "three.json"]),
    );
}

#[test]
fn survey_on_a_ridge() {
    let bench = Bench::new()
        .with_case("ridge.json", &canines_on_ridge())
        .with("ridge.obj", ridge_scan(false));
    same_as_golden("survey-ridge.txt", &bench.text(&["survey", "ridge.json"]));
}

#[test]
fn check_of_a_ridge_that_is_too_deep() {
    let mut case = ridge_only();
    case["seat_zones"][0]["undercut_limit_mm"] = 0.5.into();
    case["limits"] = serde_json::json!({"opposing_undercut_limit_mm": 0.6});
    let bench = Bench::new()
        .with_case("ridge.json", &case)
        .with("ridge.obj", ridge_scan(false));
    let text = bench.text(&["check", "ridge.json", "--tilt", "1,0"]);
    same_as_golden("check-ridge.txt", &text);
}

#[test]
fn check_of_a_root_before_waxing() {
    let bench = Bench::new().with_case("root.json", &prepared_root(0.6));
    let text = bench.text(&["check", "root.json", "--tilt", "0,7"]);
    same_as_golden("check-root.txt", &text);
}

#[test]
fn scan_that_is_mended() {
    let bench = Bench::new().with("jaw.obj", crate::scans::SPOILED);
    let text = bench.text(&["scan", "jaw.obj", "--unit", "cm", "--mend", "out.ply"]);
    same_as_golden("scan-mended.txt", &text);
}

#[test]
fn check_of_what_is_planned() {
    let mut case = canines_on_ridge();
    case["seat_zones"][0]["undercut_limit_mm"] = 0.5.into();
    case["planned"] = serde_json::json!([
        {"kind": "blockout", "where": {"zone": "labial flange"}, "wax_mm": 0.6, "left_mm": 0.5},
        {"kind": "retaper", "where": {"coping": "43", "side": "mesial"}, "to": 7.5, "state": "done"},
        {"kind": "reprepare", "where": {"coping": "33"}},
    ]);
    let bench = Bench::new()
        .with_case("planned.json", &case)
        .with("ridge.obj", ridge_scan(false));
    let text = bench.text(&["check", "planned.json", "--tilt", "1,0"]);
    same_as_golden("check-planned.txt", &text);
}
