//! Calls: how options are written, exit status, what goes where.

use crate::cases::{canines_on_ridge, ridge_only, ridge_scan, three_cones, two_canines};
use crate::program::{Bench, program, run};
use std::process::Stdio;

#[test]
fn tilts_may_begin_with_a_minus() {
    let bench = Bench::new().with_case("case.json", &two_canines());
    let forms: [&[&str]; 4] = [
        &["--tilt", "-4.5,2"],
        &["--tilt=-4.5,2"],
        &["--tilt", " -4.5 , +2.0 "],
        &["--tilt", "-45e-1,2"],
    ];
    let answers = forms.map(|form| {
        let args = [&["check", "case.json", "--json"], form].concat();
        bench.json(&args)
    });
    let tilt = &answers[0]["tilt"];
    assert!((tilt["anterior_deg"].as_f64().unwrap() + 4.5).abs() < 1e-12);
    assert!((tilt["lateral_deg"].as_f64().unwrap() - 2.0).abs() < 1e-12);
    assert!(answers.iter().all(|answer| answer == &answers[0]));
    for (tilt, words) in [
        ("4.5", "two angles"),
        ("1,2,3", "two angles"),
        ("a,2", "not a number"),
        ("nan,0", "85 degrees"),
        ("90,0", "85 degrees"),
        ("--json", "two angles"),
    ] {
        let message = bench.refused(&["check", "case.json", "--tilt", tilt]);
        assert!(message.contains(words), "{tilt}: {message}");
    }
    bench.refused(&["check", "case.json"]);
}

#[test]
fn no_common_path_is_an_answer() {
    let bench = Bench::new().with_case("case.json", &three_cones(9.0));
    let text = bench.text(&["survey", "case.json"]);
    assert!(text.contains("No tilt is acceptable"), "{text}");
    let run = bench.run(&["check", "case.json", "--tilt", "0,0", "--json"]);
    assert_eq!(run.status, 0);
}

#[test]
fn scales_weigh_what_is_missed() {
    // One wall 2 degrees short, and a zone too deep by some tenths of a millimetre.
    let bench = Bench::new().with_case("case.json", &three_cones(9.0));
    let worst = |scales: &str| {
        let answer = bench.json(&["survey", "case.json", "--json", "--scales", scales]);
        answer["least_bad"]["worst_overrun"].as_f64().unwrap()
    };
    // Only walls are missed, by 1 degree: in twice the scale that is half as much.
    assert!((worst("wall=1") - 1.0).abs() < 0.01, "{}", worst("wall=1"));
    assert!((worst("wall=2,zone=1") - 0.5).abs() < 0.01);
    let message = bench.refused(&["survey", "case.json", "--scales", "wax=1"]);
    assert!(message.contains("wall, metal, tilt and zone"), "{message}");
}

#[test]
fn short_work_leaves_standard_error_empty() {
    let bench = Bench::new().with_case("case.json", &two_canines());
    for args in [
        &["survey", "case.json", "--json"][..],
        &["survey", "case.json"],
        &["check", "case.json", "--tilt", "1,1"],
        &["completions", "bash"],
        &["demo", "--list"],
    ] {
        let run = bench.run(args);
        assert_eq!((run.status, run.stderr.as_str()), (0, ""), "{args:?}");
        assert!(run.stdout.ends_with('\n'), "{args:?}");
        assert!(!run.stdout.contains('\u{1b}'), "{args:?}");
    }
}

#[test]
fn every_number_of_threads_gives_the_same_bytes() {
    let bench = Bench::new()
        .with_case("case.json", &canines_on_ridge())
        .with("ridge.obj", ridge_scan(false));
    let with = |threads: &str| {
        let run = bench.run(&["survey", "case.json", "--json", "--threads", threads]);
        assert_eq!(run.status, 0, "{}", run.stderr);
        run.stdout
    };
    assert_eq!(with("1"), with("3"));
    bench.refused(&["survey", "case.json", "--threads", "0"]);
}

#[test]
fn text_is_at_most_100_columns_wide() {
    let mut long = two_canines();
    long["copings"][0]["id"] = "a coping with a name that goes on and on".into();
    let bench = Bench::new()
        .with_case("long.json", &long)
        .with_case("none.json", &three_cones(9.0))
        .with_case("ridge.json", &ridge_only())
        .with("ridge.obj", ridge_scan(false));
    for args in [
        &["survey", "long.json"][..],
        &["survey", "none.json"],
        &["check", "ridge.json", "--tilt", "-5,1"],
        &["scan", "ridge.obj"],
    ] {
        for line in bench.text(args).lines() {
            assert!(line.chars().count() <= 100, "{args:?}: {line}");
            assert_eq!(line.trim_end(), line, "{args:?}");
        }
    }
}

#[test]
fn the_caution_comes_last() {
    let bench = Bench::new()
        .with_case("some.json", &two_canines())
        .with_case("none.json", &three_cones(9.0));
    for args in [
        &["survey", "some.json"][..],
        &["survey", "none.json"],
        &["check", "some.json", "--tilt", "0,0"],
    ] {
        let text = bench.text(args);
        let (_, last) = text.rsplit_once("\n\n").unwrap();
        assert!(last.starts_with("Caution\n"), "{last}");
        for words in ["surveyor", "dentist decides", "not a medical"] {
            assert!(last.contains(words), "{words}: {last}");
        }
    }
}

#[test]
fn help_has_an_example_for_every_command() {
    let bench = Bench::new();
    for command in [
        "open",
        "survey",
        "check",
        "chart",
        "scan",
        "demo",
        "completions",
    ] {
        let text = bench.text(&[command, "--help"]);
        let example = format!("tiltbench {command}");
        let (_, after) = text
            .split_once("Example")
            .unwrap_or_else(|| panic!("{text}"));
        assert!(after.contains(&example), "{text}");
    }
    assert!(bench.text(&["--help"]).contains("Example"));
    assert!(bench.text(&["--version"]).starts_with("tiltbench "));
    assert!(bench.refused(&["surwey", "x"]).contains("surwey"));
}

#[test]
fn completions_name_the_commands() {
    let bench = Bench::new();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = bench.text(&["completions", shell]);
        assert!(
            script.contains("survey") && script.contains("held"),
            "{shell}"
        );
    }
}

#[test]
fn demo_lists_and_does_not_replace() {
    let bench = Bench::new().with("walls-only.json", "mine");
    let list = bench.text(&["demo", "--list"]);
    assert_eq!(list.lines().count(), 6, "{list}");
    let message = bench.refused(&["demo", "--out", "."]);
    assert!(
        message.contains("walls-only.json") && message.contains("--force"),
        "{message}"
    );
    assert_eq!(
        std::fs::read(bench.path("walls-only.json")).unwrap(),
        b"mine"
    );
    assert_eq!(std::fs::read_dir(bench.folder()).unwrap().count(), 1);
    bench.refused(&["demo", "--list", "--force"]);
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    for args in [
        &["completions", "bash"][..],
        &["demo", "--list"],
        &["--help"],
    ] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let ended = run(program().args(args).stdout(Stdio::from(writer)));
        assert_eq!((ended.status, ended.stderr.as_str()), (0, ""), "{args:?}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn an_answer_that_cannot_be_written_is_a_failure() {
    let full = std::fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let ended = run(program()
        .args(["completions", "bash"])
        .stdout(Stdio::from(full)));
    assert_eq!(ended.status, 1);
    assert!(
        ended.stderr.contains("cannot write to standard output"),
        "{}",
        ended.stderr
    );
}

#[test]
fn a_chart_is_written_in_every_form_asked_for() {
    let bench = Bench::new()
        .with_case("case.json", &canines_on_ridge())
        .with("ridge.obj", ridge_scan(false));
    let out = ["c.csv", "c.json", "c.svg", "c.png"];
    let args = [&["chart", "case.json", "--held", "-1,2", "--out"], &out[..]].concat();
    let said = bench.text(&args);
    assert_eq!(said.lines().count(), 4, "{said}");
    let read = |name: &str| std::fs::read(bench.path(name)).unwrap();
    let csv = String::from_utf8(read("c.csv")).unwrap();
    let columns = csv.lines().next().unwrap().split(',').count();
    assert_eq!(columns, 6 + 3 * 2);
    assert!(csv.lines().all(|line| line.split(',').count() == columns));
    assert!(csv.lines().count() > 2000);
    let json: serde_json::Value = serde_json::from_slice(&read("c.json")).unwrap();
    let points = json["points"].as_array().unwrap();
    assert_eq!(points.len(), csv.lines().count() - 1);
    assert_eq!(points[0]["zones"].as_array().unwrap().len(), 2);
    assert!((json["reach_deg"].as_f64().unwrap() - 20.0).abs() < 1e-9);
    let svg = String::from_utf8(read("c.svg")).unwrap();
    for words in [
        "anterior lowered",
        "licensed dentist decides",
        "recommended",
    ] {
        assert!(svg.contains(words), "{words}");
    }
    assert!(read("c.png").starts_with(b"\x89PNG"));

    for (name, words) in [("c.pdf", "csv, .json, .svg or .png"), ("c", "csv")] {
        let message = bench.refused(&["chart", "case.json", "--out", name]);
        assert!(message.contains(words), "{name}: {message}");
    }
    assert!(
        bench
            .refused(&["chart", "case.json", "--out", "c.csv", "--reach", "40"])
            .contains("1 to 25")
    );
}

/// Zones without a cast: every row has the columns that the heading has, empty, and every point a null for
/// each zone.
#[test]
fn a_chart_of_zones_without_a_cast_is_a_full_table() {
    let mut made = canines_on_ridge();
    made.as_object_mut().unwrap().remove("cast");
    let bench = Bench::new().with_case("case.json", &made);
    bench.text(&["chart", "case.json", "--out", "c.csv", "c.json"]);
    let csv = std::fs::read_to_string(bench.path("c.csv")).unwrap();
    let mut rows = csv.lines();
    let columns = rows.next().unwrap().split(',').count();
    assert_eq!(columns, 6 + 3 * 2);
    for row in rows {
        assert_eq!(row.split(',').count(), columns, "{row}");
        assert!(row.ends_with(",,,,,,"), "{row}");
    }
    let json: serde_json::Value =
        serde_json::from_slice(&std::fs::read(bench.path("c.json")).unwrap()).unwrap();
    assert_eq!(json["zones"].as_array().unwrap().len(), 2);
    for point in json["points"].as_array().unwrap() {
        assert_eq!(point["zones"], serde_json::json!([null, null]));
    }
    assert!(json["within"].is_null());
    let remarks = json["remarks"].to_string();
    assert!(remarks.contains("seat zones but no cast"), "{remarks}");
}

/// What a chart's figures may be off is said with it, and remarked on where it is wider than asked: a sheet
/// of large facets turns under by whole facets.
#[test]
fn a_chart_of_a_coarse_cast_says_what_it_keeps() {
    let bench = Bench::new()
        .with_case("case.json", &ridge_only())
        .with("ridge.obj", ridge_scan(false));
    bench.text(&["chart", "case.json", "--reach", "4", "--out", "c.json"]);
    let json = std::fs::read(bench.path("c.json")).unwrap();
    let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
    let kept = |key: &str| json["within"][key].as_f64().unwrap();
    let asked = kept("undercut_depth_mm") <= 0.03
        && kept("undercut_area_share_of_zone") <= 0.005
        && kept("blockout_mm3") <= 0.5;
    let remarks = json["remarks"].to_string();
    assert_eq!(
        asked,
        !remarks.contains("changes in steps"),
        "{remarks} {}",
        json["within"]
    );
}
