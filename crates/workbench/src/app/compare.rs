//! Tilts side by side: what the survey found beside the recommended one, the held one as it is now, and
//! those that were kept.

use super::chart_data::ChartData;
use super::intake::heading;
use super::intent::Intent;
use super::look::{Look, call};
use super::survey::small;
use crate::chart::{Breaks, Named};
use crate::theme::size;
use crate::words;
use egui::{Grid, TextWrapMode, Ui};
use tiltbench_case::Case;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{Command, Derived, Freshness, KeptTilt, Origin, Precision, TiltCommand};
use tiltbench_sheet::format::words::tilt_in_short;
use tiltbench_solver::survey::Alternative;
use tiltbench_solver::{AlternativeName, Survey};

/// Width of the column of names, points: as much as is left, within these.
const NAMES: [f32; 2] = [60.0, 112.0];
/// What the other columns of the comparison take with their gaps, points.
const OTHERS: f32 = 186.0;

/// One tilt of the comparison. What is not known just now is `None`.
struct Row {
    name: AlternativeName,
    tilt: Tilt,
    /// Its setting allowance, or that it has none.
    allowance: Option<String>,
    /// The deepest undercut of a zone and the volume to block out of all, mm and mm³.
    ridge: Option<[f64; 2]>,
}

impl Row {
    fn found(alternative: &Alternative) -> Self {
        let evaluation = &alternative.evaluation;
        let zones = evaluation.zones.iter();
        let depths = zones.map(|zone| zone.undercut_depth_mm);
        Self {
            name: alternative.name,
            tilt: evaluation.tilt,
            allowance: Some(allowance(evaluation.holds(), alternative.allowance_rad)),
            ridge: Some([depths.fold(0.0, f64::max), evaluation.total_blockout_mm3()]),
        }
    }

    /// The held tilt as it is now, whatever it was when the survey was made.
    fn held(tilt: Tilt, derived: &Derived) -> Self {
        let measured = derived.allowance.as_ref().filter(|of| !of.is_stale());
        let allowance = match derived.acceptable() {
            Some(true) => measured.map(|of| allowance(true, of.value.0)),
            // A preference that is broken takes nothing away.
            Some(false) => {
                let left = measured.map_or(0.0, |of| of.value.0);
                Some(allowance(left > 0.0, left))
            }
            None => None,
        };
        let read = derived.zones.as_ref().filter(|of| !of.is_stale());
        let exact = read.filter(|of| of.value.precision == Precision::Exact);
        let ridge = exact.map(|of| {
            let zones = &of.value.zones;
            let depths = zones.iter().map(|zone| zone.undercut_depth_mm);
            let blockout = zones.iter().map(|zone| zone.blockout_mm3).sum();
            [depths.fold(0.0, f64::max), blockout]
        });
        Self {
            name: AlternativeName::Held,
            tilt,
            allowance,
            ridge,
        }
    }
}

fn allowance(holds: bool, rad: f64) -> String {
    if holds {
        words::angle(rad)
    } else {
        "no".to_owned()
    }
}

/// What stands for a figure that is still being worked out.
const PENDING: &str = "pending";

pub(super) fn alternatives_ui(ui: &mut Ui, look: Look<'_>, survey: &Survey, out: &mut Vec<Intent>) {
    let found = survey.alternatives.iter();
    let mut rows: Vec<Row> = found
        .filter(|found| found.name != AlternativeName::Held)
        .map(Row::found)
        .collect();
    if rows.is_empty() {
        return;
    }
    rows.push(Row::held(look.session.document().held(), look.derived()));
    let has_zones = look
        .case()
        .is_some_and(|case| case.cast().is_some() && !case.seat_zones().is_empty());
    heading(ui, "To compare");
    let names = (ui.available_width() - OTHERS).clamp(NAMES[0], NAMES[1]);
    Grid::new("alternatives")
        .num_columns(4)
        .striped(true)
        .spacing([6.0, 4.0])
        .show(ui, |ui| {
            let ridge = if has_zones { "Undercut" } else { "" };
            for title in ["", "Allowance", ridge, ""] {
                ui.label(small(title));
            }
            ui.end_row();
            for row in &rows {
                row_ui(ui, look, row, (names, has_zones), out);
            }
        });
    let mut key =
        "Allowance: how far off the hand may be. No: something binds or is too deep.".to_owned();
    if has_zones {
        key.push_str(" Undercut: the deepest of a zone, and what is blocked out of all.");
    }
    ui.label(small(key));
}

fn row_ui(
    ui: &mut Ui,
    look: Look<'_>,
    row: &Row,
    (names, has_zones): (f32, bool),
    out: &mut Vec<Intent>,
) {
    let name = words::alternative(row.name);
    ui.vertical(|ui| {
        ui.set_width(names);
        ui.label(&name);
        let tilt = tilt_in_short(&row.tilt, look.arch());
        ui.add(egui::Label::new(small(tilt)).wrap());
    });
    match &row.allowance {
        Some(allowance) => ui.label(allowance),
        None => ui.label(small(PENDING)),
    };
    match row.ridge {
        _ if !has_zones => ui.label(""),
        None => ui.label(small(PENDING)),
        Some([depth, blockout]) => {
            let figures = |ui: &mut Ui| {
                ui.style_mut().wrap_mode = Some(TextWrapMode::Extend);
                ui.label(words::length(depth));
                ui.label(small(words::volume(blockout)));
            };
            ui.vertical(figures).response
        }
    };
    if row.name == AlternativeName::Held {
        // It is in the hand already.
        ui.label("");
    } else {
        hold_button(ui, &name, row.tilt, out);
    }
    ui.end_row();
}

fn hold_button(ui: &mut Ui, name: &str, tilt: Tilt, out: &mut Vec<Intent>) {
    let button = ui.button("Hold");
    call(&button, format!("Hold: {name}"));
    if button.clicked() {
        out.push(Intent::Hold(tilt));
    }
}

pub(super) fn kept_ui(ui: &mut Ui, look: Look<'_>, case: &Case, out: &mut Vec<Intent>) {
    let kept = look.session.document().kept_tilts();
    if kept.is_empty() {
        return;
    }
    ui.add_space(size::PAD);
    heading(ui, "Kept");
    for tilt in kept {
        ui.horizontal(|ui| {
            ui.vertical(|ui| {
                ui.set_width(NAMES[1]);
                ui.label(&tilt.name);
                let short = tilt_in_short(&tilt.tilt, look.arch());
                ui.add(egui::Label::new(small(short)).wrap());
            });
            hold_button(ui, &tilt.name, tilt.tilt, out);
            let button = ui.button("Drop");
            call(&button, format!("Drop: {}", tilt.name));
            if button.clicked() {
                let name = tilt.name.clone();
                let drop = Command::Tilt(TiltCommand::Drop { name });
                out.push(Intent::Do(drop, Origin::Form));
            }
        });
        if let Some(limit) = nearest_limit(look, case, &tilt) {
            ui.label(small(limit));
        }
    }
}

/// The limit a kept tilt breaks first, or comes nearest to, off the chart; `None` while that is not
/// there for the case as it is.
fn nearest_limit(look: Look<'_>, case: &Case, kept: &KeptTilt) -> Option<String> {
    let derived = look.derived();
    let chart = derived.chart.as_ref();
    let chart = chart.filter(|chart| chart.freshness == Freshness::Current);
    if !derived.is_case() || (case.zones_decide() && chart.is_none()) {
        return None;
    }
    let ridge = chart.map(|chart| &*chart.chart);
    let Named { limit, breaks } = ChartData::read(ridge, case, [&kept.tilt; 2]).first?;
    Some(match breaks {
        Breaks::Nowhere => format!("Nearest limit {limit}"),
        Breaks::Already | Breaks::OnTheWay => format!("Breaks {limit}"),
    })
}
