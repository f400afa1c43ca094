//! What would open a path, as proposals.

use super::page::Page;
use crate::names::Names;
use tiltbench_geometry::coping::Side;
use tiltbench_sheet::format::numbers::{angle, degrees, hundredths_mm, tenths_mm};
use tiltbench_sheet::format::words::{allowance_in_words, capitalised, tilt_in_words};
use tiltbench_solver::{Change, ChangeSet, Problem};

/// The proposals, numbered; or that there is none.
pub(super) fn changes(
    page: &mut Page,
    names: Names<'_>,
    problem: &Problem<'_>,
    sets: &[ChangeSet],
) {
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
            let text = in_words(names, problem, change);
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

fn in_words(names: Names<'_>, problem: &Problem<'_>, change: &Change) -> String {
    match *change {
        Change::Retaper {
            coping,
            side,
            by_rad,
            metal_mm,
        } => {
            let metal = metal_mm.map_or_else(String::new, |metal| {
                let metal = hundredths_mm(metal);
                format!("; it takes {metal} mm of metal at the edge")
            });
            let remake = if change.is_remake() {
                ", more than can be taken off: remake the coping"
            } else {
                ""
            };
            let turn = retaper(names, problem, (coping, side), by_rad);
            format!("{turn}{metal}{remake}.")
        }
        Change::Unguide {
            coping,
            side,
            short_by_rad,
        } => format!(
            "leave {} out of guiding; it falls short by {} per wall.",
            names.wall_in_full(coping, side),
            angle(short_by_rad)
        ),
        Change::Clear { zone, depth_mm } => {
            let zone = names.zone(zone);
            let depth = tenths_mm(depth_mm);
            if change.is_relief() {
                format!("relieve the base over {zone} by {depth} mm.")
            } else {
                format!("block out {zone} to a depth of {depth} mm.")
            }
        }
    }
}

fn retaper(
    names: Names<'_>,
    problem: &Problem<'_>,
    (coping, side): (usize, Side),
    by_rad: f64,
) -> String {
    let sign = if by_rad > 0.0 { "+" } else { "" };
    let from_to = problem.copings[coping]
        .wall(side)
        .map_or_else(String::new, |wall| {
            let (from, to) = (wall.taper_rad, wall.taper_rad + by_rad);
            format!(", from {}° to {}", degrees(from), angle(to))
        });
    format!(
        "retaper {} by {sign}{} per wall{from_to}",
        names.wall_in_full(coping, side),
        angle(by_rad)
    )
}
