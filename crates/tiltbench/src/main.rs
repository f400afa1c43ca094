//! The command line of Tiltbench.
//!
//! Reads a case, asks the solver, and says the answer: as text a technician reads, or as one JSON
//! document. Nothing is computed here.
//!
//! * `args`: the commands and their options. `run`: one command a file.
//! * `answer`: the JSON documents. `text`: the same for people. `remarks`: what both point out.
//! * `defaults`: which limits a case leaves to them.
//! * `output`, `progress`: standard output and standard error.
//!
//! Exit status: 0 answered, also when the answer is that no tilt works; 2 the input or the call
//! cannot be used; 1 the answer could not be written.
#![forbid(unsafe_code)]

mod answer;
mod args;
mod defaults;
mod output;
mod progress;
mod remarks;
mod run;
mod text;

use clap::Parser;
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let args = args::Args::parse();
    let Err(error) = run::run(&args) else {
        return ExitCode::SUCCESS;
    };
    let unwritten = error.downcast_ref::<output::OutputError>().is_some();
    // Where even standard error is closed, the exit status still tells.
    drop(writeln!(std::io::stderr(), "error: {error:#}"));
    ExitCode::from(if unwritten { 1 } else { 2 })
}
