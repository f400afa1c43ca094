//! Reading the copings.

use super::frames::{AxisAndMesial, unit};
use super::object::{Given, Object};
use super::report::{Place, Report, Reported};
use super::surface::check_surface;
use super::walls::{Drafts, read_basis, read_figure_basis};
use crate::problem::ProblemKind;
use crate::schema::keys::COPING;
use crate::schema::v1;
use crate::tooth::Tooth;
use nalgebra::UnitVector3;
use std::collections::BTreeMap;
use tiltbench_geometry::frame::Arch;

/// A coping as written, with what reading it has already worked out.
#[derive(Debug, Clone)]
pub(crate) struct ReadCoping {
    pub(crate) file: v1::Coping,
    pub(crate) id: String,
    pub(crate) tooth: Tooth,
    pub(crate) frame: AxisAndMesial,
    pub(crate) labial: UnitVector3<f64>,
    pub(crate) canal_axis: Option<UnitVector3<f64>>,
}

/// Reads `copings`, which may be left out. `drafts` are the case's, if they could be read.
pub(crate) fn read_copings<'t>(
    root: &Object<'_, 't>,
    jaw: Option<Arch>,
    drafts: Option<Drafts>,
    report: &mut Report<'t>,
) -> Result<Vec<ReadCoping>, Reported> {
    let places = root.list("copings", report)?.unwrap_or_default();
    let mut outcome = Ok(());
    let mut ids = BTreeMap::new();
    let mut copings = Vec::with_capacity(places.len());
    for (index, place) in places.into_iter().enumerate() {
        match read_coping((place, index), jaw, drafts, &mut ids, report) {
            Ok(coping) => copings.push(coping),
            Err(reported) => outcome = Err(reported),
        }
    }
    outcome.map(|()| copings)
}

fn read_coping<'t>(
    (place, index): (Place<'_, 't>, usize),
    jaw: Option<Arch>,
    drafts: Option<Drafts>,
    ids: &mut BTreeMap<String, usize>,
    report: &mut Report<'t>,
) -> Result<ReadCoping, Reported> {
    let object = Object::open(place, &COPING, report)?;
    let read = |object: &Object<'_, 't>, name, report: &mut Report<'t>| {
        read_tooth(object, name, jaw, report)
    };
    let tooth = object.required("tooth", read, report);
    let id = read_id(&object, tooth.as_ref().ok(), index, ids, report);
    let margin_centre = object.required("margin_centre", Object::numbers, report);
    let axis = object.required("axis", read_occlusal, report);
    let axis_basis = read_figure_basis(&object, "axis_basis", report);
    let axis_se_deg = object.number("axis_se_deg", report);
    let mesial = object.required("mesial", read_direction, report);
    let labial = read_direction(&object, "labial", report);
    let canal_axis = read_occlusal(&object, "canal_axis", report);
    let frame = read_frame(&object, axis, mesial, report);
    let labial_is_across = read_labial_side(&object, frame, labial, report);
    let widths = object.required("margin_widths_mm", read_widths, report);
    let height_mm = object.required("height_mm", Object::number, report);
    let basis = read_basis(&object, drafts, report);

    let (tooth_text, tooth) = tooth?;
    let ((given_id, id), frame, canal_axis) = (id?, frame?, canal_axis?);
    let across = frame.across();
    // By the standard's quadrants: the labial side is axis × mesial in 1 and 3 (and 5 and 7).
    let is_across = labial_is_across?.unwrap_or(tooth.quadrant() % 2 == 1);
    let read = ReadCoping {
        file: v1::Coping {
            id: given_id,
            tooth: tooth_text,
            margin_centre: margin_centre?,
            axis: axis?.given,
            axis_basis: axis_basis?,
            axis_se_deg: axis_se_deg?,
            mesial: mesial?.given,
            labial: labial?.map(|labial| labial.given),
            margin_widths_mm: widths?,
            height_mm: height_mm?,
            basis: basis?,
            canal_axis: canal_axis.map(|axis| axis.given),
        },
        id,
        tooth,
        frame,
        labial: if is_across { across } else { -across },
        canal_axis: canal_axis.map(|axis| axis.unit),
    };
    check_surface(&object, &read, report)?;
    Ok(read)
}

fn read_tooth<'t>(
    object: &Object<'_, 't>,
    name: &'static str,
    jaw: Option<Arch>,
    report: &mut Report<'t>,
) -> Given<(String, Tooth)> {
    let (Some(text), Some(place)) = (object.text(name, report)?, object.at(name)) else {
        return Ok(None);
    };
    match Tooth::parse(&text) {
        Ok(tooth) if jaw.is_some_and(|jaw| jaw != tooth.arch()) => {
            let kind = ProblemKind::OtherJaw {
                tooth: tooth.name(),
                jaw: tooth.arch(),
            };
            Err(report.problem(&place, kind))
        }
        Ok(tooth) => Ok(Some((text.into_owned(), tooth))),
        Err(error) => Err(report.problem(&place, ProblemKind::NotATooth(error))),
    }
}

/// The id as given, and the id the coping goes by.
fn read_id<'t>(
    object: &Object<'_, 't>,
    tooth: Option<&(String, Tooth)>,
    index: usize,
    ids: &mut BTreeMap<String, usize>,
    report: &mut Report<'t>,
) -> Result<(Option<String>, String), Reported> {
    let given = object.text("id", report)?.map(std::borrow::Cow::into_owned);
    let place = object.at("id").or_else(|| object.at("tooth"));
    let (Some(id), Some(place)) = (
        given
            .clone()
            .or_else(|| tooth.map(|(_, tooth)| tooth.to_string())),
        place,
    ) else {
        // Neither id nor tooth could be read; the tooth's problem has been reported.
        return Ok((None, String::new()));
    };
    if let Some(character) = id.chars().find(|c| *c == '/' || c.is_control()) {
        let id = crate::json::excerpt(&id);
        return Err(report.problem(&place, ProblemKind::IdCharacter { id, character }));
    }
    if let Some(first) = ids.get(&id) {
        let (id, first) = (crate::json::excerpt(&id), *first);
        return Err(report.problem(&place, ProblemKind::IdTaken { id, first }));
    }
    ids.insert(id.clone(), index);
    Ok((given, id))
}

/// A direction as given, and its unit vector.
#[derive(Debug, Clone, Copy)]
struct Direction {
    given: [f64; 3],
    unit: UnitVector3<f64>,
}

fn read_direction<'t>(
    object: &Object<'_, 't>,
    name: &'static str,
    report: &mut Report<'t>,
) -> Given<Direction> {
    let (Some(given), Some(place)) = (object.numbers(name, report)?, object.at(name)) else {
        return Ok(None);
    };
    match unit(given) {
        Some(unit) => Ok(Some(Direction { given, unit })),
        None => Err(report.problem(&place, ProblemKind::ZeroDirection)),
    }
}

/// A direction that has to leave the ridge.
fn read_occlusal<'t>(
    object: &Object<'_, 't>,
    name: &'static str,
    report: &mut Report<'t>,
) -> Given<Direction> {
    let (Some(direction), Some(place)) = (read_direction(object, name, report)?, object.at(name))
    else {
        return Ok(None);
    };
    let z = direction.given[2];
    if z > 0.0 {
        Ok(Some(direction))
    } else {
        Err(report.problem(&place, ProblemKind::NotOcclusal { z }))
    }
}

fn read_frame<'t>(
    object: &Object<'_, 't>,
    axis: Result<Direction, Reported>,
    mesial: Result<Direction, Reported>,
    report: &mut Report<'t>,
) -> Result<AxisAndMesial, Reported> {
    let frame = AxisAndMesial::new(axis?.unit, mesial?.unit);
    frame.map_err(|kind| report.problem(&object.at("mesial").unwrap_or(object.place.clone()), kind))
}

fn read_labial_side<'t>(
    object: &Object<'_, 't>,
    frame: Result<AxisAndMesial, Reported>,
    labial: Given<Direction>,
    report: &mut Report<'t>,
) -> Given<bool> {
    let (frame, Some(labial), Some(place)) = (frame?, labial?, object.at("labial")) else {
        return Ok(None);
    };
    match frame.labial_is_across(labial.unit) {
        Ok(is_across) => Ok(Some(is_across)),
        Err(kind) => Err(report.problem(&place, kind)),
    }
}

fn read_widths<'t>(
    object: &Object<'_, 't>,
    name: &'static str,
    report: &mut Report<'t>,
) -> Given<v1::MarginWidths> {
    let Some(widths) = object.object(name, report)? else {
        return Ok(None);
    };
    let mesiodistal = widths.required("mesiodistal", Object::number, report);
    let labiolingual = widths.required("labiolingual", Object::number, report);
    Ok(Some(v1::MarginWidths {
        mesiodistal: mesiodistal?,
        labiolingual: labiolingual?,
    }))
}
