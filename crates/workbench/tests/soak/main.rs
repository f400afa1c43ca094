//! The window in random hands, and killed at random moments.
//!
//! ```text
//! cargo test --workspace --test soak                                a few seconds, like any test
//! cargo test --workspace --test soak -- --minutes 30 --kills 50     as long as one likes
//! cargo test --workspace --test soak -- --seed 7 --minutes 0 --kills 50  kills alone, other ones
//! cargo test --workspace --test soak -- --seed 7 --from 900 --count 63  some moves again
//! ```
//!
//! A move is a pure function of seed and number; what it meets also hangs on what the background has done by
//! then, so a find is tried again before it is told, and told with the shortest call that repeats it. The
//! window is driven without a screen, in a process of its own, which a parent watches: an abort, a hang or a
//! lost child is a find like a panic.
//!
//! * `die`: chance. `moves`: a move of a number. `files`: what is opened, sound and odd. `bench`, `touched`: the
//!   window that moves are carried out on.
//! * `child`: going through moves, and what must hold then; `memory`: what may be kept. `parent`: watching that.
//! * `victim`: working until killed, and telling what is kept. `kills`: killing it, and what must be there then.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::expect_used,
    clippy::panic,
    reason = "a program of the command line, for developers"
)]

#[expect(dead_code, reason = "shared with the tests that compare pictures")]
#[path = "../common/mod.rs"]
mod common;
#[expect(dead_code, reason = "shared with the tests of the window")]
#[path = "../window/driver.rs"]
mod driver;
#[path = "../../../../tests/fuzz/mutate.rs"]
mod mutate;
#[path = "../../../../tests/fuzz/shelf.rs"]
mod shelf;
#[path = "../../../../tests/fuzz/watch.rs"]
mod watch;

mod bench;
mod child;
mod die;
mod files;
mod kills;
mod memory;
mod moves;
mod parent;
mod touched;
mod victim;

use std::path::PathBuf;
use std::process::ExitCode;

#[global_allocator]
static MEMORY: peak_alloc::PeakAlloc = peak_alloc::PeakAlloc;

/// What the command line asks for.
#[derive(Debug, Clone)]
pub(crate) struct Call {
    pub(crate) seed: u64,
    /// How long moves are gone through.
    pub(crate) seconds: f64,
    /// How often a window is killed.
    pub(crate) kills: u64,
    /// As a child: the first number.
    pub(crate) from: Option<u64>,
    /// As a child: how many moves at most.
    pub(crate) count: u64,
    /// As a child that is to be killed: the folder to work in.
    pub(crate) victim: Option<PathBuf>,
}

/// Of a run that says nothing of them: a test among others.
const SECONDS: f64 = 3.0;
const KILLS: u64 = 6;

fn call() -> Result<Call, String> {
    let mut call = Call {
        seed: 1,
        seconds: SECONDS,
        kills: KILLS,
        from: None,
        count: u64::MAX,
        victim: None,
    };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or_else(|| format!("{word} needs a value"));
        let number = |text: String| text.parse::<u64>().map_err(|e| format!("{text}: {e}"));
        let minutes = |text: String| text.parse::<f64>().map_err(|e| format!("{text}: {e}"));
        match word.as_str() {
            "--seed" => call.seed = number(value()?)?,
            "--minutes" => call.seconds = 60.0 * minutes(value()?)?,
            "--kills" => call.kills = number(value()?)?,
            "--from" => call.from = Some(number(value()?)?),
            "--count" => call.count = number(value()?)?,
            "--victim" => call.victim = Some(value()?.into()),
            // What is said to every test program at once.
            _ => {}
        }
    }
    if call.from.is_some() && call.count < u64::MAX {
        call.seconds = f64::INFINITY;
    }
    Ok(call)
}

fn main() -> ExitCode {
    if std::env::args().any(|word| word == "--list") {
        println!("soak: test");
        return ExitCode::SUCCESS;
    }
    match call() {
        Err(wrong) => {
            eprintln!("{wrong}");
            ExitCode::from(2)
        }
        Ok(call) => match (&call.victim, call.from) {
            (Some(folder), _) => victim::run(&call, folder),
            (None, Some(from)) => child::run(&call, from),
            (None, None) => {
                let wrong = [parent::run(&call), kills::run(&call)];
                ExitCode::from(u8::from(wrong.contains(&true)))
            }
        },
    }
}
