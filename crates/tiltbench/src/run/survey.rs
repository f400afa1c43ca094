//! `survey`: the tilt to set, what limits it, and what else is worth comparing.

use super::Loaded;
use crate::args::SurveyArgs;
use crate::progress::Progress;
use crate::{answer, output, text};
use tiltbench_solver::{SurveyOptions, survey};

pub(super) fn run(args: &SurveyArgs) -> anyhow::Result<()> {
    let progress = Progress::start("reading the case");
    let loaded = Loaded::read(&args.case, &progress)?;
    let options = SurveyOptions {
        held: args.held,
        scales: args.scales.unwrap_or_default(),
    };
    let found = survey(loaded.problem(), &options, &progress)?;
    // The line of progress is gone before the answer comes.
    drop(progress);
    if args.json {
        output::json(&answer::survey(&loaded, &found))?;
    } else {
        output::write(text::survey(&loaded, &found).as_bytes())?;
    }
    Ok(())
}
