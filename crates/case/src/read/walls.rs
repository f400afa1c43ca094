//! Reading the walls of a coping, finished or before waxing.

use super::object::{Given, Object};
use super::report::{Report, Reported};
use crate::problem::ProblemKind;
use crate::schema::v1;
use tiltbench_geometry::coping::Side;

/// The drafts of the case, which a wall may replace by its own.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Drafts {
    pub(crate) min_deg: f64,
    pub(crate) max_deg: f64,
}

/// Reads `walls`, or `prep` with what belongs to it: exactly one of the two.
pub(crate) fn read_basis<'t>(
    object: &Object<'_, 't>,
    drafts: Option<Drafts>,
    report: &mut Report<'t>,
) -> Result<v1::Basis, Reported> {
    let walls = read_walls(object, "walls", drafts, report);
    let prep = read_walls(object, "prep", drafts, report);
    let mill_taper_deg = object.number("mill_taper_deg", report);
    let margin_thickness_mm = object.number("margin_thickness_mm", report);
    let keep_stump = object.flag("keep_stump", report);
    match (object.at("walls"), object.at("prep")) {
        (Some(_), Some(_)) => Err(report.problem(&object.place, ProblemKind::WallsAndPrep)),
        (None, None) => Err(report.problem(&object.place, ProblemKind::NoWalls)),
        (Some(_), None) => {
            let mut outcome = Ok(());
            for key in ["mill_taper_deg", "margin_thickness_mm", "keep_stump"] {
                if let Some(place) = object.at(key) {
                    outcome = Err(report.problem(&place, ProblemKind::NeedsPrep { key }));
                }
            }
            outcome?;
            Ok(v1::Basis::Finished {
                walls: walls?.unwrap_or_default(),
            })
        }
        (None, Some(_)) => {
            let mill_taper_deg =
                object.required("mill_taper_deg", |_, _, _| mill_taper_deg, report);
            let margin_thickness_mm =
                object.required("margin_thickness_mm", |_, _, _| margin_thickness_mm, report);
            Ok(v1::Basis::Prep {
                prep: prep?.unwrap_or_default(),
                mill_taper_deg: mill_taper_deg?,
                margin_thickness_mm: margin_thickness_mm?,
                keep_stump: keep_stump?,
            })
        }
    }
}

fn read_walls<'t>(
    object: &Object<'_, 't>,
    name: &'static str,
    drafts: Option<Drafts>,
    report: &mut Report<'t>,
) -> Given<v1::Walls> {
    let Some(object) = object.object(name, report)? else {
        return Ok(None);
    };
    let mut walls = v1::Walls::default();
    let mut outcome = Ok(());
    for side in Side::ALL {
        match read_wall(&object, side.key(), drafts, report) {
            Ok(wall) => *walls.get_mut(side) = wall,
            Err(reported) => outcome = Err(reported),
        }
    }
    outcome.map(|()| Some(walls))
}

fn read_wall<'t>(
    object: &Object<'_, 't>,
    name: &'static str,
    drafts: Option<Drafts>,
    report: &mut Report<'t>,
) -> Given<v1::Wall> {
    let Some(object) = object.object(name, report)? else {
        return Ok(None);
    };
    let taper_deg = object.required("taper_deg", Object::number, report);
    let basis = read_figure_basis(&object, "basis", report);
    let taper_se_deg = object.number("taper_se_deg", report);
    let guides = object.flag("guides", report);
    let half_sector_deg = object.number("half_sector_deg", report);
    let height_mm = object.number("height_mm", report);
    let draft_min_deg = object.number("draft_min_deg", report);
    let draft_max_deg = object.number("draft_max_deg", report);
    check_drafts(&object, draft_min_deg, draft_max_deg, drafts, report)?;
    Ok(Some(v1::Wall {
        taper_deg: taper_deg?,
        basis: basis?,
        taper_se_deg: taper_se_deg?,
        guides: guides?,
        half_sector_deg: half_sector_deg?,
        height_mm: height_mm?,
        draft_min_deg: draft_min_deg?,
        draft_max_deg: draft_max_deg?,
    }))
}

/// Where a figure comes from, if that is said.
pub(super) fn read_figure_basis<'t>(
    object: &Object<'_, 't>,
    name: &'static str,
    report: &mut Report<'t>,
) -> Given<v1::FigureBasis> {
    let word = object.choice(name, report)?;
    Ok(word.and_then(v1::FigureBasis::of_word))
}

/// A wall that states a draft must state it on the right side of the other one. Where both come
/// from the case, the case's limits have been checked already.
fn check_drafts<'t>(
    object: &Object<'_, 't>,
    min: Given<f64>,
    max: Given<f64>,
    drafts: Option<Drafts>,
    report: &mut Report<'t>,
) -> Result<(), Reported> {
    let (min, max) = (min?, max?);
    let low = min.or(drafts.map(|drafts| drafts.min_deg));
    let high = max.or(drafts.map(|drafts| drafts.max_deg));
    match (low, high) {
        (Some(low), Some(high)) if low >= high && (min.is_some() || max.is_some()) => {
            let kind = ProblemKind::LimitsReversed {
                low_key: "draft_min_deg",
                low,
                high_key: "draft_max_deg",
                high,
                defaulted: min.is_none() || max.is_none(),
            };
            Err(report.problem(&object.place, kind))
        }
        _ => Ok(()),
    }
}
