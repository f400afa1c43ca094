//! Planned work: how far it has come, and that it follows what it is planned on.

use super::coping::{CopingCommand, walls_of};
use super::error::CommandError;
use super::wall::WallEdit;
use super::zone::ZoneCommand;
use tiltbench_case::schema::v1::{
    CaseFile, Coping, FigureBasis, Planned, PlannedKind, PlannedState, Wall,
};
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::coping::Side;

/// What can be done to a piece of planned work, meant by its number in the file, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PlannedCommand {
    /// Says that it is done, or still owed.
    Done(usize, bool),
    /// A retapered wall was measured: the taper stands in the wall from now on, and the work is history.
    /// Degrees per wall.
    Measured(usize, f64),
    /// The case shows it now, and the work is history: a wall that no longer guides, a coping that is gone, a scan
    /// made anew over the wax, a root prepared again and measured.
    InCase(usize),
    /// Takes it out of the plan.
    Drop(usize),
}

impl PlannedCommand {
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Done(_, true) => "Say that planned work is done",
            Self::Done(_, false) => "Say that planned work is still owed",
            Self::Measured(..) => "Measure a retapered wall",
            Self::InCase(_) => "Take planned work into the case",
            Self::Drop(_) => "Drop planned work",
        }
    }
}

pub(super) fn apply(command: PlannedCommand, file: &mut CaseFile) -> Result<(), CommandError> {
    let (PlannedCommand::Done(index, _)
    | PlannedCommand::Measured(index, _)
    | PlannedCommand::InCase(index)
    | PlannedCommand::Drop(index)) = command;
    let count = file.planned.len();
    let no_work = CommandError::NoPlannedWork { index, count };
    let planned = file.planned.get_mut(index).ok_or(no_work)?;
    match command {
        PlannedCommand::Done(_, true) => planned.state = Some(PlannedState::Done),
        PlannedCommand::Done(_, false) => planned.state = Some(PlannedState::Planned),
        PlannedCommand::Measured(_, taper_deg) => {
            let (PlannedKind::Retaper, Some(side)) = (planned.kind, planned.place.side) else {
                return Err(CommandError::NotMeasured);
            };
            planned.state = Some(PlannedState::Measured);
            let on = planned.place.coping.clone();
            let wall = wall_of(file, on.as_ref(), side).ok_or(CommandError::NotMeasured)?;
            wall.taper_deg = taper_deg;
            // How well nobody has said.
            wall.basis = Some(FigureBasis::Measured);
            wall.taper_se_deg = None;
        }
        PlannedCommand::InCase(_) => {
            let (kind, place) = (planned.kind, planned.place.clone());
            planned.state = Some(PlannedState::Measured);
            match (kind, place.side) {
                (PlannedKind::Retaper, _) => return Err(CommandError::TaperNotMeasured),
                (PlannedKind::Unguide, Some(side)) => {
                    if let Some(wall) = wall_of(file, place.coping.as_ref(), side) {
                        wall.guides = Some(false);
                    }
                }
                (PlannedKind::Omit, _) => {
                    file.copings
                        .retain(|coping| Some(id_of(coping)) != place.coping);
                    file.planned
                        .retain(|planned| planned.place.coping != place.coping);
                }
                _ => {}
            }
        }
        PlannedCommand::Drop(_) => {
            file.planned.remove(index);
        }
    }
    Ok(())
}

fn wall_of<'f>(
    file: &'f mut CaseFile,
    coping: Option<&String>,
    side: Side,
) -> Option<&'f mut Wall> {
    let coping = file
        .copings
        .iter_mut()
        .find(|known| Some(&id_of(known)) == coping)?;
    walls_of(&mut coping.basis).get_mut(side).as_mut()
}

/// Whether two pieces of work are of one kind in one place.
pub(super) fn same_place(a: &Planned, b: &Planned) -> bool {
    a.kind == b.kind && a.place == b.place
}

/// The id a coping goes by in a case that is read.
fn id_of(coping: &Coping) -> String {
    let tooth = || {
        let tooth = Tooth::parse(&coping.tooth);
        tooth.map_or_else(|_| coping.tooth.clone(), |tooth| tooth.to_string())
    };
    coping.id.clone().unwrap_or_else(tooth)
}

/// After a command to a coping: work planned on it goes by its name, and goes with it.
pub(super) fn follow_coping(command: &CopingCommand, before: &CaseFile, file: &mut CaseFile) {
    match command {
        CopingCommand::Id(index, _) | CopingCommand::Tooth(index, _) => {
            let both = before.copings.get(*index).zip(file.copings.get(*index));
            let Some((old, new)) = both.map(|(old, new)| (id_of(old), id_of(new))) else {
                return;
            };
            for planned in &mut file.planned {
                if planned.place.coping.as_ref() == Some(&old) {
                    planned.place.coping = Some(new.clone());
                }
            }
        }
        CopingCommand::Remove(index) => {
            let gone = before.copings.get(*index).map(id_of);
            file.planned
                .retain(|planned| gone.is_none() || planned.place.coping != gone);
        }
        CopingCommand::Wall(index, side, WallEdit::Remove) => {
            let on = before.copings.get(*index).map(id_of);
            file.planned.retain(|planned| {
                on.is_none() || planned.place.coping != on || planned.place.side != Some(*side)
            });
        }
        _ => {}
    }
}

/// After a command to a zone: work planned on it goes by its name, and goes with it.
pub(super) fn follow_zone(command: &ZoneCommand, before: &CaseFile, file: &mut CaseFile) {
    let old = |zone: &usize| before.seat_zones.get(*zone).map(|zone| zone.name.clone());
    match command {
        ZoneCommand::Rename { zone, .. } => {
            let (old, new) = (
                old(zone),
                file.seat_zones.get(*zone).map(|zone| zone.name.clone()),
            );
            for planned in &mut file.planned {
                if old.is_some() && planned.place.zone == old {
                    planned.place.zone.clone_from(&new);
                }
            }
        }
        ZoneCommand::Remove { zone } => {
            let gone = old(zone);
            file.planned
                .retain(|planned| gone.is_none() || planned.place.zone != gone);
        }
        _ => {}
    }
}
