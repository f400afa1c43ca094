//! Watching the process that goes through the inputs.

use crate::Call;
use crate::input::{Target, input};
use crate::watch::{program, watch};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{ExitCode, Stdio};

/// What a child came to.
enum End {
    /// It went through all of it: the number after the last, and how many were read, answered, given up.
    Done([u64; 4]),
    /// It found something.
    Found(u64, String),
    /// It was lost after this number was told.
    Lost(u64, String),
}

pub(crate) fn run(call: &Call) -> ExitCode {
    let mut wrong = again(call);
    let targets: Vec<Target> = match call.target {
        Some(target) => vec![target],
        None => Target::ALL.to_vec(),
    };
    let each = Call {
        seconds: (call.seconds / targets.len() as u64).max(1),
        ..call.clone()
    };
    for target in targets {
        match through(&each, target) {
            Ok([tried, read, answered, given_up]) => println!(
                "{}: {tried} inputs, {read} read, {answered} surveyed, {given_up} given up; nothing found",
                target.name()
            ),
            Err((number, words)) => {
                wrong += 1;
                kept(call, target, number, &words);
            }
        }
    }
    if wrong == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// Tries again what was found before; says how many of them are still wrong.
fn again(call: &Call) -> u32 {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/finds");
    let mut wrong = 0;
    for target in Target::ALL {
        if call.target.is_some_and(|wanted| wanted != target) {
            continue;
        }
        let Ok(entries) = fs::read_dir(folder.join(target.name())) else {
            continue;
        };
        let mut paths: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
        paths.sort();
        for path in paths {
            let mut command = program();
            command
                .args(["--target", target.name(), "--input"])
                .arg(&path);
            let ended = command.stdout(Stdio::inherit()).status();
            if !ended.is_ok_and(|status| status.success()) {
                println!("found before, and wrong again: {}", path.display());
                wrong += 1;
            }
        }
    }
    wrong
}

fn through(call: &Call, target: Target) -> Result<[u64; 4], (u64, String)> {
    match watched(call, target, 0, call.count, false) {
        End::Done(counts) => Ok(counts),
        End::Found(number, words) => Err((number, words)),
        // It goes through the same again, one by one, to tell which it was.
        End::Lost(near, words) => match watched(call, target, near, 1_000_000, true) {
            End::Found(number, words) | End::Lost(number, words) => Err((number, words)),
            End::Done(_) => Err((near, format!("near this number, and not again: {words}"))),
        },
    }
}

fn watched(call: &Call, target: Target, from: u64, count: u64, each: bool) -> End {
    let mut command = program();
    let numbers = [
        ("--seed", call.seed),
        ("--seconds", call.seconds),
        ("--from", from),
        ("--count", count),
    ];
    command.args(["--target", target.name()]);
    for (name, number) in numbers {
        command.arg(name).arg(number.to_string());
    }
    if each {
        command.arg("--each");
    }
    watch(&mut command, from, ended).unwrap_or_else(|(at, how)| End::Lost(at, how))
}

fn ended(line: &str) -> Option<End> {
    if let Some(rest) = line.strip_prefix("find ") {
        let (number, words) = rest.split_once(' ')?;
        return Some(End::Found(number.parse().ok()?, words.to_owned()));
    }
    let rest = line.strip_prefix("done ")?;
    let counts: Vec<u64> = rest
        .split(' ')
        .filter_map(|word| word.parse().ok())
        .collect();
    counts.try_into().ok().map(End::Done)
}

/// Tells a find and keeps its input.
fn kept(call: &Call, target: Target, number: u64, words: &str) {
    let bytes = input(target, call.seed, number);
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../target/fuzz-finds");
    let path = folder.join(format!("{}-{}-{number}", target.name(), call.seed));
    let shown: String = words.chars().take(2_000).collect();
    println!(
        "{}: seed {}, number {number}: {shown}",
        target.name(),
        call.seed
    );
    if bytes.len() <= 2_000 {
        println!("the input: b\"{}\"", bytes.escape_ascii());
    }
    let written = fs::create_dir_all(&folder).and_then(|()| fs::write(&path, bytes));
    match written {
        Ok(()) => println!("kept as {}", path.display()),
        Err(error) => println!("not kept: {error}"),
    }
}
