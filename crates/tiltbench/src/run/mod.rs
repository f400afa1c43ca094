//! The commands, one a file; `load` brings a case and its cast in.
mod chart;
mod check;
mod completions;
mod demo;
mod ending;
mod load;
mod outputs;
mod scan;
mod survey;
mod window;

pub(crate) use load::Loaded;
pub(crate) use scan::{Mending, Scanned};

use crate::args::{Args, Command};
use anyhow::Context;
use tiltbench_workbench::app::run::Purpose;

/// Does what was asked.
///
/// # Errors
/// What is wrong with the input or the call, as one message; or an
/// [`OutputError`](crate::output::OutputError).
pub(crate) fn run(args: &Args) -> anyhow::Result<()> {
    ending::watch();
    if let Some(threads) = args.threads {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .thread_name(|index| format!("worker {index}"))
            .build_global()
            .context("the threads cannot be started; give a smaller --threads")?;
    }
    match &args.command {
        None => window::run_sample(&window::purpose(args)),
        Some(command) => run_command(command, &window::purpose(args)),
    }
}

fn run_command(command: &Command, purpose: &Purpose) -> anyhow::Result<()> {
    match command {
        Command::Open { case } => window::run_open(case, purpose),
        Command::Survey(args) => survey::run(args),
        Command::Check(args) => check::run(args),
        Command::Chart(args) => chart::run(args),
        Command::Scan(args) => scan::run(args),
        Command::Demo(args) => demo::run(args),
        Command::Completions { shell } => completions::run(*shell),
    }
}
