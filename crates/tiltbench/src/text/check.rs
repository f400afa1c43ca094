//! The answer of `check`, for people.

use super::evaluation::tables;
use super::head::{foot, head, limits};
use super::page::Page;
use super::planned::planned;
use super::survey::{net, places, preference, setting};
use crate::run::Loaded;
use tiltbench_session::names::Names;
use tiltbench_session::report::{tilt_consequences, tilt_notes};
use tiltbench_sheet::format::words::allowance_in_words;
use tiltbench_solver::evaluation::Evaluation;
use tiltbench_solver::limit::LimitReading;

/// One tilt of the user's, judged.
pub(crate) fn check(
    loaded: &Loaded,
    evaluation: &Evaluation,
    allowance_rad: Option<f64>,
    as_measured: Option<&Evaluation>,
) -> String {
    let names = Names::new(&loaded.case);
    let problem = loaded.problem();
    let mut page = Page::default();
    let consequences = tilt_consequences(names, &problem, evaluation);
    head(&mut page, loaded, &consequences);
    page.heading(if evaluation.acceptable {
        "This tilt is acceptable"
    } else {
        "This tilt is not acceptable"
    });
    setting(&mut page, names, &evaluation.tilt);
    if evaluation.holds() {
        let allowance = allowance_rad.map_or_else(|| "not asked for".into(), allowance_in_words);
        page.fact("Setting allowance", &allowance);
        if let Some(rad) = allowance_rad {
            net(&mut page, names, &problem, (evaluation, rad));
        }
        preference(&mut page, &problem, evaluation);
    }
    let broken: Vec<LimitReading> = evaluation.broken().copied().collect();
    places(&mut page, names, "Missed", &broken);
    planned(&mut page, names, as_measured);
    tables(&mut page, names, &problem, evaluation);
    let mut remarks = loaded.remarks.clone();
    remarks.extend(tilt_notes(names, &problem, evaluation, None));
    limits(&mut page, &loaded.case, &problem);
    foot(&mut page, &remarks);
    page.finish()
}
