//! Tilts side by side.

use super::page::Page;
use super::table::{Align, Table};
use tiltbench_session::names::Names;
use tiltbench_session::words;
use tiltbench_sheet::format::numbers::{amount, angle, millimetres};
use tiltbench_sheet::format::words::tilt_in_short;
use tiltbench_solver::evaluation::Evaluation;
use tiltbench_solver::{Problem, Survey, parallelism_rad};

/// The answer and its alternatives as one table.
pub(super) fn alternatives(
    page: &mut Page,
    names: Names<'_>,
    problem: &Problem<'_>,
    survey: &Survey,
) {
    let mut table = Table::new([
        ("Choice", Align::Left),
        ("Lowered", Align::Left),
        ("Total", Align::Right),
        ("Allowance", Align::Right),
        ("Deepest", Align::Right),
        ("Owed", Align::Right),
        ("Axes", Align::Right),
    ]);
    let (mut zones, mut walls) = (false, false);
    let mut row = |name: &str, evaluation: &Evaluation, allowance_rad: Option<f64>| {
        let depths = evaluation.zones.iter().map(|zone| zone.undercut_depth_mm);
        let deepest = depths.reduce(f64::max);
        let rms = parallelism_rad(problem.copings, &evaluation.direction);
        zones |= deepest.is_some();
        walls |= rms.is_some();
        table.row([
            name.to_owned(),
            tilt_in_short(&evaluation.tilt, names.arch()),
            angle(evaluation.tilt.total_rad()),
            match allowance_rad.filter(|_| evaluation.holds()) {
                Some(allowance) => angle(allowance),
                None => "none".into(),
            },
            deepest.map_or_else(String::new, millimetres),
            deepest.map_or_else(String::new, |_| {
                amount(evaluation.total_blockout_owed_mm3())
            }),
            rms.map_or_else(String::new, angle),
        ]);
    };
    if let Some(best) = &survey.recommended {
        row("recommended", &best.evaluation, Some(best.allowance_rad));
    }
    if let Some(least) = &survey.least_bad {
        row("least bad", &least.evaluation, None);
    }
    for other in &survey.alternatives {
        row(
            &words::alternative(other.name),
            &other.evaluation,
            Some(other.allowance_rad),
        );
    }
    page.heading("Side by side");
    page.table(&table);
    let mut legend =
        "Allowance: setting allowance in any direction, none where something binds or \
                      is too deep."
            .to_owned();
    if zones {
        legend.push_str(" Deepest: undercut depth of the deepest zone, mm. Owed: the blockout beyond what may stay, mm³.");
    }
    if walls {
        legend
            .push_str(" Axes: root mean square of the angles to the axes of the finished copings.");
    }
    page.text(&legend);
}
