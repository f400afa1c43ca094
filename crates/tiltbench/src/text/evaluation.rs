//! The tables of one tilt: walls, opposing walls, seat zones.

use super::page::Page;
use super::table::{Align, Table};
use tiltbench_geometry::coping::WallBasis;
use tiltbench_geometry::undercut::ZoneReading;
use tiltbench_geometry::work::Standing;
use tiltbench_session::names::Names;
use tiltbench_session::report::with_estimate;
use tiltbench_session::words::{bound, judged, missed};
use tiltbench_sheet::format::numbers::{amount, degrees, millimetres};
use tiltbench_solver::Problem;
use tiltbench_solver::evaluation::{Evaluation, WallReading};
use tiltbench_solver::limit::{LimitKind, LimitReading, Place};

/// All tables of an evaluation of `problem`; those with nothing in them are left out.
pub(super) fn tables(
    page: &mut Page,
    names: Names<'_>,
    problem: &Problem<'_>,
    evaluation: &Evaluation,
) {
    let finished =
        |wall: &&WallReading| matches!(problem.copings[wall.coping].basis, WallBasis::Finished);
    let (finished, prepared): (Vec<_>, Vec<_>) = evaluation.walls.iter().partition(finished);
    let tables = [
        (
            "Walls at this tilt: drafts per wall, in degrees; undercut in mm",
            finished_walls(names, evaluation, &finished),
        ),
        (
            "Prepared walls at this tilt: drafts of the root per wall, in degrees; metal in mm",
            prepared_walls(names, evaluation, &prepared),
        ),
        (
            "Opposing walls: total convergence, the sum of both walls, in degrees",
            opposing(names, evaluation),
        ),
        (
            "Denture-bearing area at this tilt: depths in mm, areas in mm², blockout in mm³",
            zones(names, evaluation),
        ),
    ];
    for (heading, table) in tables.iter().filter(|(_, table)| !table.is_empty()) {
        page.heading(heading);
        page.table(table);
    }
    zone_sums(page, names, evaluation);
}

/// The limits of one place.
fn limits_at(evaluation: &Evaluation, place: Place) -> impl Iterator<Item = &LimitReading> {
    evaluation
        .limits
        .iter()
        .filter(move |reading| reading.limit.place == place)
}

fn limit_of(wall: &WallReading, evaluation: &Evaluation, kind: LimitKind) -> Option<LimitReading> {
    limits_at(evaluation, Place::Wall(wall.coping, wall.side))
        .find(|reading| reading.limit.kind == kind)
        .copied()
}

/// `0.0 to 10.0`.
fn allowed(from: Option<LimitReading>, to: Option<LimitReading>) -> String {
    match (from, to) {
        (Some(from), Some(to)) => {
            let [from, to] = [from, to].map(|r| bound(r.limit.kind, r.limit.bound));
            format!("{from} to {to}")
        }
        _ => String::new(),
    }
}

/// What the limits of a place come to: `met`, or what is missed.
fn state<'a>(readings: impl Iterator<Item = &'a LimitReading>) -> String {
    let broken: Vec<String> = readings
        .filter(|reading| !reading.met)
        .map(missed)
        .collect();
    if broken.is_empty() {
        "met".into()
    } else {
        broken.join(", ")
    }
}

/// Names of coping and wall; the coping only where it changes.
struct Rows<'a> {
    names: Names<'a>,
    last: Option<usize>,
}

impl<'a> Rows<'a> {
    fn new(names: Names<'a>) -> Self {
        Self { names, last: None }
    }

    fn coping(&mut self, coping: usize) -> String {
        if self.last.replace(coping) == Some(coping) {
            String::new()
        } else {
            self.names.coping(coping)
        }
    }
}

fn finished_walls(names: Names<'_>, evaluation: &Evaluation, walls: &[&WallReading]) -> Table {
    let mut table = Table::new([
        ("Coping", Align::Left),
        ("Wall", Align::Left),
        ("Centre", Align::Right),
        ("Least", Align::Right),
        ("Most", Align::Right),
        ("Allowed", Align::Right),
        ("Undercut", Align::Right),
        ("State", Align::Left),
    ]);
    let mut rows = Rows::new(names);
    for wall in walls {
        let least = limit_of(wall, evaluation, LimitKind::DraftMin);
        let most = limit_of(wall, evaluation, LimitKind::DraftMax);
        let place = Place::Wall(wall.coping, wall.side);
        let undercut = wall.undercut_mm > tiltbench_geometry::tolerance::MET_MM;
        let shown = |reading: Option<LimitReading>, draft| {
            reading.map_or_else(|| degrees(draft), |reading| judged(&reading).against())
        };
        table.row([
            rows.coping(wall.coping),
            names.side(wall.coping, wall.side).to_owned(),
            shown(most, wall.draft.centre_rad),
            shown(least, wall.draft.least_rad),
            degrees(wall.draft.most_rad),
            allowed(least, most),
            if undercut {
                overhang(wall.undercut_mm)
            } else {
                String::new()
            },
            with_estimate(
                names.case(),
                wall,
                match (standing(names, wall), wall.guides, undercut) {
                    (Some(standing), ..) => standing.into(),
                    (_, true, _) => state(limits_at(evaluation, place)),
                    (_, false, true) => "undercut, not judged".into(),
                    (_, false, false) => "not judged".into(),
                },
            ),
        ]);
    }
    table
}

/// What becomes of a coping that does not stay as it is.
fn standing(names: Names<'_>, wall: &WallReading) -> Option<&'static str> {
    match names.case().copings()[wall.coping].standing {
        Standing::Stays => None,
        Standing::Reprepared => Some("to be made anew"),
        Standing::Omitted => Some("left out"),
    }
}

/// What is not zero never shows as zero.
fn overhang(undercut_mm: f64) -> String {
    let shown = millimetres(undercut_mm);
    if shown == "0.00" {
        "<0.05".into()
    } else {
        shown
    }
}

fn prepared_walls(names: Names<'_>, evaluation: &Evaluation, walls: &[&WallReading]) -> Table {
    let mut table = Table::new([
        ("Coping", Align::Left),
        ("Wall", Align::Left),
        ("Centre", Align::Right),
        ("Least", Align::Right),
        ("Most", Align::Right),
        ("Least metal", Align::Right),
        ("Most metal", Align::Right),
        ("Allowed", Align::Right),
        ("State", Align::Left),
    ]);
    let mut rows = Rows::new(names);
    for wall in walls {
        let least = limit_of(wall, evaluation, LimitKind::MetalMin);
        let most = limit_of(wall, evaluation, LimitKind::MetalMax);
        let place = Place::Wall(wall.coping, wall.side);
        let shown = |reading: Option<LimitReading>, metal: Option<f64>| match (reading, metal) {
            (Some(reading), _) => judged(&reading).against(),
            (None, Some(metal)) => millimetres(metal),
            (None, None) => String::new(),
        };
        table.row([
            rows.coping(wall.coping),
            names.side(wall.coping, wall.side).to_owned(),
            degrees(wall.draft.centre_rad),
            degrees(wall.draft.least_rad),
            degrees(wall.draft.most_rad),
            shown(least, wall.metal.map(|metal| metal.least_mm)),
            shown(most, wall.metal.map(|metal| metal.most_mm)),
            allowed(least, most),
            with_estimate(
                names.case(),
                wall,
                match (standing(names, wall), wall.guides) {
                    (Some(standing), _) => standing.into(),
                    (_, true) => state(limits_at(evaluation, place)),
                    (_, false) => "not judged".into(),
                },
            ),
        ]);
    }
    table
}

fn opposing(names: Names<'_>, evaluation: &Evaluation) -> Table {
    let mut table = Table::new([
        ("Coping", Align::Left),
        ("Pair", Align::Left),
        ("Of the coping", Align::Right),
        ("For this draw", Align::Right),
    ]);
    let mut rows = Rows::new(names);
    for reading in &evaluation.opposing {
        table.row([
            rows.coping(reading.coping),
            names.pair(reading.coping, reading.convergence.pair),
            degrees(reading.convergence.of_coping_rad),
            degrees(reading.convergence.for_draw_rad),
        ]);
    }
    table
}

fn zones(names: Names<'_>, evaluation: &Evaluation) -> Table {
    let mut table = Table::new([
        ("Zone", Align::Left),
        ("Area", Align::Right),
        ("Depth", Align::Right),
        ("After wax", Align::Right),
        ("Limit", Align::Right),
        ("Undercut", Align::Right),
        (">0.25", Align::Right),
        (">0.50", Align::Right),
        (">0.75", Align::Right),
        ("Blockout", Align::Right),
        ("State", Align::Left),
    ]);
    for (index, zone) in evaluation.zones.iter().enumerate() {
        let reading = limits_at(evaluation, Place::Zone(index)).next();
        let [quarter, half, three_quarters] = zone.area_beyond_mm2.map(amount);
        table.row([
            names.zone(index),
            amount(zone.area_mm2),
            depth(zone, reading),
            waxed(names, index, zone, reading),
            reading.map_or_else(
                || "none".into(),
                |reading| bound(reading.limit.kind, reading.limit.bound),
            ),
            amount(zone.undercut_area_mm2),
            quarter,
            half,
            three_quarters,
            amount(zone.blockout_mm3),
            zone_state(zone, reading),
        ]);
    }
    table
}

/// The depth that planned blockout leaves; nothing where none is planned.
fn waxed(
    names: Names<'_>,
    index: usize,
    zone: &ZoneReading,
    reading: Option<&LimitReading>,
) -> String {
    let asked = &names.case().seat_zones()[index];
    match (asked.blockout, reading) {
        (None, _) => String::new(),
        (Some(_), Some(reading)) => judged(reading).against(),
        (Some(blockout), None) => millimetres(blockout.left_of_mm(zone.undercut_depth_mm)),
    }
}

/// What its limit comes to, and whether too much of the zone is unknown to say so.
fn zone_state(zone: &ZoneReading, reading: Option<&LimitReading>) -> String {
    let state = reading.map_or_else(
        || "not judged".into(),
        |reading| state(std::iter::once(reading)),
    );
    if zone.is_in_doubt() {
        format!("{state}, in doubt")
    } else {
        state
    }
}

/// The gauge reading of the cast as it stands; what the gauge could not measure out is marked.
fn depth(zone: &ZoneReading, reading: Option<&LimitReading>) -> String {
    let shown = reading.map_or_else(
        || millimetres(zone.undercut_depth_mm),
        |reading| {
            let value = zone.undercut_depth_mm;
            let met = reading.limit.is_met(value);
            judged(&LimitReading {
                value,
                met,
                ..*reading
            })
            .against()
        },
    );
    if zone.depth_capped {
        format!("≥{shown}")
    } else {
        shown
    }
}

/// Pairs of zones whose depths are limited together, and the blockout in all.
fn zone_sums(page: &mut Page, names: Names<'_>, evaluation: &Evaluation) {
    if evaluation.zones.is_empty() {
        return;
    }
    for reading in &evaluation.limits {
        if let Place::Zones([one, other]) = reading.limit.place {
            page.text(&format!(
                "{} and {} oppose each other: depths together {}: {}",
                names.zone(one),
                names.zone(other),
                judged(reading).text(),
                state(std::iter::once(reading))
            ));
        }
    }
    if evaluation.zones.len() > 1 {
        let owed_mm3 = evaluation.total_blockout_owed_mm3();
        let owed = match amount(owed_mm3) {
            _ if owed_mm3 <= 0.0 => "none of it".to_owned(),
            owed => format!("{owed} mm³ of it"),
        };
        page.text(&format!(
            "Blockout in all: {} mm³, {owed} beyond what may stay",
            amount(evaluation.total_blockout_mm3())
        ));
    }
}
