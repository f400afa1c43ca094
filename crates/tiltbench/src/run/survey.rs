//! `survey`: the tilt to set, what limits it, and what else is worth comparing.

use super::Loaded;
use crate::args::SurveyArgs;
use crate::progress::Progress;
use crate::{answer, output, text};
use tiltbench_solver::{SurveyOptions, survey};

pub(super) fn run(args: &SurveyArgs) -> anyhow::Result<()> {
    let progress = Progress::start("reading the case");
    let mut loaded = Loaded::read(&args.case, args.as_measured, &progress)?;
    let options = SurveyOptions {
        arch: loaded.case.arch(),
        held: args.held,
        scales: args.scales.unwrap_or_default(),
    };
    let found = survey(loaded.problem(), &options, &progress)?;
    let steering = (!args.no_sensitivity)
        .then(|| loaded.sensitivity(&found, &options, &progress))
        .transpose()?;
    let shown = found.recommended.as_ref().map(|best| &best.evaluation);
    let shown = shown.or(found.least_bad.as_ref().map(|least| &least.evaluation));
    let as_measured = shown.and_then(|shown| loaded.as_measured(shown.tilt));
    let overhung = shown.map_or_else(Vec::new, |shown| loaded.column_remarks(shown));
    loaded.remarks.extend(overhung);
    // The line of progress is gone before the answer comes.
    drop(progress);
    if args.json {
        output::json(&answer::survey(
            &loaded,
            &found,
            as_measured.as_ref(),
            steering.as_deref(),
        ))?;
    } else {
        output::write(
            text::survey(&loaded, &found, as_measured.as_ref(), steering.as_deref()).as_bytes(),
        )?;
    }
    Ok(())
}
