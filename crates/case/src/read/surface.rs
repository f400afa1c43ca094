//! Whether a coping's surface reaches its top without folding over.

use super::assemble;
use super::copings::ReadCoping;
use super::limits::FullLimits;
use super::object::Object;
use super::report::{Report, Reported};
use crate::problem::ProblemKind;
use crate::schema::v1;
use tiltbench_geometry::coping::FrustumError;

/// Reports every wall that converges too much for its height.
///
/// A wall is reported when the surface as a whole folds because of it, and also when it would fold
/// with its neighbours brought down to its own taper: mending one wall at a time is no pleasure.
pub(crate) fn check_surface<'t>(
    object: &Object<'_, 't>,
    read: &ReadCoping,
    report: &mut Report<'t>,
) -> Result<(), Reported> {
    // The surface does not depend on the limits, so those of the case may be unreadable.
    let coping = assemble::coping(read, &FullLimits::of(&v1::Limits::default()));
    let Err(first) = coping.check_surface() else {
        return Ok(());
    };
    let blamed = match first {
        FrustumError::Folds { side, .. } => Some(side),
        _ => None,
    };
    let mut outcome = Ok(());
    for (side, wall) in coping.existing_walls() {
        let greatest_rad = coping.greatest_taper_rad(side);
        if Some(side) == blamed || greatest_rad.is_none_or(|greatest| wall.taper_rad > greatest) {
            let taper = ["walls", "prep"]
                .into_iter()
                .filter_map(|basis| object.at(basis))
                .find_map(|walls| {
                    let wall = walls.node.member(side.key())?;
                    let taper = wall.member("taper_deg")?;
                    Some(walls.member(side.key(), wall).member("taper_deg", taper))
                });
            let kind = ProblemKind::FoldsOver {
                side,
                taper_deg: wall.taper_rad.to_degrees(),
                height_mm: wall.height_mm,
                greatest_deg: greatest_rad.map(f64::to_degrees),
            };
            outcome = Err(report.problem(taper.as_ref().unwrap_or(&object.place), kind));
        }
    }
    outcome
}
