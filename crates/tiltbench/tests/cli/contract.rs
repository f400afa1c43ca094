//! Every key scripts rely on is there, with its type.

use crate::cases::{
    canines_on_ridge, floor_under_shelf, measured_canines, prepared_root, ridge_scan, shelf_scan,
    three_cones, two_canines,
};
use crate::program::Bench;
use serde_json::Value;
use std::path::Path;

/// Checks `path kind` lines against an answer. `[]` stands for every element of a list, which must
/// not be empty.
pub(crate) fn holds(answer: &Value, under: &str, lines: &str) {
    let mut checked = 0;
    for line in lines.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let (path, kind) = line.split_once(' ').expect("a path and its kind");
        let whole = format!("{under}{path}");
        check(answer, &whole, &whole, kind);
        checked += 1;
    }
    assert!(checked > 0);
}

fn check(value: &Value, path: &str, whole: &str, kind: &str) {
    if path.is_empty() {
        let found = match value {
            Value::Null => "null",
            Value::Bool(_) => "bool",
            Value::Number(_) => "number",
            Value::String(_) => "string",
            Value::Array(_) => "list",
            Value::Object(_) => "object",
        };
        assert_eq!(found, kind, "{whole}: {value}");
        return;
    }
    if let Some(rest) = path.strip_prefix("[]") {
        let list = value
            .as_array()
            .unwrap_or_else(|| panic!("{whole}: {value}"));
        assert!(!list.is_empty(), "{whole}: nothing in the list");
        for element in list {
            check(element, rest.trim_start_matches('/'), whole, kind);
        }
        return;
    }
    let end = path.find(['/', '[']).unwrap_or(path.len());
    let (key, rest) = path.split_at(end);
    let inner = value
        .get(key)
        .unwrap_or_else(|| panic!("{whole}: no {key:?} in {value}"));
    check(inner, rest.trim_start_matches('/'), whole, kind);
}

const EVALUATION: &str = "
    tilt/anterior_deg number
    tilt/lateral_deg number
    tilt/lowered_side string
    tilt/total_deg number
    tilt/direction[] number
    walls list
    opposing list
    zones list
    acceptable bool
    limits[]/limit string
    limits[]/where object
    limits[]/value number
    limits[]/bound number
    limits[]/sense string
    limits[]/met bool
    remarks list
";

const WALLS: &str = "
    walls[]/coping string
    walls[]/side string
    walls[]/guides bool
    walls[]/basis string
    walls[]/taper_basis string
    walls[]/axis_basis string
    walls[]/centre_draft_deg number
    walls[]/least_draft_deg number
    walls[]/most_draft_deg number
    walls[]/undercut_mm number
    opposing[]/coping string
    opposing[]/pair string
    opposing[]/of_coping_deg number
    opposing[]/for_draw_deg number
";

const ZONES: &str = "
    zones[]/name string
    zones[]/area_mm2 number
    zones[]/undercut_depth_mm number
    zones[]/depth_capped bool
    zones[]/undercut_area_mm2 number
    zones[]/unknown_area_mm2 number
    zones[]/in_doubt bool
    zones[]/blockout_mm3 number
    zones[]/blockout_open bool
    zones[]/area_beyond_mm2/0.25 number
    zones[]/area_beyond_mm2/0.50 number
    zones[]/area_beyond_mm2/0.75 number
";

const ALLOWANCE: &str = "
    setting_allowance_deg number
";

const COMMON_DRAW: &str = "
    exists bool
    best_least_draft_deg number
    direction[] number
    at_tilt_limit bool
    bound_deg number
    limiting[]/coping string
    limiting[]/side string
    certificate/kind string
    certificate/terms[]/coping string
    certificate/terms[]/side string
    certificate/terms[]/weight number
";

#[test]
fn survey_with_a_path() {
    let bench = Bench::new()
        .with_case("case.json", &canines_on_ridge())
        .with("ridge.obj", ridge_scan(false));
    let answer = bench.json(&["survey", "case.json", "--json", "--held", "-1,0.5"]);
    holds(
        &answer,
        "",
        "case/title string
         case/arch string
         case/file string
         case/cast/scan string
         case/cast/triangles number
         common_draw object
         common_draw/region[][] number
         common_draw/region_edges[]/limit string
         acceptable bool
         recommended object
         contract number
         advice string
         recommended/setting_allowance_deg number
         recommended/preference_allowance_deg number
         recommended/setting_allowance_net_deg null
         alternatives[]/setting_allowance_net_deg null
         case/errors_not_stated[]/error string
         case/errors_not_stated[]/where object
         recommended/reason/rule string
         recommended/reason/wanted_deg number
         recommended/reason/step_deg number
         recommended/reason/flat_breaks list
         recommended/governing[]/limit string
         recommended/governing[]/where object
         sensitivity[]/limit/limit string
         sensitivity[]/limit/bound number
         sensitivity[]/set_at string
         sensitivity[]/default_basis string
         sensitivity[]/tighter/bound number
         sensitivity[]/tighter/acceptable bool
         sensitivity[]/tighter/tilt/total_deg number
         sensitivity[]/tighter/setting_allowance_deg number
         sensitivity[]/looser null
         least_bad null
         alternatives[]/name string
         changes list
         remarks list",
    );
    holds(&answer, "common_draw/", COMMON_DRAW);
    for under in ["recommended/", "alternatives[]/"] {
        holds(&answer, under, EVALUATION);
        holds(&answer, under, WALLS);
        holds(&answer, under, ZONES);
        holds(
            &answer,
            under,
            "walls[]/metal_least_mm null
             walls[]/metal_most_mm null",
        );
    }
    assert_eq!(answer["acceptable"], true);
    assert_eq!(answer["changes"], serde_json::json!([]));
    assert_eq!(answer["case"]["file"], "case.json");
    let names: Vec<_> = answer["alternatives"]
        .as_array()
        .unwrap()
        .iter()
        .map(|other| other["name"].as_str().unwrap())
        .collect();
    assert_eq!(
        names,
        [
            "most_forgiving",
            "least_blockout",
            "best_for_copings",
            "most_parallel",
            "flat",
            "held"
        ]
    );
    let held = &answer["alternatives"][5]["tilt"];
    assert!((held["anterior_deg"].as_f64().unwrap() + 1.0).abs() < 1e-12);
    assert!((held["lateral_deg"].as_f64().unwrap() - 0.5).abs() < 1e-12);
}

#[test]
fn survey_without_a_path() {
    let bench = Bench::new().with_case("case.json", &three_cones(9.0));
    let answer = bench.json(&["survey", "case.json", "--json"]);
    holds(
        &answer,
        "",
        "case/cast null
         common_draw/region null
         common_draw/region_edges null
         acceptable bool
         recommended null
         least_bad/worst_overrun number
         least_bad/forbidden_by string
         least_bad/blocking[]/limit string
         alternatives[]/name string
         changes[]/set[]/kind string
         changes[]/set[]/where object
         changes[]/set[]/amount number
         changes[]/set[]/unit string
         changes[]/result/setting_allowance_deg number
         remarks list",
    );
    holds(&answer, "common_draw/", COMMON_DRAW);
    for under in ["least_bad/", "alternatives[]/", "changes[]/result/"] {
        holds(&answer, under, EVALUATION);
        holds(&answer, under, WALLS);
    }
    assert_eq!(answer["acceptable"], false);
}

#[test]
fn check_of_a_prepared_root_and_of_a_ridge() {
    let bench = Bench::new()
        .with_case("root.json", &prepared_root(0.7))
        .with_case("ridge.json", &canines_on_ridge())
        .with("ridge.obj", ridge_scan(false));
    let root = bench.json(&["check", "root.json", "--tilt", "0,0", "--json"]);
    holds(&root, "", ALLOWANCE);
    holds(&root, "", EVALUATION);
    holds(&root, "", WALLS);
    holds(
        &root,
        "",
        "walls[]/metal_least_mm number
         walls[]/metal_most_mm number",
    );
    assert_eq!(root["walls"][0]["basis"], "prep");
    assert_eq!(root["walls"][0]["coping"], "front root");
    let ridge = bench.json(&["check", "ridge.json", "--json", "--tilt=-5,0"]);
    holds(&ridge, "", EVALUATION);
    holds(&ridge, "", ZONES);
    // A rigid limit is broken there: no allowance, and none that is not known.
    assert_eq!(ridge["setting_allowance_deg"], Value::Null);
    assert_eq!(ridge["walls"][0]["basis"], "finished");
    let limits: Vec<_> = ridge["limits"]
        .as_array()
        .unwrap()
        .iter()
        .map(|limit| (limit["limit"].as_str().unwrap(), limit["where"].clone()))
        .collect();
    let zones = serde_json::json!({"zones": ["labial flange", "lingual flange"]});
    assert!(limits.contains(&(
        "draft_min_deg",
        serde_json::json!({"coping": "43", "side": "mesial"})
    )));
    assert!(limits.contains(&(
        "zone_depth_mm",
        serde_json::json!({"zone": "labial flange"})
    )));
    assert!(limits.contains(&("opposing_depth_mm", zones)));
    assert!(limits.contains(&("tilt_max_deg", serde_json::json!({}))));
    // No limit of its own: reported, and no limit of the case.
    assert!(!limits.contains(&(
        "zone_depth_mm",
        serde_json::json!({"zone": "lingual flange"})
    )));
}

/// `--no-allowance` leaves the allowance out and changes nothing else.
#[test]
fn check_without_its_allowance() {
    let bench = Bench::new()
        .with_case("ridge.json", &canines_on_ridge())
        .with("ridge.obj", ridge_scan(false));
    let args = ["check", "ridge.json", "--json", "--tilt=-1.1,-0.4"];
    let mut whole = bench.json(&args);
    assert!(whole["setting_allowance_deg"].as_f64().unwrap() > 1.0);
    let quick = ["check", "ridge.json", "--no-allowance", "--tilt=-1.1,-0.4"];
    let without = bench.json(&[&quick[..], &["--json"]].concat());
    assert!(
        without
            .as_object()
            .unwrap()
            .contains_key("setting_allowance_deg")
    );
    for key in ["setting_allowance_deg", "setting_allowance_upper_deg"] {
        whole[key] = Value::Null;
    }
    assert_eq!(without, whole);
    let text = bench.text(&quick);
    assert!(text.contains("Setting allowance   not asked for"), "{text}");
}

/// A hole is not sky: what lies under it is unknown, told, and left out of the figures.
#[test]
fn a_hole_over_a_zone_leaves_it_in_doubt() {
    let of = |with_hole: bool| {
        let bench = Bench::new()
            .with_case("shelf.json", &floor_under_shelf())
            .with("shelf.obj", shelf_scan(with_hole));
        let args = ["check", "shelf.json", "--tilt", "0,0", "--no-allowance"];
        (
            bench.json(&[&args[..], &["--json"]].concat()),
            bench.text(&args),
        )
    };
    let near = |answer: &Value, key: &str, expected: f64, within: f64| {
        let value = answer["zones"][0][key].as_f64().unwrap();
        assert!(
            (value - expected).abs() <= within,
            "{key}: {value} for {expected}"
        );
    };
    let (whole, text) = of(false);
    near(&whole, "area_mm2", 72.0, 1e-6);
    near(&whole, "unknown_area_mm2", 0.0, 0.0);
    near(&whole, "undercut_area_mm2", 24.0, 0.5);
    near(&whole, "undercut_depth_mm", 3.0, 0.05);
    assert_eq!(whole["zones"][0]["in_doubt"], false);
    assert!(!text.contains("doubt") && !text.contains("hole"), "{text}");
    let (holed, text) = of(true);
    near(&holed, "area_mm2", 72.0, 1e-6);
    // Unknown are the 8 mm² whose lines pass through the hole, and what lies nearer to its edge than to the
    // edge of the shelf, 4 mm from the wall, whose way would end in it. In front of the hole that is half a
    // millimetre, 2 mm². At each side of it, at y from 1 to 2 the whole 2 mm, from 2 to 3 the 4 - y, and
    // from 3 to 3.5 the root of (4 - y)² - (y - 3)²: 2 + 3/2 + 1/3.
    near(
        &holed,
        "unknown_area_mm2",
        8.0 + 2.0 + 2.0 * (2.0 + 1.5 + 1.0 / 3.0),
        0.3,
    );
    near(&holed, "undercut_area_mm2", 24.0 - 17.667, 0.5);
    assert_eq!(holed["zones"][0]["in_doubt"], true);
    let remarks = holed["remarks"].to_string();
    assert!(
        remarks.contains("under a hole of the scan, around x "),
        "{remarks}"
    );
    // Lines are broken where they get too long.
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("over by 0.70, in doubt") && words.contains("scan the place again"),
        "{text}"
    );
}

#[test]
fn scan_of_an_open_surface() {
    let bench = Bench::new().with("ridge.obj", ridge_scan(false));
    let answer = bench.json(&["scan", "ridge.obj", "--json"]);
    holds(
        &answer,
        "",
        "format string
         triangles number
         vertices number
         components number
         extent_mm[] number
         open_edges number
         non_manifold_edges number
         degenerate_triangles number
         watertight bool
         area_mm2 number
         volume_mm3 null
         remarks list
         duplicate_facets number
         mended null",
    );
    assert_eq!(answer["extent_mm"], serde_json::json!([50.0, 50.0, 8.0]));
    // Five strips of two facets each; two ends of six points; a border all round.
    assert_eq!(answer["triangles"], 10);
    assert_eq!(answer["vertices"], 12);
    assert_eq!(answer["open_edges"], 12);
}

#[test]
fn no_finished_guiding_wall_means_no_common_draw() {
    let mut loose = two_canines();
    for coping in 0..2 {
        for side in ["mesial", "labial", "distal", "lingual"] {
            loose["copings"][coping]["walls"][side]["guides"] = false.into();
        }
    }
    let bench = Bench::new()
        .with_case("root.json", &prepared_root(0.7))
        .with_case("loose.json", &loose);
    for case in ["root.json", "loose.json"] {
        let answer = bench.json(&["survey", case, "--json"]);
        assert_eq!(answer["common_draw"], Value::Null, "{case}");
        // Where no wall guides and no zone has a limit there is nothing to judge.
        assert_eq!(answer["acceptable"], case == "root.json", "{case}");
    }
}

/// The words of the bench are the same tilt as the angles of the frame, on both arches; and they do not
/// go together with them.
#[test]
fn a_tilt_in_the_words_of_the_bench() {
    let mut upper = three_cones(14.0);
    upper["title"] = "Upper".into();
    let bench = Bench::new()
        .with_case("lower.json", &two_canines())
        .with_case("upper.json", &upper);
    for (case, words, frame) in [
        (
            "lower.json",
            &["--posterior", "8", "--right", "0.5"][..],
            "-8,0.5",
        ),
        (
            "upper.json",
            &["--posterior", "8", "--right", "0.5"],
            "-8,-0.5",
        ),
        ("lower.json", &["--anterior", "3"], "3,0"),
        ("upper.json", &["--left", "2"], "0,2"),
    ] {
        let said = bench.json(&[&["check", case, "--json"], words].concat());
        let framed = bench.json(&["check", case, "--json", "--tilt", frame]);
        assert_eq!(said, framed, "{case} {words:?}");
    }
    for words in [
        &["check", "lower.json"][..],
        &["check", "lower.json", "--posterior", "8", "--anterior", "1"],
        &["check", "lower.json", "--tilt", "1,1", "--right", "1"],
        &["check", "lower.json", "--left", "-1"],
    ] {
        assert!(!bench.refused(words).is_empty(), "{words:?}");
    }
}

/// The net figure goes with every setting allowance, with what it rests on; what is estimated is told first of all.
#[test]
fn measuring_errors_leave_a_net_allowance() {
    let mut three = three_cones(9.0);
    for coping in three["copings"].as_array_mut().unwrap() {
        coping["axis_se_deg"] = 0.1.into();
    }
    let bench = Bench::new()
        .with_case("two.json", &measured_canines())
        .with_case("three.json", &three);
    let answer = bench.json(&["survey", "two.json", "--json"]);
    for under in ["recommended/", "alternatives[]/"] {
        holds(
            &answer,
            under,
            "setting_allowance_deg number
             setting_allowance_net_deg number",
        );
    }
    assert_eq!(
        answer["case"]["errors_not_stated"],
        serde_json::json!([
            {"error": "taper_se_deg", "where": {"coping": "43", "side": "mesial"}},
            {"error": "taper_se_deg", "where": {"coping": "43", "side": "distal"}},
            {"error": "axis_se_deg", "where": {"coping": "33"}},
        ])
    );
    let first = answer["remarks"][0].as_str().unwrap();
    assert!(first.contains("estimated and not measured"), "{first}");
    assert!(
        first.contains("43 mesial and distal; axis of 33"),
        "{first}"
    );
    let bases: Vec<[&str; 2]> = answer["recommended"]["walls"]
        .as_array()
        .unwrap()
        .iter()
        .map(|wall| ["taper_basis", "axis_basis"].map(|key| wall[key].as_str().unwrap()))
        .collect();
    assert_eq!(
        bases[..5],
        [
            ["estimated", "measured"],
            ["stated", "measured"],
            ["estimated", "measured"],
            ["measured", "measured"],
            ["stated", "estimated"],
        ]
    );
    // Six guiding walls: k = sqrt(2 ln 120) = 3.094347; of each its least draft, less k times what is stated of
    // taper, axis and level.
    let k = (2.0 * 120_f64.ln()).sqrt();
    let check = bench.json(&["check", "two.json", "--tilt=0,0", "--json"]);
    let net = check["walls"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|wall| wall["guides"] == true)
        .map(|wall| {
            let error: f64 = match (wall["coping"].as_str(), wall["side"].as_str()) {
                (Some("43"), Some("lingual")) => 0.3_f64.powi(2) + 0.15_f64.powi(2),
                (Some("43"), _) => 0.15_f64.powi(2),
                _ => 0.2_f64.powi(2),
            };
            let draft = wall["least_draft_deg"].as_f64().unwrap();
            draft - k * (error + 0.1_f64.powi(2)).sqrt()
        })
        .fold(f64::INFINITY, f64::min);
    let found = check["setting_allowance_net_deg"].as_f64().unwrap();
    assert!(net > 0.0 && (found - net).abs() < 1e-9, "{found} {net}");
    // Where something binds, and where an allowance was not asked for, there is nothing to take from.
    let bound = bench.json(&["check", "two.json", "--tilt=12,0", "--json"]);
    assert_eq!(bound["setting_allowance_net_deg"], Value::Null);
    let quick = [
        "check",
        "two.json",
        "--tilt=0,0",
        "--json",
        "--no-allowance",
    ];
    assert_eq!(bench.json(&quick)["setting_allowance_net_deg"], Value::Null);
    // And it goes with what changes would open.
    let changed = bench.json(&["survey", "three.json", "--json"]);
    let results = "changes[]/result/setting_allowance_net_deg number";
    holds(&changed, "", results);
}

/// What lies level at zero is said, or first of all that nothing says so; the plane makes the frame, and one
/// that would turn the cast over is refused.
#[test]
fn the_level_is_established_or_that_it_is_not_is_said_first() {
    let mut level = canines_on_ridge();
    level["zero_plane"] = serde_json::json!({
        "kind": "landmarks",
        "points": [[20, -10, 3], [-20, -10, 3], [0, 15, 3]],
        "se_deg": 0.5,
    });
    let mut turned = level.clone();
    turned["zero_plane"]["points"] = serde_json::json!([[-20, -10, 3], [20, -10, 3], [0, 15, 3]]);
    let bench = Bench::new()
        .with_case("level.json", &level)
        .with_case("turned.json", &turned)
        .with_case("case.json", &canines_on_ridge())
        .with("ridge.obj", ridge_scan(false));
    let of = |case: &str| {
        let args = ["check", case, "--tilt", "0,0", "--no-allowance"];
        let answer = bench.json(&[&args[..], &["--json"]].concat());
        (answer, bench.text(&args))
    };
    let ((with, said), (without, unsaid)) = (of("level.json"), of("case.json"));
    assert_eq!(with["zones"], without["zones"]);
    holds(
        &with,
        "case/zero_plane/",
        "kind string
         points[][] number
         se_deg number
         level string
         text null",
    );
    assert_eq!(without["case"]["zero_plane"], Value::Null);
    let first = without["remarks"][0].as_str().unwrap();
    assert!(first.starts_with("level not established"), "{first}");
    assert!(
        !with["remarks"]
            .to_string()
            .contains("level not established")
    );
    assert!(unsaid.contains("! level not established"), "{unsaid}");
    let words = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains(
            "level at zero: landmarks of the ridge, at its points right, left and front (± 0.5°)"
        ),
        "{said}"
    );
    assert!(
        !bench
            .refused(&["check", "turned.json", "--tilt", "0,0"])
            .is_empty()
    );
}

/// Every call that the samples' own page names can be made.
#[test]
fn the_calls_of_the_samples_page_work() {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-cases/README.md");
    let page = std::fs::read_to_string(page).unwrap();
    let calls = page
        .split('`')
        .filter_map(|code| code.strip_prefix("tiltbench "));
    let calls: Vec<String> = calls.map(|call| call.replace("FOLDER", "made")).collect();
    assert!(!calls.is_empty());
    let bench = Bench::new();
    for call in calls {
        let args: Vec<&str> = call.split_whitespace().collect();
        let run = bench.run(&args);
        assert_eq!(run.status, 0, "{call}: {}", run.stderr);
    }
    assert!(bench.path("made/two-canines.json").exists());
}

/// Limits are told apart by what happens where they are broken.
#[test]
fn limits_say_their_kind() {
    let bench = Bench::new()
        .with_case("case.json", &canines_on_ridge())
        .with("ridge.obj", ridge_scan(false));
    let answer = bench.json(&[
        "check",
        "case.json",
        "--json",
        "--tilt",
        "0,0",
        "--no-allowance",
    ]);
    for limit in answer["limits"].as_array().unwrap() {
        let kind = match limit["limit"].as_str().unwrap() {
            "draft_min_deg" | "metal_min_mm" => "rigid",
            "zone_depth_mm" | "opposing_depth_mm" => "seat",
            _ => "preference",
        };
        assert_eq!(limit["kind"], kind, "{limit}");
    }
}
