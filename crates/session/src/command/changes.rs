//! Applying one of the survey's sets of changes, as one step.
//!
//! A retapered wall gets its new taper, a wall left out stops guiding. Blocking out or relieving a
//! zone takes depth out of its undercut; the case says so by allowing the bare ridge that much more:
//! `depth - cleared <= limit` is `depth <= limit + cleared`. Where the zone opposes another, the
//! limit of the sum grows alike. A case file has one such limit for all opposing pairs, so other pairs
//! are loosened too if a case has several: [`ChangesCommand::limits`] says so before it is done.

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

/// A limit of the case that a set of changes moves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MovedLimit {
    /// The undercut limit of a zone, mm.
    Zone {
        /// The zone.
        zone: usize,
        /// What it is.
        from_mm: f64,
        /// What it will be.
        to_mm: f64,
    },
    /// The limit of the depths of two opposing zones together, mm.
    Opposing {
        /// How many pairs it holds for.
        pairs: usize,
        /// What it is.
        from_mm: f64,
        /// What it will be.
        to_mm: f64,
    },
}

impl ChangesCommand {
    /// The limits it moves: those of zones in order of the changes, then that of opposing zones.
    pub fn limits(&self, case: &Case) -> Vec<MovedLimit> {
        let mut moved = Vec::new();
        let mut more_for_pairs_mm = 0.0_f64;
        let pairs = case.opposing_pairs();
        for change in &self.changes {
            let Change::Clear { zone, depth_mm } = *change else {
                continue;
            };
            let limit_mm = case
                .seat_zones()
                .get(zone)
                .and_then(|z| z.undercut_limit_mm);
            moved.extend(limit_mm.map(|from_mm| MovedLimit::Zone {
                zone,
                from_mm,
                to_mm: tidy(from_mm + depth_mm),
            }));
            if pairs.iter().any(|(a, b)| *a == zone || *b == zone) {
                more_for_pairs_mm += depth_mm;
            }
        }
        if more_for_pairs_mm > 0.0 {
            let from_mm = case.limits().opposing_undercut_limit_mm;
            moved.push(MovedLimit::Opposing {
                pairs: pairs.len(),
                from_mm,
                to_mm: tidy(from_mm + more_for_pairs_mm),
            });
        }
        moved
    }

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
            Change::Clear { zone, .. } => {
                let known = case.seat_zones().get(zone).zip(file.seat_zones.get(zone));
                known.ok_or(CommandError::ChangesOutdated)?;
            }
        }
    }
    for limit in command.limits(case) {
        match limit {
            MovedLimit::Zone { zone, to_mm, .. } => {
                let zone = file.seat_zones.get_mut(zone);
                let zone = zone.ok_or(CommandError::ChangesOutdated)?;
                zone.undercut_limit_mm = Some(UndercutLimit::Depth(to_mm));
            }
            MovedLimit::Opposing { to_mm, .. } => {
                file.limits.opposing_undercut_limit_mm = Some(to_mm);
            }
        }
    }
    Ok(())
}
