//! What an answer advises, on cases whose answer is known beforehand: planned work, and cones.

use crate::cases::{canines_on_ridge, case, coping, ridge_scan, two_canines};
use crate::contract::holds;
use crate::program::Bench;
use serde_json::Value;

/// A case on a ridge with planned work, the same without it, and what both come to at one tilt.
fn bare_and_planned() -> (Bench, Value, Value) {
    let mut bare = canines_on_ridge();
    bare["seat_zones"][0]["undercut_limit_mm"] = 0.5.into();
    let mut planned = bare.clone();
    planned["planned"] = serde_json::json!([
        {"kind": "blockout", "where": {"zone": "labial flange"}, "wax_mm": 0.3, "left_mm": 0.4},
        {"kind": "retaper", "where": {"coping": "43", "side": "mesial"}, "to": 7.5, "state": "done"},
        {"kind": "omit", "where": {"coping": "33"}},
        {"kind": "unguide", "where": {"coping": "33", "side": "distal"}, "state": "measured"},
    ]);
    let bench = Bench::new()
        .with("ridge.obj", ridge_scan(false))
        .with_case("bare.json", &bare)
        .with_case("planned.json", &planned);
    let at = ["--tilt", "1,0", "--json"];
    let before = bench.json(&[&["check", "bare.json"], &at[..]].concat());
    let after = bench.json(&[&["check", "planned.json"], &at[..]].concat());
    (bench, before, after)
}

/// Planned wax: the depth is the cast's, the limit looks at what is left. Of a coping left out nothing is judged.
#[test]
fn planned_work_is_put_into_effect() {
    let (_, before, after) = bare_and_planned();
    let depth = |answer: &Value| answer["zones"][0]["undercut_depth_mm"].as_f64().unwrap();
    assert!((depth(&after) - depth(&before)).abs() < 1e-12);
    assert_eq!(after["zones"][0]["planned_blockout_to_mm"], 0.4);
    let limit = |answer: &Value, zone: &str| {
        let limits = answer["limits"].as_array().unwrap();
        let found = limits.iter().find(|limit| limit["where"]["zone"] == zone);
        found.unwrap()["value"].as_f64().unwrap()
    };
    // 0.9 deep: 0.3 of wax leave 0.6, more than the 0.4 agreed.
    let left = limit(&after, "labial flange");
    assert!((left - (depth(&before) - 0.3)).abs() < 1e-12, "{left}");
    let owed = |answer: &Value| answer["zones"][0]["blockout_owed_mm3"].as_f64().unwrap();
    assert!(owed(&after) > owed(&before), "0.4 may stay, not 0.5");
    // Of the coping left out nothing is judged, the retapered wall has its new taper.
    let on = |answer: &Value, coping: &str| {
        let limits = answer["limits"].as_array().unwrap();
        limits
            .iter()
            .filter(|limit| limit["where"]["coping"] == coping)
            .count()
    };
    assert!(on(&before, "33") > 0 && on(&after, "33") == 0);
    let centre = |answer: &Value| {
        let walls = answer["walls"].as_array().unwrap();
        let is_it = |wall: &&Value| wall["coping"] == "43" && wall["side"] == "mesial";
        walls.iter().find(is_it).unwrap()["centre_draft_deg"]
            .as_f64()
            .unwrap()
    };
    let taper = two_canines()["copings"]
        .as_array()
        .unwrap()
        .iter()
        .find(|c| c["tooth"] == "43")
        .unwrap()["walls"]["mesial"]["taper_deg"]
        .as_f64()
        .unwrap();
    assert!((centre(&after) - centre(&before) - (7.5 - taper)).abs() < 0.05);
}

/// The same tilt is told as measured beside, and alone where it is asked for.
#[test]
fn planned_work_is_told_apart_from_what_was_measured() {
    let (bench, before, after) = bare_and_planned();
    assert_eq!(before["as_measured"], Value::Null);
    assert_eq!(after["as_measured"]["acceptable"], before["acceptable"]);
    assert!(
        after["as_measured"]["missed"]
            .as_array()
            .is_some_and(|missed| !missed.is_empty())
    );
    assert_eq!(after["case"]["judged_as"], "planned");
    holds(
        &after,
        "case/planned[]/",
        "kind string
         where object
         state string",
    );
    assert_eq!(
        after["case"]["planned"][0]["owed"],
        "block out labial flange: wax 0.3 mm, leaving 0.4"
    );
    assert_eq!(after["case"]["planned"][3]["owed"], Value::Null);
    let first = after["remarks"][1].as_str().unwrap();
    assert!(
        first.starts_with("judged as planned, with work that is not measured yet"),
        "{first}"
    );

    let mut as_measured = bench.json(&[
        "check",
        "planned.json",
        "--as-measured",
        "--tilt",
        "1,0",
        "--json",
    ]);
    let said = as_measured["remarks"][1].clone();
    assert_eq!(
        said,
        "judged as measured: none of the planned work is put into effect"
    );
    assert_eq!(as_measured["case"]["judged_as"], "measured");
    for key in ["case", "remarks"] {
        as_measured[key] = before[key].clone();
    }
    assert_eq!(as_measured, before);
}

/// Four lower copings of one taper and height all round, their axes leaning alike.
fn four_copings(lean_deg: f64, taper_deg: f64, height_mm: f64) -> Value {
    let axis = [0.0, lean_deg.to_radians().tan(), 1.0];
    let places = [
        ("44", [17.0, 9.0, 0.0], [-0.5, 0.9, 0.0]),
        ("43", [12.8, 14.5, 0.0], [-0.7, 0.7, 0.0]),
        ("33", [-12.8, 14.5, 0.0], [0.7, 0.7, 0.0]),
        ("34", [-17.0, 9.0, 0.0], [0.5, 0.9, 0.0]),
    ];
    let copings = places.map(|(tooth, centre, mesial)| {
        let mut made = coping(tooth, centre, axis, mesial, [taper_deg; 4]);
        made["height_mm"] = height_mm.into();
        made
    });
    case("Four lower copings for the tests", "mandibular", &copings)
}

/// Cones, so by hand: what binds is the taper off, what is liked the rest up to 10 degrees; wide walls hold nothing,
/// low ones hardly guide; axes that lean alike are what most parallel goes by.
#[test]
fn advice_on_four_copings_is_what_the_cones_say() {
    let bench = Bench::new()
        .with_case("wide.json", &four_copings(0.0, 9.0, 5.0))
        .with_case("low.json", &four_copings(0.0, 9.5, 1.5))
        .with_case("leaning.json", &four_copings(4.0, 6.0, 5.0));
    let near = |value: &Value, by_hand: f64| (value.as_f64().unwrap() - by_hand).abs() < 1e-6;
    let wide = bench.json(&["survey", "wide.json", "--json"]);
    let best = &wide["recommended"];
    assert!(near(&best["tilt"]["total_deg"], 0.0));
    assert!(near(&best["setting_allowance_deg"], 9.0), "{best}");
    assert!(near(&best["preference_allowance_deg"], 1.0), "{best}");
    let said = wide["remarks"].to_string();
    assert!(
        said.contains("more than 8° per wall guide and hold practically nothing"),
        "{said}"
    );
    assert!(!said.contains("lower than 3 mm"), "{said}");

    let low = bench.json(&["survey", "low.json", "--json"])["remarks"].to_string();
    assert!(
        low.contains("guiding walls lower than 3 mm hardly guide"),
        "{low}"
    );
    assert!(low.contains("hold practically nothing"), "{low}");

    // Flat leaves 2 degrees of 6, the 2 wanted; the axes lean 4.
    let leaning = bench.json(&["survey", "leaning.json", "--json"]);
    let alternatives = leaning["alternatives"].as_array().unwrap();
    let parallel = alternatives
        .iter()
        .find(|other| other["name"] == "most_parallel");
    let parallel = parallel.expect("finished copings");
    assert!(
        (parallel["tilt"]["total_deg"].as_f64().unwrap() - 4.0).abs() < 0.03,
        "{parallel}"
    );
    assert!(parallel["rms_axis_deg"].as_f64().unwrap() < 0.03);

    // A little more wanted than flat leaves, and the least tilt that a hand can set takes its place.
    for (wanted_deg, total_deg) in [(1.99, 0.0), (2.01, 1.0)] {
        let mut case = four_copings(4.0, 6.0, 5.0);
        case["limits"] = serde_json::json!({ "allowance_wanted_deg": wanted_deg });
        let bench = Bench::new().with_case("wanted.json", &case);
        let answer = bench.json(&["survey", "wanted.json", "--json", "--no-sensitivity"]);
        let best = &answer["recommended"];
        assert!(
            near(&best["tilt"]["total_deg"], total_deg),
            "{wanted_deg}: {best}"
        );
        assert_eq!(best["reason"]["rule"], "least_with_wanted");
    }
}
