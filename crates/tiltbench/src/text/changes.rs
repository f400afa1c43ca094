//! What would open a path, as proposals.

use super::page::Page;
use tiltbench_geometry::tolerance::MET_RAD;
use tiltbench_session::names::Names;
use tiltbench_session::words;
use tiltbench_sheet::format::numbers::angle;
use tiltbench_sheet::format::words::{allowance_in_words, capitalised, tilt_in_words};
use tiltbench_solver::survey::LeastBad;
use tiltbench_solver::{CHANGES_AT_MOST, Survey};

/// How many limits stand in the way, which coping is the odd one out, and the proposals, numbered; or that
/// there is none.
pub(super) fn changes(page: &mut Page, names: Names<'_>, survey: &Survey, least: &LeastBad) {
    page.heading("What would open a path");
    let broken = least.evaluation.broken().count();
    if broken > 1 {
        page.text(&format!(
            "{broken} limits stand in the way at the least bad tilt."
        ));
    }
    if let Some(odd) = survey.odd_coping {
        let coping = names.coping_in_full(odd.coping);
        page.text(&match odd.allowance_rad {
            rad if rad > 0.0 => format!(
                "The odd one out is {coping}: without it a tilt has up to {} of setting allowance.",
                angle(rad)
            ),
            _ => format!("The odd one out is {coping}: without it least is missing."),
        });
    }
    let sets = &survey.changes;
    let fewest = sets.first().map(|set| set.changes.len());
    let Some(fewest) = fewest else {
        page.text(
            "No set of changes was found that leaves a tilt with a setting allowance of 1 degree.",
        );
        return;
    };
    if fewest > CHANGES_AT_MOST {
        page.text(&format!(
            "No set of at most {CHANGES_AT_MOST} changes was found that leaves a tilt with a setting allowance \
             of 1 degree; the smallest that does takes {fewest}:"
        ));
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
        let widest = if set.widest_rad > set.allowance_rad + MET_RAD {
            format!(
                "; up to {} at the most forgiving tilt",
                angle(set.widest_rad)
            )
        } else {
            String::new()
        };
        page.more(
            &mark,
            &format!(
                "Then: {}; total tilt {}; setting allowance {}{widest}.",
                tilt_in_words(tilt, names.arch()),
                angle(tilt.total_rad()),
                allowance_in_words(set.allowance_rad)
            ),
        );
    }
}
