//! Where no window can be opened: the sample case as text, and `open` refused.

use crate::program::{self, Bench, Run, program};
use std::process::Command;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Screens without glass look for a free number, and two at a time may find the same one.
fn one_screen_at_a_time() -> MutexGuard<'static, ()> {
    static SCREEN: Mutex<()> = Mutex::new(());
    SCREEN.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The sample as text, after one line that says what is missing; and `open` refused.
fn assert_told(what: &str, command: &dyn Fn(&[&str]) -> Command) {
    let alone = run(&mut command(&[]));
    assert_eq!(alone.status, 0, "{}", alone.stderr);
    assert!(
        alone.stdout.contains("Recommended tilt"),
        "{}",
        alone.stdout
    );
    let first = alone.stderr.lines().next().unwrap();
    assert!(
        first.contains(what) && first.contains("as text"),
        "{}",
        alone.stderr
    );
    assert!(!alone.stderr.contains("panicked"), "{}", alone.stderr);
    let open = run(&mut command(&["open", "sample-cases/walls-only.json"]));
    assert_eq!(open.status, 2, "{}", open.stderr);
    assert!(open.stderr.contains(what), "{}", open.stderr);
    assert!(open.stderr.contains("tiltbench survey"), "{}", open.stderr);
    assert_eq!(open.stderr.lines().count(), 1, "{}", open.stderr);
    assert!(open.stdout.is_empty());
}

/// Runs it. A screen whose temporary folder is still being written to when it is to go says so with a status of its
/// own, which is none of the program's: it is tried again then.
fn run(command: &mut Command) -> Run {
    let mut tries = 0;
    loop {
        let told = program::run(command);
        tries += 1;
        let of_the_screen = told.status == 5 && told.stderr.contains("xvfb-run: error");
        if !of_the_screen || tries == 3 {
            return told;
        }
    }
}

fn repository() -> &'static str {
    concat!(env!("CARGO_MANIFEST_DIR"), "/../..")
}

/// Without an adapter it is the same, whether the screen is there or is only named.
#[test]
fn without_an_adapter_the_sample_is_surveyed_and_open_is_refused() {
    let _alone = one_screen_at_a_time();
    let lacking = |mut command: Command, args: &[&str]| {
        command
            .args(args)
            .env("WGPU_BACKEND", "vulkan")
            .env("VK_DRIVER_FILES", "/nonexistent")
            .env("VK_ICD_FILENAMES", "/nonexistent")
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("WAYLAND_SOCKET")
            .current_dir(repository());
        command
    };
    assert_told("no graphics adapter", &|args| {
        let mut command = lacking(program(), args);
        command.env("DISPLAY", ":4711");
        command
    });
    if let Some(screened) = screened() {
        assert_told("no graphics adapter", &|args| lacking(screened(), args));
    }
}

/// A library that opens windows with a panic where another one is missing: told like the rest.
#[cfg(target_os = "linux")]
#[test]
fn without_a_library_of_the_screen_the_sample_is_surveyed_and_open_is_refused() {
    let _alone = one_screen_at_a_time();
    let Some(screened) = screened() else {
        return;
    };
    let bench = Bench::new()
        .with("libxkbcommon-x11.so", "no library")
        .with("libxkbcommon-x11.so.0", "no library");
    assert_told("libxkbcommon-x11", &|args| {
        let mut command = screened();
        command
            .args(args)
            .env("LD_LIBRARY_PATH", bench.folder())
            // Without one some drivers complain on standard error.
            .env("XDG_RUNTIME_DIR", bench.folder())
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("WAYLAND_SOCKET")
            .current_dir(repository());
        command
    });
}

/// The program on a screen without glass; `None` where there is none to be had, which fails in CI.
fn screened() -> Option<fn() -> Command> {
    let there = Command::new("xvfb-run").arg("--help").output().is_ok();
    assert!(
        there || std::env::var_os("CI").is_none(),
        "CI has no xvfb-run"
    );
    there.then_some(|| {
        let mut command = Command::new("xvfb-run");
        command
            .args(["--auto-servernum", env!("CARGO_BIN_EXE_tiltbench")])
            .env_remove("COLUMNS")
            .env("NO_COLOR", "1");
        command
    })
}

/// Without a screen the first command of the README still does the main job, and `open` says why
/// it cannot.
#[test]
fn without_a_screen_the_sample_is_surveyed_and_open_is_refused() {
    let blind = |args: &[&str]| {
        let mut command = program();
        command
            .args(args)
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("WAYLAND_SOCKET")
            .current_dir(repository());
        command
    };
    assert_told("no display", &blind);
    let folder = run(&mut blind(&["open", "sample-cases"]));
    assert_eq!(folder.status, 2);
    assert!(
        folder.stderr.contains("sample-cases is a folder"),
        "{}",
        folder.stderr
    );
    let nothing = run(&mut blind(&["open", "no-such-case.json"]));
    assert_eq!(nothing.status, 2);
    assert!(
        nothing.stderr.contains("no-such-case.json"),
        "{}",
        nothing.stderr
    );
}

/// The self-test of bad input ends soon, and says why.
#[test]
fn the_self_test_of_what_cannot_be_shown_ends_with_an_error() {
    let _alone = one_screen_at_a_time();
    let Some(screened) = screened() else {
        return;
    };
    let mut without_scan = crate::cases::ridge_only();
    without_scan["cast"]["scan"] = "gone.obj".into();
    let bench = Bench::new()
        .with("text.json", "hello")
        .with("damaged.stl", "solid x\nfacet normal 0 0 1\n")
        .with_case("gone.json", &without_scan)
        .with(
            "spoiled.json",
            r#"{"format": "tiltbench-case", "version": [1, 1], "arch": "left"}"#,
        );
    for (name, words) in [
        ("text.json", "not JSON"),
        ("damaged.stl", "ends too early"),
        ("gone.json", "gone.obj"),
        ("spoiled.json", "mandibular"),
    ] {
        let begun = std::time::Instant::now();
        let told = run(screened()
            .args(["--self-test", "out.png", "open", name])
            .env("XDG_CONFIG_HOME", bench.folder())
            .current_dir(bench.folder()));
        if told.stderr.contains("no graphics adapter") {
            assert!(std::env::var_os("CI").is_none(), "CI has no adapter");
            return;
        }
        assert_eq!(told.status, 2, "{name}: {}", told.stderr);
        assert!(told.stderr.contains(words), "{name}: {}", told.stderr);
        assert!(
            begun.elapsed().as_secs() < 60,
            "{name}: {:?}",
            begun.elapsed()
        );
        assert!(!bench.path("out.png").exists());
    }
}
