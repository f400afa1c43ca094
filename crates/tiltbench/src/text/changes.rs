//! What would open a path, as proposals.

use super::page::Page;
use tiltbench_session::names::Names;
use tiltbench_session::words;
use tiltbench_sheet::format::numbers::angle;
use tiltbench_sheet::format::words::{allowance_in_words, capitalised, tilt_in_words};
use tiltbench_solver::ChangeSet;

/// The proposals, numbered; or that there is none.
pub(super) fn changes(page: &mut Page, names: Names<'_>, sets: &[ChangeSet]) {
    page.heading("What would open a path");
    if sets.is_empty() {
        page.text(
            "No set of at most three changes was found that leaves a tilt with a setting allowance \
             of 1 degree.",
        );
        return;
    }
    for (index, set) in sets.iter().enumerate() {
        let mark = format!("{}.", index + 1);
        for (nth, change) in set.changes.iter().enumerate() {
            let text = format!("{}.", words::change(names, change));
            if nth == 0 {
                page.item(&mark, &capitalised(&text));
            } else {
                page.more(&mark, &format!("And {text}"));
            }
        }
        let tilt = &set.result.tilt;
        page.more(
            &mark,
            &format!(
                "Then: {}; total tilt {}; setting allowance {}.",
                tilt_in_words(tilt, names.arch()),
                angle(tilt.total_rad()),
                allowance_in_words(set.allowance_rad)
            ),
        );
    }
}
