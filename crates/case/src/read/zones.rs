//! Reading the seat zones.

use super::hints::nearest;
use super::object::{Given, Object};
use super::outline;
use super::report::{Place, Report, Reported};
use crate::problem::ProblemKind;
use crate::remark::RemarkKind;
use crate::schema::keys::SEAT_ZONE;
use crate::schema::v1::{self, UndercutLimit};
use std::collections::BTreeMap;

/// Reads `seat_zones`, which may be left out.
pub(crate) fn read_zones<'t>(
    root: &Object<'_, 't>,
    report: &mut Report<'t>,
) -> Result<Vec<v1::SeatZone>, Reported> {
    let places = root.list("seat_zones", report)?.unwrap_or_default();
    let names = names_of(&places, report);
    let mut outcome = Ok(());
    let mut zones = Vec::with_capacity(places.len());
    for (index, place) in places.into_iter().enumerate() {
        match read_zone(place, index, &names, report) {
            Ok(zone) => zones.push(zone),
            Err(reported) => outcome = Err(reported),
        }
    }
    outcome.map(|()| zones)
}

/// Index of the first zone of each name. Reports names that are taken.
fn names_of<'t>(places: &[Place<'_, 't>], report: &mut Report<'t>) -> BTreeMap<String, usize> {
    let mut names = BTreeMap::new();
    for (index, place) in places.iter().enumerate() {
        let Some(node) = place.node.member("name") else {
            continue;
        };
        let Some(name) = node.as_str() else {
            continue;
        };
        match names.get(name.as_ref()) {
            None => {
                names.insert(name.into_owned(), index);
            }
            Some(first) => {
                let kind = ProblemKind::ZoneNameTaken {
                    name: name.into_owned(),
                    first: *first,
                };
                report.problem(&place.member("name", node), kind);
            }
        }
    }
    names
}

fn read_zone<'t>(
    place: Place<'_, 't>,
    index: usize,
    names: &BTreeMap<String, usize>,
    report: &mut Report<'t>,
) -> Result<v1::SeatZone, Reported> {
    let object = Object::open(place, &SEAT_ZONE, report)?;
    let name = object.required("name", Object::text, report);
    let outline = object.required("outline", read_outline, report);
    let z_range = read_z_range(&object, report);
    let limit = if object.is_null("undercut_limit_mm") {
        Ok(Some(UndercutLimit::Unlimited))
    } else {
        object
            .number("undercut_limit_mm", report)
            .map(|depth| depth.map(UndercutLimit::Depth))
    };
    let opposes = read_opposes(&object, index, names, report);
    Ok(v1::SeatZone {
        name: name?.into_owned(),
        outline: outline?,
        z_range: z_range?,
        undercut_limit_mm: limit?,
        opposes: opposes?,
    })
}

pub(super) fn read_outline<'t>(
    object: &Object<'_, 't>,
    name: &'static str,
    report: &mut Report<'t>,
) -> Given<Vec<[f64; 2]>> {
    let Some(points) = object.points(name, report)? else {
        return Ok(None);
    };
    match (outline::check(&points), object.at(name)) {
        (Err(kind), Some(place)) => Err(report.problem(&place, kind)),
        _ => Ok(Some(points)),
    }
}

fn read_z_range<'t>(object: &Object<'_, 't>, report: &mut Report<'t>) -> Given<[f64; 2]> {
    let range = object.numbers::<2>("z_range", report)?;
    match (range, object.at("z_range")) {
        (Some([low, high]), Some(place)) if low >= high => {
            Err(report.problem(&place, ProblemKind::ZRangeReversed { low, high }))
        }
        _ => Ok(range),
    }
}

fn read_opposes<'t>(
    object: &Object<'_, 't>,
    index: usize,
    names: &BTreeMap<String, usize>,
    report: &mut Report<'t>,
) -> Given<String> {
    let (Some(name), Some(place)) = (object.text("opposes", report)?, object.at("opposes")) else {
        return Ok(None);
    };
    match names.get(name.as_ref()) {
        Some(other) if *other == index => Err(report.problem(&place, ProblemKind::OpposesItself)),
        Some(_) => Ok(Some(name.into_owned())),
        None => {
            let others = names.iter().filter(|(_, other)| **other != index);
            let nearest = nearest(&name, others.map(|(name, _)| name.as_str())).map(str::to_owned);
            let shown = crate::json::excerpt(&name);
            let Some(nearest) = nearest else {
                // The other zone may be drawn later; until then there is no pair to judge.
                report.remark(
                    place.path.clone(),
                    RemarkKind::OpposedZoneMissing { name: shown },
                );
                return Ok(Some(name.into_owned()));
            };
            let kind = ProblemKind::NoSuchZone {
                name: shown,
                nearest,
            };
            Err(report.problem(&place, kind))
        }
    }
}
