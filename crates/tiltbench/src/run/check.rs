//! `check`: one tilt of the user's, judged.

use super::Loaded;
use crate::args::CheckArgs;
use crate::progress::Progress;
use crate::{answer, output, text};
use tiltbench_solver::check;
use tiltbench_solver::evaluation::evaluate;

pub(super) fn run(args: &CheckArgs) -> anyhow::Result<()> {
    let progress = Progress::start("reading the case");
    let mut loaded = Loaded::read(&args.case, args.as_measured, &progress)?;
    let tilt = args.set.tilt(loaded.case.arch())?;
    progress.work("judging the tilt");
    let (evaluation, allowance_rad) = if args.no_allowance {
        (evaluate(&loaded.problem(), tilt), None)
    } else {
        let (evaluation, allowance_rad) = check(loaded.problem(), tilt, &progress)?;
        (evaluation, Some(allowance_rad))
    };
    let as_measured = loaded.as_measured(tilt);
    let overhung = loaded.column_remarks(&evaluation);
    loaded.remarks.extend(overhung);
    drop(progress);
    if args.json {
        let answer = answer::check(&loaded, &evaluation, allowance_rad, as_measured.as_ref());
        output::json(&answer)?;
    } else {
        let text = text::check(&loaded, &evaluation, allowance_rad, as_measured.as_ref());
        output::write(text.as_bytes())?;
    }
    Ok(())
}
