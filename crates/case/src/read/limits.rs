//! Reading the limits of a case.

use super::object::Object;
use super::report::{Report, Reported};
use crate::defaults::{self, Default};
use crate::problem::ProblemKind;
use crate::schema::v1;

/// The limits with their defaults filled in, in the file's own units.
#[derive(Debug, Clone, Copy)]
pub(crate) struct FullLimits {
    pub(crate) wall_draft_min_deg: f64,
    pub(crate) wall_draft_max_deg: f64,
    pub(crate) tilt_max_deg: f64,
    pub(crate) metal_min_mm: f64,
    pub(crate) metal_max_mm: f64,
    pub(crate) opposing_undercut_limit_mm: f64,
    pub(crate) allowance_wanted_deg: f64,
    pub(crate) setting_step_deg: f64,
}

impl FullLimits {
    pub(crate) fn of(file: &v1::Limits) -> Self {
        let or = |given: Option<f64>, default: Default| given.unwrap_or(default.value);
        Self {
            wall_draft_min_deg: or(file.wall_draft_min_deg, defaults::WALL_DRAFT_MIN),
            wall_draft_max_deg: or(file.wall_draft_max_deg, defaults::WALL_DRAFT_MAX),
            tilt_max_deg: or(file.tilt_max_deg, defaults::TILT_MAX),
            metal_min_mm: or(file.metal_min_mm, defaults::METAL_MIN),
            metal_max_mm: or(file.metal_max_mm, defaults::METAL_MAX),
            opposing_undercut_limit_mm: or(
                file.opposing_undercut_limit_mm,
                defaults::OPPOSING_UNDERCUT_LIMIT,
            ),
            allowance_wanted_deg: or(file.allowance_wanted_deg, defaults::ALLOWANCE_WANTED),
            setting_step_deg: or(file.setting_step_deg, defaults::SETTING_STEP),
        }
    }
}

/// Reads `limits`, which may be left out.
pub(crate) fn read_limits<'t>(
    root: &Object<'_, 't>,
    report: &mut Report<'t>,
) -> Result<v1::Limits, Reported> {
    let Some(object) = root.object("limits", report)? else {
        return Ok(v1::Limits::default());
    };
    let wall_draft_min_deg = object.number("wall_draft_min_deg", report);
    let wall_draft_max_deg = object.number("wall_draft_max_deg", report);
    let tilt_max_deg = object.number("tilt_max_deg", report);
    let metal_min_mm = object.number("metal_min_mm", report);
    let metal_max_mm = object.number("metal_max_mm", report);
    let opposing_undercut_limit_mm = object.number("opposing_undercut_limit_mm", report);
    let allowance_wanted_deg = object.number("allowance_wanted_deg", report);
    let setting_step_deg = object.number("setting_step_deg", report);
    let drafts = ordered(
        &object,
        (
            "wall_draft_min_deg",
            wall_draft_min_deg,
            defaults::WALL_DRAFT_MIN,
        ),
        (
            "wall_draft_max_deg",
            wall_draft_max_deg,
            defaults::WALL_DRAFT_MAX,
        ),
        report,
    );
    let metal = ordered(
        &object,
        ("metal_min_mm", metal_min_mm, defaults::METAL_MIN),
        ("metal_max_mm", metal_max_mm, defaults::METAL_MAX),
        report,
    );
    drafts.and(metal)?;
    Ok(v1::Limits {
        wall_draft_min_deg: wall_draft_min_deg?,
        wall_draft_max_deg: wall_draft_max_deg?,
        tilt_max_deg: tilt_max_deg?,
        metal_min_mm: metal_min_mm?,
        metal_max_mm: metal_max_mm?,
        opposing_undercut_limit_mm: opposing_undercut_limit_mm?,
        allowance_wanted_deg: allowance_wanted_deg?,
        setting_step_deg: setting_step_deg?,
    })
}

type Limit = (&'static str, Result<Option<f64>, Reported>, Default);

/// A least must be below its greatest, whichever of them is a default.
fn ordered<'t>(
    object: &Object<'_, 't>,
    (low_key, low, low_default): Limit,
    (high_key, high, high_default): Limit,
    report: &mut Report<'t>,
) -> Result<(), Reported> {
    let (low, high) = (low?, high?);
    let defaulted = low.is_none() || high.is_none();
    let (low, high) = (
        low.unwrap_or(low_default.value),
        high.unwrap_or(high_default.value),
    );
    if low < high {
        return Ok(());
    }
    Err(report.problem(
        &object.place,
        ProblemKind::LimitsReversed {
            low_key,
            low,
            high_key,
            high,
            defaulted,
        },
    ))
}
