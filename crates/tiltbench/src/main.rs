//! The command line of Tiltbench.
//!
//! Reads a case, asks the solver, and says the answer: as text a technician reads, or as one JSON
//! document. Nothing is computed here.
//!
//! * `args`: the commands and their options. `run`: one command a file.
//! * `answer`: the JSON documents. `text`: the same for people.
//! * `output`, `progress`: standard output and standard error.
//!
//! Exit status: 0 answered, also when the answer is that no tilt works; 2 the input or the call
//! cannot be used; 1 the answer could not be written.
#![forbid(unsafe_code)]

mod answer;
mod args;
mod output;
mod progress;
mod run;
mod text;

use clap::Parser;
use std::io::Write;
use std::process::ExitCode;

/// An error and its causes, from the outermost inward; a cause that was said already is not said again.
fn words(error: &anyhow::Error) -> String {
    let mut text = error.to_string();
    for cause in error.chain().skip(1).map(ToString::to_string) {
        if !text.contains(&cause) {
            text = format!("{text}: {cause}");
        }
    }
    text
}

fn main() -> ExitCode {
    let args = args::Args::parse();
    let Err(error) = run::run(&args) else {
        return ExitCode::SUCCESS;
    };
    let unwritten = error.downcast_ref::<output::OutputError>().is_some();
    // Where even standard error is closed, the exit status still tells.
    drop(writeln!(std::io::stderr(), "error: {}", words(&error)));
    ExitCode::from(if unwritten { 1 } else { 2 })
}

#[cfg(test)]
mod tests {
    use super::words;
    use anyhow::{Context, anyhow};

    #[test]
    fn a_cause_is_said_once() {
        let cause = || std::io::Error::other("no room");
        let outer: anyhow::Result<()> = Err(cause()).context("cannot write: no room: x.csv");
        assert_eq!(words(&outer.unwrap_err()), "cannot write: no room: x.csv");
        let outer: anyhow::Result<()> = Err(cause()).context("cannot write").context("x.csv");
        assert_eq!(words(&outer.unwrap_err()), "x.csv: cannot write: no room");
        assert_eq!(words(&anyhow!("plain")), "plain");
    }
}
