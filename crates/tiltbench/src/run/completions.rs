//! `completions`: a completion script for a shell.

use crate::args::Args;
use crate::output;
use clap::CommandFactory;
use clap_complete::{Shell, generate};

pub(super) fn run(shell: Shell) -> anyhow::Result<()> {
    let mut script = Vec::new();
    generate(shell, &mut Args::command(), "tiltbench", &mut script);
    output::write(&script)?;
    Ok(())
}
