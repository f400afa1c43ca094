//! Which limits steer the recommended tilt: every figure is that of a survey of the case so edited.

use crate::cases::{canines_on_ridge, ridge_scan, three_cones, two_canines};
use crate::program::Bench;
use serde_json::{Value, json};

/// Degrees. What the same allowance may differ by between two searches.
const SAME_DEG: f64 = 0.05;

fn bench(case: &Value) -> Bench {
    Bench::new()
        .with_case("case.json", case)
        .with("ridge.obj", ridge_scan(false))
}

/// Writes a value at a path like `copings[0].walls.mesial.draft_min_deg`.
fn set(case: &mut Value, path: &str, value: &Value) {
    let mut at = case;
    for key in path.split(['.', '[', ']']).filter(|key| !key.is_empty()) {
        at = match key.parse::<usize>() {
            Ok(index) => &mut at[index],
            Err(_) => &mut at[key],
        };
    }
    *at = value.clone();
}

/// The entries of a case's survey, each compared with surveys of the case edited by hand; and the paths that
/// they were edited at.
fn held_against_edited_cases(case: &Value, options: &[&str]) -> (Vec<Value>, Vec<String>) {
    let call = [&["survey", "case.json", "--json"], options].concat();
    let answer = bench(case).json(&call);
    let entries = answer["sensitivity"].as_array().unwrap().clone();
    let mut paths = Vec::new();
    for entry in &entries {
        let path = entry["set_at"].as_str().unwrap();
        paths.push(path.to_owned());
        let is_floor = entry["limit"]["sense"] == "min";
        for (word, up) in [("tighter", is_floor), ("looser", !is_floor)] {
            let said = &entry[word];
            if said.is_null() {
                continue;
            }
            let [now, then] =
                [&entry["limit"]["bound"], &said["bound"]].map(|b| b.as_f64().unwrap());
            assert_eq!(then > now, up, "{entry}");
            let mut edited = case.clone();
            set(&mut edited, path, &said["bound"]);
            let fresh = bench(&edited).json(&[&call[..], &["--no-sensitivity"]].concat());
            assert_eq!(fresh["sensitivity"], Value::Null);
            assert_eq!(said["acceptable"], fresh["acceptable"], "{path} {word}");
            let best = &fresh["recommended"];
            assert_eq!(said["tilt"], best["tilt"], "{path} {word}");
            let key = "setting_allowance_deg";
            match (said[key].as_f64(), best[key].as_f64()) {
                (Some(a), Some(b)) => assert!((a - b).abs() < SAME_DEG, "{path} {word}: {a} {b}"),
                (a, b) => assert_eq!(a, b, "{path} {word}"),
            }
        }
    }
    (entries, paths)
}

/// Flat breaks the labial flange, so it stands in the list with the walls. Walls that state no draft of their
/// own share the case's: one entry, and nothing looser than 0. A wall's own is changed at the wall.
#[test]
fn every_tilt_is_that_of_the_case_so_edited() {
    let mut case = canines_on_ridge();
    case["seat_zones"][0]["undercut_limit_mm"] = 0.8.into();
    let (entries, paths) = held_against_edited_cases(&case, &[]);
    let drafts = paths.iter().filter(|path| path.contains("draft"));
    assert_eq!(drafts.count(), 1, "{paths:?}");
    let of = |path: &str| {
        entries
            .iter()
            .find(|entry| entry["set_at"] == path)
            .unwrap()
    };
    let draft = of("limits.wall_draft_min_deg");
    assert_eq!(draft["looser"], Value::Null);
    assert_eq!(draft["tighter"]["bound"], json!(0.5));
    assert_eq!(draft["default_basis"], "convention");
    let flange = of("seat_zones[0].undercut_limit_mm");
    assert_eq!(flange["tighter"]["bound"], json!(0.64));
    assert_eq!(flange["looser"]["bound"], json!(0.96));
    assert_eq!(flange["default_basis"], Value::Null);

    case["copings"][0]["walls"]["mesial"]["draft_min_deg"] = 1.0.into();
    let (entries, paths) = held_against_edited_cases(&case, &[]);
    let own = "copings[0].walls.mesial.draft_min_deg";
    let at = paths.iter().position(|path| path == own).unwrap();
    assert_eq!(entries[at]["tighter"]["bound"], json!(1.5));
    assert_eq!(entries[at]["looser"]["bound"], json!(0.5));
}

/// Planned work stays in effect in what is tried, and out of it where the case is judged as measured.
#[test]
fn planned_work_stays_as_the_case_is_judged() {
    let mut case = canines_on_ridge();
    case["version"] = json!([1, 1]);
    case["seat_zones"][0]["undercut_limit_mm"] = 0.8.into();
    case["planned"] =
        json!([{"kind": "retaper", "where": {"coping": "43", "side": "mesial"}, "to": 8.0}]);
    let planned = held_against_edited_cases(&case, &[]);
    let measured = held_against_edited_cases(&case, &["--as-measured"]);
    assert_ne!(planned.0, measured.0);
}

#[test]
fn nothing_steers_where_nothing_is_recommended_or_it_was_not_asked_for() {
    let bench = Bench::new()
        .with_case("three.json", &three_cones(9.0))
        .with_case("two.json", &two_canines());
    let none = bench.json(&["survey", "three.json", "--json"]);
    assert_eq!(none["sensitivity"], json!([]));
    let text = bench.text(&["survey", "two.json"]);
    assert!(text.contains("What the limits steer"), "{text}");
    let without = bench.text(&["survey", "two.json", "--no-sensitivity"]);
    let (before, rest) = text.split_once("What the limits steer").unwrap();
    let (_, after) = rest.split_once("\n\n").unwrap();
    assert_eq!(without, format!("{before}{after}"));
}
