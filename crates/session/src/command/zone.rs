//! Seat zones.

use super::error::CommandError;
use tiltbench_case::schema::v1::{CaseFile, SeatZone, UndercutLimit};

/// What can be done to a seat zone. Zones are meant by their number in the file, counted from 0;
/// points are x and y of the cast frame, mm.
#[derive(Debug, Clone, PartialEq)]
pub enum ZoneCommand {
    /// Adds a zone with this outline. A name that is taken gets a number.
    Add {
        /// What to call it.
        name: String,
        /// Its outline, either winding, first point not repeated.
        outline: Vec<[f64; 2]>,
    },
    /// Replaces the outline.
    Outline {
        /// The zone.
        zone: usize,
        /// The outline.
        outline: Vec<[f64; 2]>,
    },
    /// Moves one point of the outline.
    MovePoint {
        /// The zone.
        zone: usize,
        /// The point's number.
        point: usize,
        /// Where it goes.
        to: [f64; 2],
    },
    /// Puts a point into the side that begins at point `after`.
    InsertPoint {
        /// The zone.
        zone: usize,
        /// The point before it.
        after: usize,
        /// Where it goes.
        at: [f64; 2],
    },
    /// Takes a point out of the outline.
    RemovePoint {
        /// The zone.
        zone: usize,
        /// The point's number.
        point: usize,
    },
    /// Renames a zone; zones that oppose it still do.
    Rename {
        /// The zone.
        zone: usize,
        /// Its new name.
        name: String,
    },
    /// Sets the greatest undercut depth; `None` leaves it to the default.
    Limit {
        /// The zone.
        zone: usize,
        /// The limit.
        limit: Option<UndercutLimit>,
    },
    /// Says which zone it opposes.
    Opposes {
        /// The zone.
        zone: usize,
        /// The other one.
        other: Option<usize>,
    },
    /// Bounds the zone in height, mm.
    ZRange {
        /// The zone.
        zone: usize,
        /// Least and greatest z.
        range: Option<[f64; 2]>,
    },
    /// Takes a zone away; zones that opposed it oppose none.
    Remove {
        /// The zone.
        zone: usize,
    },
}

impl ZoneCommand {
    pub(crate) fn name(&self, file: &CaseFile) -> String {
        let called = |zone: &usize| file.seat_zones.get(*zone).map_or("", |zone| &zone.name);
        match self {
            Self::Add { .. } => "Add zone".to_owned(),
            Self::Outline { zone, .. } => format!("Redraw zone {}", called(zone)),
            Self::MovePoint { zone, .. } => format!("Move point of zone {}", called(zone)),
            Self::InsertPoint { zone, .. } => format!("Add point to zone {}", called(zone)),
            Self::RemovePoint { zone, .. } => format!("Remove point of zone {}", called(zone)),
            Self::Rename { zone, name } => format!("Rename zone {} to {name}", called(zone)),
            Self::Limit { zone, .. } => format!("Change limit of zone {}", called(zone)),
            Self::Opposes { zone, .. } => format!("Change what zone {} opposes", called(zone)),
            Self::ZRange { zone, .. } => format!("Change height range of zone {}", called(zone)),
            Self::Remove { zone } => format!("Remove zone {}", called(zone)),
        }
    }
}

pub(super) fn apply(command: &ZoneCommand, file: &mut CaseFile) -> Result<(), CommandError> {
    match command {
        ZoneCommand::Add { name, outline } => {
            let name = free_name(file, name);
            file.seat_zones.push(SeatZone {
                name,
                outline: outline.clone(),
                z_range: None,
                undercut_limit_mm: None,
                opposes: None,
            });
        }
        ZoneCommand::Rename { zone, name } => rename(file, *zone, name)?,
        ZoneCommand::Remove { zone } => {
            let name = zone_of(file, *zone)?.name.clone();
            file.seat_zones.remove(*zone);
            for other in &mut file.seat_zones {
                other.opposes.take_if(|opposed| *opposed == name);
            }
        }
        ZoneCommand::Limit { zone, limit } => zone_of(file, *zone)?.undercut_limit_mm = *limit,
        ZoneCommand::ZRange { zone, range } => zone_of(file, *zone)?.z_range = *range,
        ZoneCommand::Opposes { zone, other } => {
            let other = match other {
                Some(other) => Some(zone_of(file, *other)?.name.clone()),
                None => None,
            };
            zone_of(file, *zone)?.opposes = other;
        }
        ZoneCommand::Outline { zone, .. }
        | ZoneCommand::MovePoint { zone, .. }
        | ZoneCommand::InsertPoint { zone, .. }
        | ZoneCommand::RemovePoint { zone, .. } => {
            edit_outline(command, &mut zone_of(file, *zone)?.outline)?;
        }
    }
    Ok(())
}

fn edit_outline(command: &ZoneCommand, points: &mut Vec<[f64; 2]>) -> Result<(), CommandError> {
    let count = points.len();
    let no_point = |index| CommandError::NoPoint { index, count };
    match command {
        ZoneCommand::Outline { outline, .. } => points.clone_from(outline),
        ZoneCommand::MovePoint { point, to, .. } => {
            *points.get_mut(*point).ok_or(no_point(*point))? = *to;
        }
        ZoneCommand::InsertPoint { after, at, .. } => {
            if *after >= count {
                return Err(no_point(*after));
            }
            points.insert(after + 1, *at);
        }
        ZoneCommand::RemovePoint { point, .. } => {
            if *point >= count {
                return Err(no_point(*point));
            }
            if count <= 3 {
                return Err(CommandError::LastPoints);
            }
            points.remove(*point);
        }
        _ => {}
    }
    Ok(())
}

fn rename(file: &mut CaseFile, zone: usize, name: &str) -> Result<(), CommandError> {
    let old = std::mem::replace(&mut zone_of(file, zone)?.name, name.trim().to_owned());
    for other in &mut file.seat_zones {
        if other.opposes.as_ref() == Some(&old) {
            other.opposes = Some(name.trim().to_owned());
        }
    }
    Ok(())
}

fn zone_of(file: &mut CaseFile, index: usize) -> Result<&mut SeatZone, CommandError> {
    let count = file.seat_zones.len();
    let zone = file.seat_zones.get_mut(index);
    zone.ok_or(CommandError::NoZone { index, count })
}

/// The name, or the name and the first number that makes it free.
fn free_name(file: &CaseFile, name: &str) -> String {
    let name = match name.trim() {
        "" => "zone",
        name => name,
    };
    let taken = |name: &str| file.seat_zones.iter().any(|zone| zone.name == name);
    let numbered = (2..).map(|number| format!("{name} {number}"));
    std::iter::once(name.to_owned())
        .chain(numbered)
        .find(|name| !taken(name))
        .unwrap_or_default()
}
