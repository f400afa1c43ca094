//! Applying one of the survey's sets of changes, as one step.
//!
//! A retapered wall gets its new taper, a wall left out stops guiding. Blocking out or relieving a
//! zone takes depth out of its undercut; the case says so by allowing the bare ridge that much more:
//! `depth - cleared <= limit` is `depth <= limit + cleared`. Where the zone opposes another, the
//! limit of the sum grows alike, which loosens other opposing pairs too if a case has several.

use super::apply::Context;
use super::coping::{called, walls_of};
use super::error::CommandError;
use tiltbench_case::Case;
use tiltbench_case::schema::v1::{CaseFile, UndercutLimit};
use tiltbench_case::tooth::Tooth;
use tiltbench_solver::Change;

/// Applies a set of changes that a survey of this very case found.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangesCommand {
    /// The changes.
    pub changes: Vec<Change>,
}

impl ChangesCommand {
    pub(crate) fn name(&self, file: &CaseFile) -> String {
        let parts: Vec<String> = self
            .changes
            .iter()
            .map(|change| part(change, file))
            .collect();
        let mut name = parts.join(", ");
        if let Some(first) = name.get(..1).map(str::to_uppercase) {
            name.replace_range(..1, &first);
        }
        name
    }
}

/// One change in words, beginning in lower case.
fn part(change: &Change, file: &CaseFile) -> String {
    let wall = |coping: usize, side| {
        let Some(coping) = file.copings.get(coping) else {
            return String::new();
        };
        let tooth = Tooth::parse(&coping.tooth).ok();
        let side = tooth.map_or(tiltbench_geometry::coping::Side::key(side), |tooth| {
            tooth.side_word(side)
        });
        format!("{} {side}", called(coping))
    };
    match *change {
        Change::Retaper { coping, side, .. } => format!("retaper {}", wall(coping, side)),
        Change::Unguide { coping, side, .. } => {
            format!("leave {} out of guiding", wall(coping, side))
        }
        Change::Clear { zone, .. } => {
            let verb = if change.is_relief() {
                "relieve"
            } else {
                "block out"
            };
            let zone = file.seat_zones.get(zone).map_or("", |zone| &zone.name);
            format!("{verb} {zone}")
        }
    }
}

/// Amounts come in steps of 0.5 degree and 0.1 mm; this keeps those free of rounding noise.
fn tidy(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

pub(super) fn apply(
    command: &ChangesCommand,
    file: &mut CaseFile,
    context: &Context<'_>,
) -> Result<(), CommandError> {
    let case = context.case.ok_or(CommandError::ChangesOutdated)?;
    let mut more_for_pairs_mm = 0.0_f64;
    for change in &command.changes {
        match *change {
            Change::Retaper {
                coping,
                side,
                by_rad,
                ..
            } => {
                let coping = file.copings.get_mut(coping);
                let wall = coping.and_then(|c| walls_of(&mut c.basis).get_mut(side).as_mut());
                let wall = wall.ok_or(CommandError::ChangesOutdated)?;
                wall.taper_deg = tidy(wall.taper_deg + by_rad.to_degrees());
            }
            Change::Unguide { coping, side, .. } => {
                let coping = file.copings.get_mut(coping);
                let wall = coping.and_then(|c| walls_of(&mut c.basis).get_mut(side).as_mut());
                wall.ok_or(CommandError::ChangesOutdated)?.guides = Some(false);
            }
            Change::Clear { zone, depth_mm } => {
                let limit_mm = limit_of(case, zone)?;
                let place = file.seat_zones.get_mut(zone);
                let place = place.ok_or(CommandError::ChangesOutdated)?;
                if let Some(limit_mm) = limit_mm {
                    let more = UndercutLimit::Depth(tidy(limit_mm + depth_mm));
                    place.undercut_limit_mm = Some(more);
                }
                if case
                    .opposing_pairs()
                    .iter()
                    .any(|(a, b)| *a == zone || *b == zone)
                {
                    more_for_pairs_mm += depth_mm;
                }
            }
        }
    }
    if more_for_pairs_mm > 0.0 {
        let limit_mm = case.limits().opposing_undercut_limit_mm;
        file.limits.opposing_undercut_limit_mm = Some(tidy(limit_mm + more_for_pairs_mm));
    }
    Ok(())
}

fn limit_of(case: &Case, zone: usize) -> Result<Option<f64>, CommandError> {
    let zone = case.seat_zones().get(zone);
    Ok(zone.ok_or(CommandError::ChangesOutdated)?.undercut_limit_mm)
}
