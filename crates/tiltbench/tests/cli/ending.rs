//! Signals: what ends a call, and what does not.

use crate::cases::two_canines;
use crate::program::{Bench, program};
use std::fs;
use std::os::unix::process::ExitStatusExt;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

/// A call that waits for a reader of its output, started with SIGHUP ignored, and the output.
fn waiting(bench: &Bench) -> Child {
    let made = Command::new("mkfifo").arg(bench.path("pipe.csv")).status();
    assert!(made.is_ok_and(|status| status.success()), "mkfifo");
    let call = "trap '' HUP; exec \"$0\" chart case.json --out pipe.csv";
    let child = Command::new("sh")
        .args(["-c", call])
        .arg(program().get_program())
        .current_dir(bench.folder())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let start = Instant::now();
    while !threads(&child).iter().any(|name| name == "ending") {
        assert!(
            start.elapsed() < Duration::from_mins(1),
            "it does not begin"
        );
        std::thread::sleep(Duration::from_millis(2));
    }
    child
}

/// The names of a child's threads.
fn threads(child: &Child) -> Vec<String> {
    let Ok(tasks) = fs::read_dir(format!("/proc/{}/task", child.id())) else {
        return Vec::new();
    };
    let names = tasks
        .flatten()
        .filter_map(|task| fs::read_to_string(task.path().join("comm")).ok());
    names.map(|name| name.trim().to_owned()).collect()
}

fn send(signal: &str, child: &Child) {
    let kill = format!("kill -s {signal} {}", child.id());
    let sent = Command::new("sh").args(["-c", &kill]).status();
    assert!(sent.is_ok_and(|status| status.success()), "{kill}");
}

/// Waits for the end, a minute at most.
fn end(child: &mut Child) -> ExitStatus {
    let start = Instant::now();
    loop {
        if let Some(status) = child.try_wait().unwrap() {
            return status;
        }
        if start.elapsed() > Duration::from_mins(1) {
            child.kill().unwrap();
            panic!("it does not end");
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

#[test]
fn a_call_ends_by_the_signal_that_it_is_sent() {
    for (signal, number) in [("INT", 2), ("TERM", 15)] {
        let bench = Bench::new().with_case("case.json", &two_canines());
        let mut child = waiting(&bench);
        send(signal, &child);
        assert_eq!(end(&mut child).signal(), Some(number));
        assert_eq!(fs::read_dir(bench.folder()).unwrap().count(), 2);
    }
}

#[test]
fn a_signal_that_the_caller_has_had_ignored_ends_nothing() {
    let bench = Bench::new().with_case("case.json", &two_canines());
    let mut child = waiting(&bench);
    send("HUP", &child);
    // Time for the signal to do what it should not.
    std::thread::sleep(Duration::from_millis(200));
    assert_eq!(child.try_wait().unwrap(), None, "it ended");
    let written = fs::read_to_string(bench.path("pipe.csv")).unwrap();
    assert!(written.lines().count() > 100, "{written}");
    assert!(end(&mut child).success());
}
