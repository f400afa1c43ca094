//! The open scans through the built program: what a person would type.

use crate::{DOG, HUMAN, open_case, surveyed_by_library};
use serde_json::Value;
use std::path::PathBuf;
use std::process::Command;
use tiltbench_tests::{must_run_everything, reference_folder};

/// The program, where `cargo test --workspace` puts it: beside the folder of this test.
fn program() -> Option<PathBuf> {
    let test = std::env::current_exe().expect("this test has a path");
    let folder = test.ancestors().nth(2).expect("target folders are deep");
    let program = folder.join(format!("tiltbench{}", std::env::consts::EXE_SUFFIX));
    if program.exists() {
        return Some(program);
    }
    let message = format!(
        "NOT TESTED: {} is not built. Run `cargo test --workspace`, or `cargo build` first.",
        program.display()
    );
    assert!(!must_run_everything(), "{message}");
    crate::say_aloud(&message);
    None
}

/// The one JSON document that a call answers with.
fn json(program: &PathBuf, args: &[&str]) -> Value {
    let output = Command::new(program)
        .args(args)
        .arg("--json")
        .current_dir(reference_folder())
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{args:?}: {said}");
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{args:?}: {error}"))
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

fn goes_through(name: &str, triangles: u64) {
    let Some(case) = open_case(name) else { return };
    let Some(program) = program() else { return };
    let scan = case.cast().expect("the case has a cast").scan();

    let taken_for_mm = json(&program, &["scan", scan]);
    assert_eq!(taken_for_mm["triangles"], triangles);
    assert!(taken_for_mm["remarks"].to_string().contains("metres"));
    let in_metres = json(&program, &["scan", scan, "--unit", "m"]);
    for axis in 0..3 {
        let (small, large) = (
            &taken_for_mm["extent_mm"][axis],
            &in_metres["extent_mm"][axis],
        );
        assert!((number(large) - 1000.0 * number(small)).abs() < 1e-6 * number(large));
    }

    let answer = json(&program, &["survey", name, "--no-sensitivity"]);
    assert_eq!(answer["acceptable"], true);
    assert_eq!(answer["common_draw"]["exists"], true);
    let best = &answer["recommended"];
    let by_library = surveyed_by_library(&case);
    let expected = by_library
        .recommended
        .as_ref()
        .expect("a tilt is acceptable");
    let tilt = expected.evaluation.tilt;
    for (key, angle) in [
        ("anterior_deg", tilt.anterior_rad()),
        ("lateral_deg", tilt.lateral_rad()),
        ("total_deg", tilt.total_rad()),
    ] {
        let said = number(&best["tilt"][key]);
        assert!((said - angle.to_degrees()).abs() < 1e-9, "{key}: {said}");
    }
    let allowance = number(&best["setting_allowance_deg"]);
    assert!((allowance - expected.allowance_rad.to_degrees()).abs() < 1e-9);

    // What it recommends, it accepts; `--tilt` takes a leading minus.
    let tilt = format!(
        "{},{}",
        best["tilt"]["anterior_deg"], best["tilt"]["lateral_deg"]
    );
    assert!(tilt.starts_with('-'), "the posterior is lowered: {tilt}");
    let checked = json(&program, &["check", name, "--tilt", &tilt]);
    assert_eq!(checked["acceptable"], true);
    assert!((number(&checked["setting_allowance_deg"]) - allowance).abs() < 0.05);
    let zones = case.seat_zones().iter().zip(&expected.evaluation.zones);
    for (index, (zone, reading)) in zones.enumerate() {
        let said = &checked["zones"][index];
        assert_eq!(said["name"], zone.name);
        assert!((number(&said["area_mm2"]) - reading.area_mm2).abs() < 1e-6);
        let off = number(&said["undercut_depth_mm"]) - reading.undercut_depth_mm;
        assert!(off.abs() < 1e-3, "{}: {off}", zone.name);
    }
    let flat = json(&program, &["check", name, "--tilt", "0,0"]);
    assert_eq!(flat["acceptable"], false);
}

#[test]
fn the_dog_mandible_goes_through_the_program() {
    goes_through(DOG, 31_132);
}

#[test]
fn the_human_mandible_goes_through_the_program() {
    goes_through(HUMAN, 2_916);
}
