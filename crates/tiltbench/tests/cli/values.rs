//! Figures from closed forms, through the whole program.

use crate::cases::{RIDGE, case, coping, prepared_root, ridge_only, ridge_scan, three_cones};
use crate::program::Bench;
use serde_json::Value;

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

/// Three cones leaning 10 degrees all round: see [`three_cones`]. Any two of them draw together
/// (their axes are 17.3 degrees apart, under the 18 of both tapers), all three do not.
#[test]
fn three_pairwise_parallel_abutments_share_no_draw() {
    let bench = Bench::new()
        .with_case("nine.json", &three_cones(9.0))
        .with_case("twelve.json", &three_cones(12.0));
    let answer = bench.json(&["survey", "nine.json", "--json"]);
    let draw = &answer["common_draw"];
    assert_eq!(draw["exists"], false);
    assert!((number(&draw["best_least_draft_deg"]) + 1.0).abs() < 1e-3);
    assert!(number(&draw["direction"][2]) > 1.0 - 1e-6);
    let certificate = &draw["certificate"];
    assert_eq!(certificate["kind"], "no_draw_anywhere");
    let terms = certificate["terms"].as_array().unwrap();
    let weights: f64 = terms.iter().map(|term| number(&term["weight"])).sum();
    assert!((weights - 1.0).abs() < 1e-9);
    for axis in 0..3 {
        let sum: f64 = terms
            .iter()
            .map(|term| number(&term["weight"]) * number(&term["normal"][axis]))
            .sum();
        assert!(sum.abs() < 1e-9, "{sum}");
    }
    for pair in [[0, 1], [0, 2], [1, 2]] {
        let mut two = three_cones(9.0);
        let copings = pair.map(|index| two["copings"][index].clone());
        two["copings"] = copings.to_vec().into();
        let bench = Bench::new().with_case("two.json", &two);
        let answer = bench.json(&["survey", "two.json", "--json"]);
        assert_eq!(answer["common_draw"]["exists"], true, "{pair:?}");
    }
    let answer = bench.json(&["survey", "twelve.json", "--json"]);
    assert_eq!(answer["common_draw"]["exists"], true);
    assert!((number(&answer["common_draw"]["best_least_draft_deg"]) - 2.0).abs() < 1e-3);
    assert!((number(&answer["recommended"]["setting_allowance_deg"]) - 2.0).abs() < 0.05);
}

/// A cone of 6 degrees, tilted by 4: drafts 10, 5.9853 and 2 at azimuths 0, 90 and 180.
/// Derivation: `sin(draft) = cos 6 cos(phi) sin 4 + sin 6 cos 4`.
#[test]
fn drafts_of_a_tilted_cone() {
    let cone = coping(
        "33",
        [-12.0, 14.0, 0.0],
        [0.0, 0.0, 1.0],
        [1.0, 0.0, 0.0],
        [6.0; 4],
    );
    let bench = Bench::new().with_case("cone.json", &case("A cone", "mandibular", &[cone]));
    // Mesial is +x; lowering the other side leans the draw toward it.
    let answer = bench.json(&["check", "cone.json", "--json", "--tilt", "0,-4"]);
    let centre = |side: &str| {
        let walls = answer["walls"].as_array().unwrap();
        let wall = walls.iter().find(|wall| wall["side"] == side).unwrap();
        number(&wall["centre_draft_deg"])
    };
    for (side, expected) in [
        ("mesial", 10.0),
        ("labial", 5.9853),
        ("distal", 2.0),
        ("lingual", 5.9853),
    ] {
        assert!(
            (centre(side) - expected).abs() < 1e-4,
            "{side}: {}",
            centre(side)
        );
    }
    assert!((number(&answer["opposing"][0]["of_coping_deg"]) - 12.0).abs() < 1e-9);
    assert!((number(&answer["opposing"][0]["for_draw_deg"]) - 12.0).abs() < 1e-9);
    assert!((number(&answer["tilt"]["total_deg"]) - 4.0).abs() < 1e-9);
}

/// Prep taper 8, mill taper 6, height 4 along the axis, tilt 7: the wall that loses draft needs
/// 0.65399 mm at the margin to keep 0.3 mm at its top.
/// Derivation: `t0 + 4 / cos 8 · sin(8 - 7 - 6) / cos 6 = 0.3`.
#[test]
fn metal_budget_of_a_prepared_root() {
    let bench = Bench::new().with_case("root.json", &prepared_root(0.65399));
    let answer = bench.json(&["check", "root.json", "--json", "--tilt", "0,7"]);
    let walls = answer["walls"].as_array().unwrap();
    let least = walls
        .iter()
        .map(|wall| number(&wall["metal_least_mm"]))
        .fold(f64::INFINITY, f64::min);
    assert!((least - 0.3).abs() < 1e-4, "{least}");
    // The canal leans by atan 0.1 to +x, the draw by 7 degrees the other way.
    let remark = answer["remarks"].to_string();
    assert!(remark.contains("12.7° from this draw"), "{remark}");
}

/// A flat wall 8 mm high, undercut by 12 degrees, read off a scan: its foot lies 1.70045 mm under;
/// with the posterior lowered by 5 degrees 0.99674 mm.
/// Derivation: the wall line is `8 / cos 12` long and leans by 12 less the tilt.
#[test]
fn depth_of_a_leaning_ridge() {
    let (height, undercut) = RIDGE;
    let mut deep = ridge_only();
    // Nearly down to the foot; the floor itself is left out.
    deep["seat_zones"][0] = serde_json::json!({"name": "labial flange", "z_range": [0.05, 9],
        "outline": [[-4, -3], [4, -3], [4, 0.5], [-4, 0.5]]});
    let bench = Bench::new()
        .with_case("ridge.json", &deep)
        .with("ridge.obj", ridge_scan(false));
    for (tilt, lean, worked_out) in [
        ("0,0", undercut, 1.70045),
        ("-5,0", undercut - 5.0, 0.99674),
    ] {
        let answer = bench.json(&["check", "ridge.json", "--json", "--tilt", tilt]);
        let zone = &answer["zones"][0];
        let foot = height / undercut.to_radians().cos() * lean.to_radians().sin();
        assert!((foot - worked_out).abs() < 1e-5);
        let depth = number(&zone["undercut_depth_mm"]);
        // The zone ends 0.05 mm above the foot, and samples are cut to 0.25 mm: the deepest stand
        // a third of that above its border.
        assert!(
            depth < foot && depth > foot - 0.05,
            "{tilt}: {depth} and {foot}"
        );
        assert_eq!(zone["depth_capped"], false);
        assert_eq!(answer["acceptable"], foot < 1.0, "{tilt}");
    }
}

#[test]
fn what_is_given_comes_back_as_it_was() {
    let bench = Bench::new().with_case("case.json", &three_cones(12.0));
    let answer = bench.json(&[
        "check",
        "case.json",
        "--tilt",
        "60,60",
        "--no-allowance",
        "--json",
    ]);
    assert_eq!(answer["tilt"]["anterior_deg"].to_string(), "60.0");
    assert_eq!(answer["tilt"]["lateral_deg"].to_string(), "60.0");
    let limits = answer["limits"].as_array().unwrap();
    let table = limits
        .iter()
        .find(|limit| limit["limit"] == "tilt_max_deg")
        .unwrap();
    assert_eq!(table["bound"].to_string(), "15.0");
    assert!(
        bench
            .refused(&["check", "case.json", "--tilt", "85.0000001,0"])
            .contains("85.0000001 degrees")
    );
}
