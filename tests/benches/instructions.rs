//! How many instructions one preview of a tilt takes: what covers a sample, what the gauge meets. Counted by
//! callgrind, so the same on a busy machine; fails beyond [`MOST`].
//!
//! `cargo bench -p tiltbench-tests --bench instructions`
#![expect(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a bench that cannot go on has failed, and says what it counted"
)]

use std::path::Path;
use std::process::Command;
use tiltbench_case::Case;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_tests::{must_run_everything, ridge_of};

/// Set by the bench for the run that is counted.
const COUNTED: &str = "TILTBENCH_COUNTED";

/// Instructions of one preview of a tilt of 6,000 facets: 143.6 million were counted (rustc 1.95, x86-64). A
/// tenth to spare, for compilers.
const MOST: u64 = 158_000_000;

fn main() {
    if std::env::var_os(COUNTED).is_some() {
        preview();
        return;
    }
    let own = std::env::current_exe().expect("a program has a path");
    let counted = Command::new("valgrind")
        .args(["--tool=callgrind", "--callgrind-out-file=/dev/null"])
        .arg("--toggle-collect=*Ridge*preview*")
        .arg(own)
        .env(COUNTED, "1")
        .output();
    let Ok(counted) = counted else {
        assert!(!must_run_everything(), "valgrind is not there");
        println!("NOT MEASURED: valgrind is not there.");
        return;
    };
    let said = String::from_utf8_lossy(&counted.stderr);
    let count: u64 = said
        .lines()
        .find_map(|line| line.split("Collected :").nth(1)?.trim().parse().ok())
        .unwrap_or_else(|| panic!("callgrind counted nothing:\n{said}"));
    println!("one preview: {count} instructions, at most {MOST}");
    assert!(count > MOST / 4, "not what was meant to be counted");
    assert!(count <= MOST, "more instructions than before");
}

/// One tilt, on the thread that callgrind counts.
fn preview() {
    let demo = sample(SampleKind::TwoCanines, 6_000);
    let case = Case::new(&demo.case, Path::new("")).unwrap_or_else(|error| panic!("{error}"));
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .use_current_thread()
        .build()
        .expect("no thread is needed");
    pool.install(|| {
        let cast = demo.mesh.expect("the sample has a cast");
        let ridge = ridge_of(&case, cast).unwrap_or_else(|error| panic!("{error}"));
        let d = Tilt::from_degrees(-6.0, 2.0).expect("a tilt").direction();
        ridge.preview(&d, &|| false).expect("nothing stops it");
    });
}
