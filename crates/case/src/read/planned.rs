//! Reading the work that is planned: what, where, and that no two pieces of it contradict each other.

use super::assemble;
use super::copings::ReadCoping;
use super::hints::nearest;
use super::limits::FullLimits;
use super::object::Object;
use super::report::{Place, Report, Reported};
use crate::problem::ProblemKind;
use crate::schema::keys::PLANNED;
use crate::schema::v1::{self, PlannedKind, PlannedPlace, PlannedState};
use std::borrow::Cow;
use tiltbench_geometry::coping::{FrustumError, Side};
use tiltbench_geometry::work::{Blockout, Work, put_into_effect};

/// A piece of planned work as written, and what it comes to.
#[derive(Debug, Clone)]
pub(crate) struct ReadPlanned {
    pub(crate) file: v1::Planned,
    pub(crate) work: Work,
}

/// What work may be planned on.
#[derive(Clone, Copy)]
pub(crate) struct Planning<'a> {
    pub(crate) copings: &'a [ReadCoping],
    pub(crate) zones: &'a [v1::SeatZone],
}

/// Reads `planned`, which may be left out.
pub(crate) fn read_planned<'t>(
    root: &Object<'_, 't>,
    on: Planning<'_>,
    report: &mut Report<'t>,
) -> Result<Vec<ReadPlanned>, Reported> {
    let places = root.list("planned", report)?.unwrap_or_default();
    let mut outcome = Ok(());
    let mut all: Vec<ReadPlanned> = Vec::with_capacity(places.len());
    for place in places {
        match read_one(place, on, &all, report) {
            Ok(planned) => all.push(planned),
            Err(reported) => outcome = Err(reported),
        }
    }
    outcome.map(|()| all)
}

fn read_one<'t>(
    place: Place<'_, 't>,
    on: Planning<'_>,
    before: &[ReadPlanned],
    report: &mut Report<'t>,
) -> Result<ReadPlanned, Reported> {
    let object = Object::open(place, &PLANNED, report)?;
    let kind = object.required("kind", Object::choice, report);
    let at = object.required("where", Object::object, report);
    let to = object.number("to", report);
    let wax_mm = object.number("wax_mm", report);
    let left_mm = object.number("left_mm", report);
    let state = object.choice("state", report);
    let (kind, at, to, wax_mm, left_mm) = (kind?, at?, to?, wax_mm?, left_mm?);
    let kind = PlannedKind::of_word(kind).unwrap_or(PlannedKind::Retaper);
    let state = state?.and_then(PlannedState::of_word);
    let needed: &[&'static str] = match kind {
        PlannedKind::Retaper => &["to"],
        PlannedKind::Blockout => &["wax_mm", "left_mm"],
        _ => &[],
    };
    only(&object, kind, needed, &["to", "wax_mm", "left_mm"], report)?;
    let (place, work) = read_place(&at, kind, on, report)?;
    let work = match work {
        Work::Retaper { coping, side, .. } => Work::Retaper {
            coping,
            side,
            taper_rad: to.unwrap_or_default().to_radians(),
        },
        Work::Blockout { zone, .. } => Work::Blockout {
            zone,
            blockout: Blockout {
                wax_mm: wax_mm.unwrap_or_default(),
                left_mm: left_mm.unwrap_or_default(),
            },
        },
        other => other,
    };
    let file = v1::Planned {
        kind,
        place,
        to,
        wax_mm,
        left_mm,
        state,
    };
    if file.state().is_live() {
        let same = |known: &ReadPlanned| {
            known.file.state().is_live()
                && known.file.kind == kind
                && known.file.place == file.place
        };
        if let Some(first) = before.iter().position(same) {
            return Err(report.problem(&object.place, ProblemKind::PlannedTwice { first }));
        }
        if let Work::Retaper { coping, side, .. } = work {
            check_surface(&object, &on.copings[coping], side, work, report)?;
        }
    }
    Ok(ReadPlanned { file, work })
}

/// Where work is planned. What it comes to holds no amounts yet.
fn read_place<'t>(
    at: &Object<'_, 't>,
    kind: PlannedKind,
    on: Planning<'_>,
    report: &mut Report<'t>,
) -> Result<(PlannedPlace, Work), Reported> {
    let coping = at.text("coping", report);
    let side = at.choice("side", report);
    let zone = at.text("zone", report);
    let needed: &[&'static str] = match kind {
        PlannedKind::Retaper | PlannedKind::Unguide => &["coping", "side"],
        PlannedKind::Reprepare | PlannedKind::Omit => &["coping"],
        PlannedKind::Blockout => &["zone"],
    };
    only(at, kind, needed, &["coping", "side", "zone"], report)?;
    let (coping, side, zone) = (coping?, side?, zone?);
    let side = side.and_then(|word| Side::ALL.into_iter().find(|side| side.key() == word));
    let mut index = None;
    if let (Some(name), Some(place)) = (&coping, at.at("coping")) {
        let found = on.copings.iter().position(|known| known.id == *name);
        let ids = on.copings.iter().map(|known| known.id.as_str());
        index = Some(found.ok_or_else(|| nothing_there(&place, "coping", name, ids, report))?);
    }
    if let (Some(name), Some(place)) = (&zone, at.at("zone")) {
        let found = on.zones.iter().position(|known| known.name == *name);
        let names = on.zones.iter().map(|known| known.name.as_str());
        index = Some(found.ok_or_else(|| nothing_there(&place, "seat zone", name, names, report))?);
    }
    // One of the two is there: what the kind needs has been asked for.
    let index = index.unwrap_or_default();
    if let (Some(side), Some(place)) = (side, at.at("side"))
        && on.copings[index].file.basis.walls().get(side).is_none()
    {
        return Err(report.problem(&place, ProblemKind::PlannedOnNoWall { side }));
    }
    let work = match (kind, side) {
        (PlannedKind::Retaper, Some(side)) => Work::Retaper {
            coping: index,
            side,
            taper_rad: 0.0,
        },
        (PlannedKind::Unguide, Some(side)) => Work::Unguide {
            coping: index,
            side,
        },
        (PlannedKind::Omit, _) => Work::Omit { coping: index },
        (PlannedKind::Blockout, _) => Work::Blockout {
            zone: index,
            blockout: Blockout {
                wax_mm: 0.0,
                left_mm: 0.0,
            },
        },
        _ => Work::Reprepare { coping: index },
    };
    let place = PlannedPlace {
        coping: coping.map(Cow::into_owned),
        side,
        zone: zone.map(Cow::into_owned),
    };
    Ok((place, work))
}

/// Reports each of some keys that a kind of work lacks, and each that means nothing to it.
fn only<'t>(
    object: &Object<'_, 't>,
    kind: PlannedKind,
    needed: &[&'static str],
    keys: &[&'static str],
    report: &mut Report<'t>,
) -> Result<(), Reported> {
    let mut outcome = Ok(());
    for key in keys.iter().copied() {
        let kind = kind.key();
        match (object.at(key), needed.contains(&key)) {
            (None, true) => {
                let example = object.example(key);
                let kind = ProblemKind::PlannedNeeds { kind, key, example };
                outcome = Err(report.problem(&object.place, kind));
            }
            (Some(place), false) => {
                outcome = Err(report.problem(&place, ProblemKind::PlannedNotOf { kind, key }));
            }
            _ => {}
        }
    }
    outcome
}

fn nothing_there<'t, 'n>(
    place: &Place<'_, 't>,
    what: &'static str,
    name: &str,
    known: impl Iterator<Item = &'n str>,
    report: &mut Report<'t>,
) -> Reported {
    let kind = ProblemKind::PlannedNowhere {
        what,
        name: crate::json::excerpt(name),
        nearest: nearest(name, known).map(str::to_owned),
    };
    report.problem(place, kind)
}

/// Whether a coping reaches its top with its new taper.
fn check_surface<'t>(
    object: &Object<'_, 't>,
    read: &ReadCoping,
    side: Side,
    work: Work,
    report: &mut Report<'t>,
) -> Result<(), Reported> {
    let Work::Retaper { taper_rad, .. } = work else {
        return Ok(());
    };
    let mut copings = [assemble::coping(
        read,
        &FullLimits::of(&v1::Limits::default()),
    )];
    let alone = Work::Retaper {
        coping: 0,
        side,
        taper_rad,
    };
    put_into_effect(&[alone], &mut copings, &mut []);
    let [coping] = copings;
    let Err(FrustumError::Folds { .. }) = coping.check_surface() else {
        return Ok(());
    };
    let kind = ProblemKind::FoldsOver {
        side,
        taper_deg: taper_rad.to_degrees(),
        height_mm: coping
            .wall(side)
            .map_or(coping.height_mm, |wall| wall.height_mm),
        greatest_deg: coping.greatest_taper_rad(side).map(f64::to_degrees),
    };
    let place = object.at("to");
    Err(report.problem(place.as_ref().unwrap_or(&object.place), kind))
}
