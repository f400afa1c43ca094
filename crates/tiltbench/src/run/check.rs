//! `check`: one tilt of the user's, judged.

use super::Loaded;
use crate::args::CheckArgs;
use crate::progress::Progress;
use crate::{answer, output, text};
use tiltbench_solver::check;

pub(super) fn run(args: &CheckArgs) -> anyhow::Result<()> {
    let progress = Progress::start("reading the case");
    let loaded = Loaded::read(&args.case, &progress)?;
    progress.work("judging the tilt");
    let checked = check(loaded.problem(), args.tilt, &progress)?;
    drop(progress);
    if args.json {
        output::json(&answer::check(&loaded, &checked))?;
    } else {
        output::write(text::check(&loaded, &checked).as_bytes())?;
    }
    Ok(())
}
