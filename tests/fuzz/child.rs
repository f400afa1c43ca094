//! Going through inputs, one after another, in a process that may be lost.
//!
//! Lines on standard output: `at NUMBER` (all before it are done), `find NUMBER WORDS`, `done NUMBER READ
//! ANSWERED GIVEN-UP`.

use crate::Call;
use crate::input::{Target, input};
use crate::targets::{Reached, tried};
use std::any::Any;
use std::io::Write;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;
use std::time::{Duration, Instant};

/// Between lines that say where it is.
const TELLS: Duration = Duration::from_millis(250);

pub(crate) fn run(call: &Call) -> ExitCode {
    let Some(target) = call.target else {
        eprintln!("--target says what is tried");
        return ExitCode::from(2);
    };
    std::panic::set_hook(Box::new(|_| {}));
    if call.show {
        let bytes = input(target, call.seed, call.from.unwrap_or(0));
        return ExitCode::from(u8::from(std::io::stdout().write_all(&bytes).is_err()));
    }
    match &call.input {
        Some(path) => one(target, path),
        None => many(target, call),
    }
}

/// One input from a file.
fn one(target: Target, path: &std::path::Path) -> ExitCode {
    let bytes = match std::fs::read(path) {
        Ok(bytes) => bytes,
        Err(error) => {
            eprintln!("{}: {error}", path.display());
            return ExitCode::from(2);
        }
    };
    match guarded(target, &bytes) {
        Ok(reached) => {
            println!("{}: {reached:?}", path.display());
            ExitCode::SUCCESS
        }
        Err(wrong) => {
            println!("{}: {wrong}", path.display());
            ExitCode::FAILURE
        }
    }
}

fn many(target: Target, call: &Call) -> ExitCode {
    let begun = Instant::now();
    let mut told = begun;
    let (from, [mut read, mut answered, mut given_up]) = (call.from.unwrap_or(0), [0_u64; 3]);
    let mut number = from;
    while number - from < call.count && begun.elapsed().as_secs() < call.seconds {
        if call.each || told.elapsed() >= TELLS {
            println!("at {number}");
            told = Instant::now();
        }
        let bytes = input(target, call.seed, number);
        match steadily(target, &bytes) {
            Ok(Reached::Refused) => {}
            Ok(Reached::Read) => read += 1,
            Ok(Reached::Answered) => answered += 1,
            Ok(Reached::GivenUp) => given_up += 1,
            Err(wrong) => {
                println!("find {number} {}", wrong.replace('\n', " "));
                return ExitCode::FAILURE;
            }
        }
        number += 1;
    }
    println!("done {number} {read} {answered} {given_up}");
    ExitCode::SUCCESS
}

/// A find has to be one three times: a busy machine makes anything slow once.
fn steadily(target: Target, bytes: &[u8]) -> Result<Reached, String> {
    let mut last = guarded(target, bytes);
    for _ in 0..2 {
        if last.is_ok() {
            break;
        }
        last = guarded(target, bytes);
    }
    last
}

fn guarded(target: Target, bytes: &[u8]) -> Result<Reached, String> {
    catch_unwind(AssertUnwindSafe(|| tried(target, bytes)))
        .unwrap_or_else(|panic| Err(format!("panic: {}", words(panic.as_ref()))))
}

fn words(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<String>().cloned();
    text.or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()))
        .unwrap_or_else(|| "without words".to_owned())
}
