//! Which limits steer the recommended tilt.

use super::page::Page;
use tiltbench_session::names::Names;
use tiltbench_session::report::{steered, steering_limit};
use tiltbench_session::sensitivity::Steering;
use tiltbench_sheet::format::words::capitalised;
use tiltbench_solver::Survey;

/// Each limit that governs or that flat breaks, tighter and looser; nothing where there is none.
pub(super) fn sensitivity(
    page: &mut Page,
    names: Names<'_>,
    survey: &Survey,
    steering: &[Steering],
) {
    let Some(best) = survey.recommended.as_ref().filter(|_| !steering.is_empty()) else {
        return;
    };
    page.heading("What the limits steer");
    page.text(
        "The recommended tilt with one limit a fifth tighter or looser, at least by 0.5° or 0.1 mm.",
    );
    for one in steering {
        page.item("-", &capitalised(&steering_limit(names, one)));
        for line in steered(names, &best.evaluation.tilt, one) {
            page.more("-", &capitalised(&line));
        }
    }
}
