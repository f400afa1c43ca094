//! What a call writes: never over what it reads, never over a case, and never in silence.

use crate::cases::two_canines;
use crate::program::{Bench, program, run};
use std::fs::{self, File};
use std::process::Stdio;

const CORNER: &str = "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n";

#[test]
fn a_chart_never_replaces_a_case_or_what_it_reads() {
    let bench = Bench::new()
        .with_case("case.json", &two_canines())
        .with_case("other.json", &two_canines());
    let before = fs::read(bench.path("case.json")).unwrap();
    fs::hard_link(bench.path("case.json"), bench.path("hard.csv")).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(bench.path("case.json"), bench.path("soft.svg")).unwrap();
    for out in ["case.json", "./case.json", "hard.csv", "soft.svg"] {
        let message = bench.refused(&["chart", "case.json", "--out", out]);
        assert!(
            message.contains("which this call reads"),
            "{out}: {message}"
        );
    }
    let message = bench.refused(&["chart", "case.json", "--out", "other.json"]);
    assert!(message.contains("a case file"), "{message}");
    let message = bench.refused(&["chart", "case.json", "--out", "a.csv", "./a.csv", "a.csv"]);
    assert!(message.contains("twice"), "{message}");
    for name in ["case.json", "other.json"] {
        assert_eq!(fs::read(bench.path(name)).unwrap(), before);
    }
    assert!(!bench.path("a.csv").exists());
}

#[test]
fn a_mended_copy_never_replaces_the_scan_or_a_case() {
    let bench = Bench::new()
        .with("jaw.ply.obj", CORNER)
        .with_case("case.json", &two_canines());
    fs::hard_link(bench.path("jaw.ply.obj"), bench.path("jaw.ply")).unwrap();
    let message = bench.refused(&["scan", "jaw.ply.obj", "--mend", "jaw.ply"]);
    assert!(message.contains("which this call reads"), "{message}");
    for out in ["case.json", "jaw.obj", "jaw"] {
        let message = bench.refused(&["scan", "jaw.ply.obj", "--mend", out]);
        assert!(message.contains(".ply or .stl"), "{out}: {message}");
    }
    fs::rename(bench.path("case.json"), bench.path("case.stl")).unwrap();
    let message = bench.refused(&["scan", "jaw.ply.obj", "--mend", "case.stl"]);
    assert!(message.contains("a case file"), "{message}");
    assert_eq!(
        fs::read_to_string(bench.path("jaw.ply.obj")).unwrap(),
        CORNER
    );
    for out in ["copy.ply", "copy.STL"] {
        bench.text(&["scan", "jaw.ply.obj", "--mend", out]);
        let copy = bench.json(&["scan", out, "--json"]);
        assert_eq!(copy["triangles"], 4, "{out}");
    }
}

#[test]
fn what_cannot_be_written_is_said_before_the_work_with_a_status_of_its_own() {
    let bench = Bench::new().with_case("case.json", &two_canines());
    let calls: [&[&str]; 2] = [
        &["chart", "case.json", "--out", "first.csv", "none/chart.png"],
        &["scan", "case.json", "--mend", "none/copy.ply"],
    ];
    for call in calls {
        let run = bench.run(call);
        assert_eq!(run.status, 1, "{call:?}: {}", run.stderr);
        assert!(
            run.stderr.contains("No such file or directory"),
            "{}",
            run.stderr
        );
        assert!(!run.stderr.contains(".writing-"), "{}", run.stderr);
    }
    assert!(!bench.path("first.csv").exists());
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_with_what_was_written_before() {
    let bench = Bench::new().with_case("case.json", &two_canines());
    #[cfg(unix)]
    std::os::unix::fs::symlink("/dev/full", bench.path("full.csv")).unwrap();
    let run = bench.run(&["chart", "case.json", "--out", "first.csv", "full.csv"]);
    assert_eq!(run.status, 1, "{}", run.stderr);
    assert!(
        run.stderr.contains("already written: first.csv"),
        "{}",
        run.stderr
    );
    assert!(bench.path("first.csv").exists());
}

#[cfg(target_os = "linux")]
#[test]
fn a_survey_onto_a_full_disk_is_a_failure() {
    let bench = Bench::new().with_case("case.json", &two_canines());
    let full = File::options().write(true).open("/dev/full").unwrap();
    let ended = run(program()
        .args(["survey", "case.json"])
        .current_dir(bench.folder())
        .stdout(Stdio::from(full)));
    assert_eq!(ended.status, 1, "{}", ended.stderr);
    assert!(
        ended.stderr.contains("cannot write to standard output"),
        "{}",
        ended.stderr
    );
}

/// Whoever wants no answer may open the null device for writing, or for reading as well.
#[cfg(unix)]
#[test]
fn an_answer_that_nobody_wants_is_no_failure() {
    let bench = Bench::new().with_case("case.json", &two_canines());
    for read_too in [false, true] {
        let null = File::options().read(read_too).write(true).open("/dev/null");
        let ended = run(program()
            .args(["survey", "case.json"])
            .current_dir(bench.folder())
            .stdout(Stdio::from(null.unwrap())));
        assert_eq!((ended.status, ended.stderr.as_str()), (0, ""));
    }
}
