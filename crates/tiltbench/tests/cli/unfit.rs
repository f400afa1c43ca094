//! Scans that would give figures that mean nothing, and what of a scan is not read.

use crate::cases::{floor_under_shelf, ridge_only, ridge_scan, shelf_scan};
use crate::program::Bench;
use serde_json::Value;

/// The ridge with every third of its faces turned over.
fn mixed_ridge() -> String {
    let (sound, mut faces) = (ridge_scan(false), 0);
    let turned = sound.lines().map(|line| {
        let Some(corners) = line.strip_prefix("f ") else {
            return format!("{line}\n");
        };
        faces += 1;
        let mut corners: Vec<&str> = corners.split(' ').collect();
        if faces % 3 == 0 {
            corners.reverse();
        }
        format!("f {}\n", corners.join(" "))
    });
    turned.collect()
}

#[test]
fn a_scan_wound_both_ways_is_refused_with_the_call_that_mends_it() {
    let bench = Bench::new()
        .with_case("case.json", &ridge_only())
        .with("ridge.obj", mixed_ridge());
    for call in [
        &["survey", "case.json"][..],
        &["check", "case.json", "--tilt", "0,0"],
        &["chart", "case.json", "--out", "chart.csv"],
    ] {
        let message = bench.refused(call);
        for part in [
            "ridge.obj",
            "2 of its 10 facets (20 %) show their back",
            "at most 1 % may",
            "`tiltbench scan FILE --mend OUT.ply`",
        ] {
            assert!(message.contains(part), "{part:?} not in: {message}");
        }
    }
    bench.text(&["scan", "ridge.obj", "--mend", "out.ply"]);
    let mut mended = ridge_only();
    mended["cast"]["scan"] = "out.ply".into();
    let bench = bench.with_case("case.json", &mended);
    let answer = bench.json(&["check", "case.json", "--tilt", "0,0", "--json"]);
    assert!(depth(&answer) > 0.5, "{}", answer["zones"]);
}

fn depth(answer: &Value) -> f64 {
    answer["zones"][0]["undercut_depth_mm"].as_f64().unwrap()
}

/// The zones and remarks of a flat draw.
fn flat(scan: &str) -> (Value, String) {
    let bench = Bench::new()
        .with_case("case.json", &floor_under_shelf())
        .with("shelf.obj", scan);
    let answer = bench.json(&["check", "case.json", "--tilt", "0,0", "--json"]);
    (answer["zones"].clone(), answer["remarks"].to_string())
}

#[test]
fn a_facet_that_is_there_twice_is_read_once_and_that_is_said() {
    let scan = shelf_scan(false);
    let faces = scan.split_inclusive('\n');
    let twice: String = faces.filter(|line| line.starts_with('f')).collect();
    let (once, remarks) = flat(&scan);
    assert!(!remarks.contains("repeat"), "{remarks}");
    let (zones, remarks) = flat(&format!("{scan}{twice}"));
    assert_eq!(zones, once);
    assert!(
        remarks.contains("66 facets repeat an earlier one")
            && remarks.contains("readings leave such facets out"),
        "{remarks}"
    );
}

#[test]
fn a_cast_of_a_size_no_cast_has_is_refused_with_the_unit_that_would_fit() {
    for (unit, across) in [("in", "1270 mm"), ("m", "50000 mm"), ("um", "0.0500 mm")] {
        let mut case = ridge_only();
        case["cast"]["scan_unit"] = unit.into();
        let bench = Bench::new()
            .with_case("case.json", &case)
            .with("ridge.obj", ridge_scan(false));
        let message = bench.refused(&["survey", "case.json"]);
        for part in [
            across,
            "between 5 and 250 mm",
            "set scan_unit to \"mm\"",
            "ridge.obj",
        ] {
            assert!(message.contains(part), "{part:?} not in: {message}");
        }
    }
}

#[test]
fn a_stray_vertex_costs_nothing_and_says_nothing_of_the_size() {
    let (zones, _) = flat(&shelf_scan(false));
    let stray = shelf_scan(false) + "v 0 0 1e8\nf 1 2 49\n";
    let begun = std::time::Instant::now();
    let (with_stray, remarks) = flat(&stray);
    let seconds = begun.elapsed().as_secs_f64();
    assert_eq!(with_stray, zones);
    assert!(
        remarks.contains(
            "1 facet reaches more than 100 mm beyond the rest of the scan, the first is facet 66"
        ),
        "{remarks}"
    );
    assert!(!remarks.contains("scan_unit"), "{remarks}");
    assert!(seconds < 5.0, "{seconds:.1} s");
}

#[test]
fn a_zone_that_holds_too_little_to_be_judged_is_an_error() {
    let mut case = ridge_only();
    case["seat_zones"][1]["outline"] = serde_json::json!([[0, -25], [1, -25], [1, -24], [0, -24]]);
    // The floor lies at z = 0: of a zone from -0.3 up to it only the edge is left.
    case["seat_zones"][1]["z_range"] = serde_json::json!([-0.3, 0.0]);
    case["copings"] = serde_json::json!([]);
    let bench = Bench::new()
        .with_case("case.json", &case)
        .with("ridge.obj", ridge_scan(false).replace("-30", "-24.04"));
    let message = bench.refused(&["survey", "case.json"]);
    assert!(
        message.contains("\"lingual flange\" holds 0.0400 mm²") && message.contains("ridge.obj"),
        "{message}"
    );
}
