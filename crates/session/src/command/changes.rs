//! Taking one of the survey's sets of changes, as one step: it becomes planned work of the case. Measured walls
//! and agreed limits stay as they are; what is owed stands beside them.

use super::apply::Context;
use super::error::CommandError;
use super::planned::same_place;
use tiltbench_case::Case;
use tiltbench_case::schema::v1::{CaseFile, Planned, PlannedKind, PlannedPlace};
use tiltbench_geometry::work::Work;
use tiltbench_solver::Change;

/// Takes a set of changes that a survey of this very case found.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangesCommand {
    /// The changes.
    pub changes: Vec<Change>,
}

impl ChangesCommand {
    pub(crate) fn name(&self) -> String {
        match self.changes.len() {
            1 => "Plan a change".to_owned(),
            count => format!("Plan {count} changes"),
        }
    }
}

/// Amounts come in steps of 0.5 degree and 0.1 mm; this keeps those free of rounding noise.
pub(crate) fn tidy(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// A change as planned work; `None` where its place is not in the case.
fn planned(change: &Change, case: &Case) -> Option<Planned> {
    let of_coping = |index: usize, side| {
        let coping = case.copings().get(index)?;
        if let Some(side) = side {
            coping.wall(side)?;
        }
        Some(PlannedPlace {
            coping: Some(coping.id.clone()),
            side,
            zone: None,
        })
    };
    let work = change.work(case.copings());
    let (kind, place) = match work {
        Work::Retaper { coping, side, .. } => {
            (PlannedKind::Retaper, of_coping(coping, Some(side))?)
        }
        Work::Unguide { coping, side } => (PlannedKind::Unguide, of_coping(coping, Some(side))?),
        Work::Reprepare { coping } => (PlannedKind::Reprepare, of_coping(coping, None)?),
        Work::Omit { coping } => (PlannedKind::Omit, of_coping(coping, None)?),
        Work::Blockout { zone, .. } => {
            let place = PlannedPlace {
                zone: Some(case.seat_zones().get(zone)?.name.clone()),
                ..PlannedPlace::default()
            };
            (PlannedKind::Blockout, place)
        }
    };
    let mut planned = Planned {
        kind,
        place,
        to: None,
        wax_mm: None,
        left_mm: None,
        state: None,
    };
    match work {
        Work::Retaper { taper_rad, .. } => planned.to = Some(tidy(taper_rad.to_degrees())),
        Work::Blockout { blockout, .. } => {
            planned.wax_mm = Some(tidy(blockout.wax_mm));
            planned.left_mm = Some(tidy(blockout.left_mm));
        }
        _ => {}
    }
    Some(planned)
}

/// Work of the same kind that is still owed in the same place gives way.
pub(super) fn apply(
    command: &ChangesCommand,
    file: &mut CaseFile,
    context: &Context<'_>,
) -> Result<(), CommandError> {
    let case = context.case.ok_or(CommandError::ChangesOutdated)?;
    for change in &command.changes {
        let planned = planned(change, case).ok_or(CommandError::ChangesOutdated)?;
        let known = file
            .planned
            .iter_mut()
            .find(|known| known.state().is_live() && same_place(known, &planned));
        match known {
            Some(known) => *known = planned,
            None => file.planned.push(planned),
        }
    }
    Ok(())
}
