//! Hostile input, made by mutation from sound files: every reader of scans, the reader of cases, and the
//! way from case and scan to a survey.
//!
//! ```text
//! cargo test --workspace --test fuzz                                a few seconds, like any test
//! cargo test --workspace --test fuzz -- --seconds 60                as long as one likes
//! cargo test --workspace --test fuzz -- --target case --seed 7      one target, other inputs
//! cargo test --workspace --test fuzz -- --input FILE --target case  one input again
//! cargo test --workspace --test fuzz -- --target case --from 5 --show  the input of a number
//! ```
//!
//! An input is a pure function of target, seed and number, so that nothing is written down while it runs. It
//! runs in a process of its own, which a parent watches: an abort, a hang or a lost child is a find like a
//! panic. What is found is written to `target/fuzz-finds` and told with its seed and number; it becomes a
//! named test, and its file may join `tests/fuzz/finds`, which is gone through first in every run.
//!
//! * `input`: an input of a number. `seeds`, `shelf`: what it is made from. `mutate`: how.
//! * `targets`: what is done with it, and what must hold then. `agree`: cases in range, survey against check.
//! * `budget`: what it may cost.
//! * `child`: going through inputs. `parent`: watching that, by `watch`.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::expect_used,
    reason = "a program of the command line, for developers"
)]

mod agree;
mod budget;
mod child;
mod input;
mod mutate;
mod parent;
mod seeds;
mod shelf;
mod targets;
mod watch;

use input::Target;
use std::path::PathBuf;
use std::process::ExitCode;

#[global_allocator]
static MEMORY: peak_alloc::PeakAlloc = peak_alloc::PeakAlloc;

/// What the command line asks for.
#[derive(Debug, Clone)]
pub(crate) struct Call {
    /// One target; all in turn by default.
    pub(crate) target: Option<Target>,
    pub(crate) seed: u64,
    /// How long all targets together are gone through.
    pub(crate) seconds: u64,
    /// How many inputs of each target at most.
    pub(crate) count: u64,
    /// One input, from a file.
    pub(crate) input: Option<PathBuf>,
    /// As a child: the first number.
    pub(crate) from: Option<u64>,
    /// As a child: each number is told before it is tried.
    pub(crate) each: bool,
    /// As a child: the input of the first number is shown, and nothing tried.
    pub(crate) show: bool,
}

/// Seconds of a run that says nothing of them: a test among others.
const SECONDS: u64 = 6;

fn call() -> Result<Call, String> {
    let mut call = Call {
        target: None,
        seed: 1,
        seconds: SECONDS,
        count: u64::MAX,
        input: None,
        from: None,
        each: false,
        show: false,
    };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or_else(|| format!("{word} needs a value"));
        let number = |text: String| text.parse::<u64>().map_err(|e| format!("{text}: {e}"));
        match word.as_str() {
            "--target" => call.target = Some(Target::named(&value()?)?),
            "--seed" => call.seed = number(value()?)?,
            "--seconds" => call.seconds = number(value()?)?,
            "--count" => call.count = number(value()?)?,
            "--input" => call.input = Some(value()?.into()),
            "--from" => call.from = Some(number(value()?)?),
            "--each" => call.each = true,
            "--show" => call.show = true,
            // What is said to every test program at once.
            _ => {}
        }
    }
    Ok(call)
}

fn main() -> ExitCode {
    if std::env::args().any(|word| word == "--list") {
        println!("fuzz: test");
        return ExitCode::SUCCESS;
    }
    match call() {
        Err(wrong) => {
            eprintln!("{wrong}");
            ExitCode::from(2)
        }
        Ok(call) if call.input.is_some() || call.from.is_some() => child::run(&call),
        Ok(call) => parent::run(&call),
    }
}
