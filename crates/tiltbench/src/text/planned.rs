//! Planned work: what is owed, and what the tilt was before it.

use super::page::Page;
use super::survey::places;
use tiltbench_case::schema::v1::PlannedState;
use tiltbench_geometry::work::Work;
use tiltbench_session::names::Names;
use tiltbench_session::report::owed;
use tiltbench_sheet::format::numbers::hundredths_mm;
use tiltbench_sheet::format::words::capitalised;
use tiltbench_solver::evaluation::Evaluation;
use tiltbench_solver::limit::LimitReading;

/// The work that is put into effect, and the same tilt without it; nothing where nothing is planned.
pub(super) fn planned(page: &mut Page, names: Names<'_>, as_measured: Option<&Evaluation>) {
    let Some(before) = as_measured else { return };
    page.heading("Planned work: owed until it is done and measured");
    for owed in owed(names) {
        let state = match owed.state {
            PlannedState::Done => " (said to be done)",
            _ => "",
        };
        let here = match names.case().planned()[owed.index].work {
            Work::Blockout { zone, blockout } => {
                let depth_mm = before
                    .zones
                    .get(zone)
                    .map_or(0.0, |zone| zone.undercut_depth_mm);
                let wax_mm = depth_mm - blockout.left_of_mm(depth_mm);
                format!("; {} mm of it at this tilt", hundredths_mm(wax_mm))
            }
            _ => String::new(),
        };
        page.item("-", &format!("{}{here}{state}.", capitalised(&owed.text)));
    }
    if before.acceptable {
        page.text("As measured, without this work, the tilt is acceptable too.");
        return;
    }
    page.text("As measured, without this work, the tilt is not acceptable:");
    let missed: Vec<LimitReading> = before.broken().copied().collect();
    places(page, names, "Missed", &missed);
}
