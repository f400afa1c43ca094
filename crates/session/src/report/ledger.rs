//! The ledger of a case as tables: every wall, zone, pair and the table against their limits, at the held tilt.

use super::measured::with_estimate;
use crate::derived::{Derived, Precision};
use crate::names::Names;
use crate::words::{judged, limit as limit_in_words, missed_in_full};
use std::time::{SystemTime, UNIX_EPOCH};
use tiltbench_case::Case;
use tiltbench_sheet::figures::ledger::{LedgerFigure, Row, Side, Table};
use tiltbench_sheet::format::numbers::{amount, degrees, hundredths_mm, millimetres};
use tiltbench_solver::evaluation::{OpposingReading, WallReading};
use tiltbench_solver::limit::{LimitKind, LimitReading, Place};

/// The ledger of a case as it stands; `lines` say which tilt and how that stands.
pub fn ledger_figure(case: &Case, derived: &Derived, lines: Vec<String>) -> LedgerFigure {
    let limits = derived.limits();
    let walls = derived.walls.iter().flat_map(|walls| &walls.walls);
    let (roots, finished): (Vec<_>, Vec<_>) = walls.partition(|wall| wall.metal.is_some());
    let tables = [
        finished_walls(case, &limits, &finished),
        prepared_walls(case, &limits, &roots),
        opposing_walls(case, derived),
        zones(case, derived, &limits),
        others(case, &limits),
    ];
    let tilt_remarks = derived.tilt_remarks.as_ref().filter(|of| !of.is_stale());
    let of_tilt = tilt_remarks.iter().flat_map(|of| of.value.iter().cloned());
    LedgerFigure {
        title: case.title().to_owned(),
        lines,
        tables: tables
            .into_iter()
            .filter(|table| !table.rows.is_empty())
            .collect(),
        remarks: of_tilt
            .chain(derived.ridge_remarks.iter().cloned())
            .collect(),
        made: format!(
            "Made on {} with Tiltbench {}",
            today(),
            env!("CARGO_PKG_VERSION")
        ),
    }
}

/// The limits of a place that are missed, in words, or that all are met.
fn state(place: Place, limits: &[LimitReading], else_: &str) -> (String, bool) {
    let here = limits.iter().filter(|reading| reading.limit.place == place);
    let missed: Vec<String> = here
        .clone()
        .filter(|reading| !reading.met)
        .map(|reading| {
            let what = crate::words::limited_in_full(reading.limit.kind);
            format!("{what} {}", missed_in_full(reading))
        })
        .collect();
    if !missed.is_empty() {
        (missed.join(", "), true)
    } else if here.count() == 0 {
        (else_.to_owned(), false)
    } else {
        ("met".to_owned(), false)
    }
}

/// What a limit of a place allows, in the figures of its kind.
fn bound(place: Place, kind: LimitKind, limits: &[LimitReading]) -> Option<f64> {
    let mut here = limits.iter().map(|reading| reading.limit);
    let limit = here.find(|limit| limit.place == place && limit.kind == kind)?;
    Some(limit.bound)
}

/// A figure with as many digits as tell it from its limit; `None` without one.
fn against(place: Place, kind: LimitKind, limits: &[LimitReading]) -> Option<String> {
    let mut here = limits.iter();
    let reading =
        here.find(|reading| reading.limit.place == place && reading.limit.kind == kind)?;
    reading.value.is_finite().then(|| judged(reading).against())
}

/// Metal that can be milled at all.
fn metal(thickness_mm: f64) -> String {
    if thickness_mm.is_finite() {
        millimetres(thickness_mm)
    } else {
        "none".to_owned()
    }
}

fn range(bounds: [Option<String>; 2]) -> String {
    match bounds {
        [Some(least), Some(most)] => format!("{least} to {most}"),
        [Some(least), None] => format!("at least {least}"),
        [None, Some(most)] => format!("at most {most}"),
        [None, None] => String::new(),
    }
}

fn finished_walls(case: &Case, limits: &[LimitReading], walls: &[&WallReading]) -> Table {
    let names = Names::new(case);
    let row = |wall: &&WallReading| {
        let place = Place::Wall(wall.coping, wall.side);
        let (state, is_missed) = state(place, limits, "does not guide");
        let state = with_estimate(case, wall, state);
        let of = |kind| bound(place, kind, limits).map(degrees);
        Row {
            cells: vec![
                names.coping(wall.coping),
                names.side(wall.coping, wall.side).to_owned(),
                against(place, LimitKind::DraftMin, limits)
                    .unwrap_or_else(|| degrees(wall.draft.least_rad)),
                against(place, LimitKind::DraftMax, limits)
                    .unwrap_or_else(|| degrees(wall.draft.centre_rad)),
                degrees(wall.draft.most_rad),
                range([of(LimitKind::DraftMin), of(LimitKind::DraftMax)]),
                state,
            ],
            is_missed,
        }
    };
    Table {
        heading: "Walls: draft per wall, degrees".to_owned(),
        columns: vec![
            ("Coping", Side::Left),
            ("Wall", Side::Left),
            ("Least", Side::Right),
            ("Centre", Side::Right),
            ("Most", Side::Right),
            ("Least and centre allowed", Side::Left),
            ("State", Side::Left),
        ],
        rows: walls.iter().map(row).collect(),
    }
}

fn prepared_walls(case: &Case, limits: &[LimitReading], walls: &[&WallReading]) -> Table {
    let names = Names::new(case);
    let row = |wall: &&WallReading| {
        let place = Place::Wall(wall.coping, wall.side);
        let (state, is_missed) = state(place, limits, "does not guide");
        let state = with_estimate(case, wall, state);
        let of = |kind| bound(place, kind, limits).map(millimetres);
        let [least, most] = wall
            .metal
            .map_or([f64::NAN; 2], |metal| [metal.least_mm, metal.most_mm]);
        Row {
            cells: vec![
                names.coping(wall.coping),
                names.side(wall.coping, wall.side).to_owned(),
                against(place, LimitKind::MetalMin, limits).unwrap_or_else(|| metal(least)),
                against(place, LimitKind::MetalMax, limits).unwrap_or_else(|| metal(most)),
                range([of(LimitKind::MetalMin), of(LimitKind::MetalMax)]),
                degrees(wall.draft.centre_rad),
                state,
            ],
            is_missed,
        }
    };
    Table {
        heading: "Walls before waxing: metal, mm, and draft of the root per wall, degrees"
            .to_owned(),
        columns: vec![
            ("Coping", Side::Left),
            ("Wall", Side::Left),
            ("Least metal", Side::Right),
            ("Most metal", Side::Right),
            ("Allowed", Side::Left),
            ("Root, centre", Side::Right),
            ("State", Side::Left),
        ],
        rows: walls.iter().map(row).collect(),
    }
}

fn opposing_walls(case: &Case, derived: &Derived) -> Table {
    let names = Names::new(case);
    let pairs = derived.walls.iter().flat_map(|walls| &walls.opposing);
    let row = |reading: &OpposingReading| Row {
        cells: vec![
            names.coping(reading.coping),
            names.pair(reading.coping, reading.convergence.pair),
            degrees(reading.convergence.of_coping_rad),
            degrees(reading.convergence.for_draw_rad),
        ],
        is_missed: false,
    };
    Table {
        heading: "Opposing walls: total convergence, the sum of both walls, degrees".to_owned(),
        columns: vec![
            ("Coping", Side::Left),
            ("Walls", Side::Left),
            ("Of the coping", Side::Right),
            ("For this draw", Side::Right),
        ],
        rows: pairs.map(row).collect(),
    }
}

fn zones(case: &Case, derived: &Derived, limits: &[LimitReading]) -> Table {
    let names = Names::new(case);
    let read = derived.zones.as_ref();
    let how = match read {
        Some(zones) if zones.is_stale() => ", of an earlier state",
        Some(zones) if zones.value.precision == Precision::Coarse => ", roughly",
        Some(_) => "",
        None => ", not read yet",
    };
    let row = |zone: usize| {
        let figure = read.and_then(|zones| zones.value.zones.get(zone));
        let (state, is_missed) = state(Place::Zone(zone), limits, "reported, does not decide");
        let limit = bound(Place::Zone(zone), LimitKind::ZoneDepth, limits);
        let capped = figure.is_some_and(|figure| figure.exact.is_some_and(|of| of.depth_capped));
        let depth = figure.map_or_else(String::new, |figure| {
            let cast_mm = figure.undercut_depth_mm;
            let judged = against(Place::Zone(zone), LimitKind::ZoneDepth, limits);
            let asked = &case.seat_zones()[zone];
            let depth = if asked.blockout.is_some() {
                let left = judged.unwrap_or_else(|| millimetres(asked.left_of_mm(cast_mm)));
                format!("{}, after wax {left}", millimetres(cast_mm))
            } else {
                judged.unwrap_or_else(|| millimetres(cast_mm))
            };
            if capped { format!("≥{depth}") } else { depth }
        });
        Row {
            cells: vec![
                names.zone(zone),
                depth,
                limit.map_or_else(String::new, hundredths_mm),
                figure.map_or_else(String::new, |figure| amount(figure.blockout_mm3)),
                if figure.is_some() {
                    state
                } else {
                    String::new()
                },
            ],
            is_missed,
        }
    };
    Table {
        heading: format!("Denture-bearing area: undercut depth, mm, and blockout, mm³{how}"),
        columns: vec![
            ("Zone", Side::Left),
            ("Depth", Side::Right),
            ("Limit", Side::Right),
            ("Blockout", Side::Right),
            ("State", Side::Left),
        ],
        rows: (0..case.seat_zones().len()).map(row).collect(),
    }
}

/// Pairs of zones and the table.
fn others(case: &Case, limits: &[LimitReading]) -> Table {
    let names = Names::new(case);
    let is_other = |place| matches!(place, Place::Zones(_) | Place::Table);
    let these = limits
        .iter()
        .filter(|reading| is_other(reading.limit.place));
    Table {
        heading: "Limits of pairs and of the table".to_owned(),
        columns: vec![
            ("", Side::Left),
            ("Figure", Side::Left),
            ("State", Side::Left),
        ],
        rows: these
            .map(|reading| Row {
                cells: vec![
                    names.place(reading.limit.place),
                    limit_in_words(reading),
                    if reading.met {
                        "met".to_owned()
                    } else {
                        missed_in_full(reading)
                    },
                ],
                is_missed: !reading.met,
            })
            .collect(),
    }
}

/// Today's date, by the clock of the machine in UTC.
#[expect(
    clippy::disallowed_methods,
    reason = "a page says on which day it was made; no result hangs on it"
)]
fn today() -> String {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let days = since.map_or(0, |since| since.as_secs() / 86_400);
    date(i64::try_from(days).unwrap_or(0))
}

/// A day of the Gregorian calendar, counted from 1 January 1970, as ISO 8601 writes it.
///
/// Source: E. G. Richards, "Calendars", in the Explanatory Supplement to the Astronomical Almanac, 3rd edition
/// (2013), section 15.11.3: from the Julian day number, 2 440 588 on that day.
fn date(days: i64) -> String {
    let julian = days + 2_440_588;
    let f = julian + 1401 + (4 * julian + 274_277) / 146_097 * 3 / 4 - 38;
    let e = 4 * f + 3;
    let h = 5 * (e % 1461 / 4) + 2;
    let day = h % 153 / 5 + 1;
    let month = (h / 153 + 2) % 12 + 1;
    let year = e / 1461 - 4716 + (14 - month) / 12;
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_dates() {
        // Source: ISO 8601; the leap days of 2000 and 2024, and 2100, which has none.
        for (days, expected) in [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (19_782, "2024-02-29"),
            (20_788, "2026-12-01"),
            (47_540, "2100-02-28"),
            (47_541, "2100-03-01"),
        ] {
            assert_eq!(date(days), expected);
        }
    }
}
