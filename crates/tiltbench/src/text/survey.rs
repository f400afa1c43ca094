//! The answer of `survey`, for people.

use super::alternatives::alternatives;
use super::changes::changes;
use super::common_draw::common_draw;
use super::evaluation::tables;
use super::head::{foot, head, limits};
use super::page::Page;
use super::planned::planned;
use super::sensitivity::sensitivity;
use crate::run::Loaded;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::names::Names;
use tiltbench_session::report::{advice, left_for_the_hand, tilt_consequences, tilt_notes};
use tiltbench_session::sensitivity::Steering;
use tiltbench_session::words;
use tiltbench_sheet::format::numbers::angle;
use tiltbench_sheet::format::words::{
    allowance_in_words, capitalised, table_in_words, tilt_in_words,
};
use tiltbench_solver::evaluation::{Evaluation, preference_allowance_rad};
use tiltbench_solver::limit::LimitReading;
use tiltbench_solver::survey::{LeastBad, Recommended};
use tiltbench_solver::{Problem, Survey};

/// Missed limits, beside those that block, that are spelt out; the tables show all.
const ALSO_SPELT_OUT: usize = 3;

/// The whole answer for one case; `as_measured` is the tilt it is about before any planned work, `steering` what
/// steers it, if that was asked for.
pub(crate) fn survey(
    loaded: &Loaded,
    survey: &Survey,
    as_measured: Option<&Evaluation>,
    steering: Option<&[Steering]>,
) -> String {
    let names = Names::new(&loaded.case);
    let problem = loaded.problem();
    let mut page = Page::default();
    let best = survey.recommended.as_ref().map(|best| &best.evaluation);
    let shown = best.or(survey.least_bad.as_ref().map(|least| &least.evaluation));
    let consequences =
        shown.map_or_else(Vec::new, |shown| tilt_consequences(names, &problem, shown));
    head(&mut page, loaded, &consequences);
    let advice = format!("{}.", capitalised(&advice(names, survey)));
    page.text(&advice);
    match (&survey.recommended, &survey.least_bad) {
        (Some(best), _) => recommended(&mut page, names, &problem, best),
        (None, Some(least)) => {
            least_bad(&mut page, names, least);
            changes(&mut page, names, survey, least);
        }
        (None, None) => {}
    }
    planned(&mut page, names, as_measured);
    common_draw(&mut page, names, &problem, survey.common_draw.as_ref());
    let mut remarks = loaded.remarks.clone();
    if let Some(evaluation) = shown {
        tables(&mut page, names, &problem, evaluation);
        remarks.extend(tilt_notes(names, &problem, evaluation, None));
    }
    alternatives(&mut page, names, &problem, survey);
    sensitivity(&mut page, names, survey, steering.unwrap_or_default());
    limits(&mut page, &loaded.case, &problem);
    foot(&mut page, &remarks);
    page.finish()
}

/// What measuring errors leave of a setting allowance, where the case states some.
pub(super) fn net(
    page: &mut Page,
    names: Names<'_>,
    problem: &Problem<'_>,
    (evaluation, allowance_rad): (&Evaluation, f64),
) {
    if let Some(left) = left_for_the_hand(names, problem, evaluation, allowance_rad) {
        page.fact("Left for the hand", &left);
    }
}

/// Within what angle preferences are met: nothing binds beyond, so it is no allowance for the hand.
pub(super) fn preference(page: &mut Page, problem: &Problem<'_>, evaluation: &Evaluation) {
    if let Some(rad) = preference_allowance_rad(problem, &evaluation.direction) {
        page.fact("Preferences met", &format!("within {}", angle(rad)));
    }
}

fn recommended(page: &mut Page, names: Names<'_>, problem: &Problem<'_>, best: &Recommended) {
    page.heading("Recommended tilt");
    setting(page, names, &best.evaluation.tilt);
    page.fact("Setting allowance", &allowance_in_words(best.allowance_rad));
    net(page, names, problem, (&best.evaluation, best.allowance_rad));
    preference(page, problem, &best.evaluation);
    places(page, names, "Governed by", &best.governing);
}

fn least_bad(page: &mut Page, names: Names<'_>, least: &LeastBad) {
    page.heading("Least bad tilt");
    setting(page, names, &least.evaluation.tilt);
    places(page, names, "Blocked by", &least.blocking);
    let others: Vec<LimitReading> = least
        .evaluation
        .broken()
        .filter(|broken| !least.blocking.contains(broken))
        .copied()
        .collect();
    let more = others.len().saturating_sub(ALSO_SPELT_OUT);
    places(page, names, "Also missed", &others[..others.len() - more]);
    if more > 0 {
        page.fact("", &format!("and {more} more, in the tables below"));
    }
}

/// What to set.
pub(super) fn setting(page: &mut Page, names: Names<'_>, tilt: &Tilt) {
    page.text(&format!(
        "{}.",
        capitalised(&tilt_in_words(tilt, names.arch()))
    ));
    page.fact("Total tilt", &angle(tilt.total_rad()));
    page.fact("Two-axis table", &table_in_words(tilt, names.arch()));
}

/// Limits, one a line, under one label.
pub(super) fn places(page: &mut Page, names: Names<'_>, label: &str, limits: &[LimitReading]) {
    for (index, reading) in limits.iter().enumerate() {
        let label = if index == 0 { label } else { "" };
        let place = names.place_in_full(reading.limit.place);
        page.fact(label, &format!("{place}: {}", words::limit(reading)));
    }
}
