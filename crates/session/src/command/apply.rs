//! The commands, and the one place where they are carried out.

use super::case::CaseCommand;
use super::cast::CastCommand;
use super::changes::ChangesCommand;
use super::coping::CopingCommand;
use super::error::CommandError;
use super::limit::LimitCommand;
use super::planned::{self, PlannedCommand};
use super::tilt::TiltCommand;
use super::zone::ZoneCommand;
use crate::document::State;
use std::sync::Arc;
use tiltbench_case::Case;
use tiltbench_case::schema::v1::CaseFile;
use tiltbench_geometry::mesh::Mesh;

/// Something that can be done to a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// Title, arch, notes.
    Case(CaseCommand),
    /// The scan, its unit and its frame.
    Cast(CastCommand),
    /// A coping.
    Coping(CopingCommand),
    /// A seat zone.
    Zone(ZoneCommand),
    /// A limit of the whole case.
    Limit(LimitCommand),
    /// The tilt in the hand, and those kept.
    Tilt(TiltCommand),
    /// A set of changes that the survey found.
    Changes(ChangesCommand),
    /// Work that is planned.
    Planned(PlannedCommand),
}

/// Where a command was sent from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Origin {
    /// A menu.
    Menu,
    /// A key.
    Keyboard,
    /// The list of actions.
    Palette,
    /// The view of the cast.
    Cast,
    /// The tilt chart.
    Chart,
    /// The ledger of walls and zones.
    Ledger,
    /// A form of one of the job's steps.
    Form,
    /// The session itself, when a job it was asked for is done.
    Job,
    /// A program or a test.
    Script,
}

/// What a command may look at besides the document.
pub(crate) struct Context<'a> {
    /// The document as a checked case, if it is one.
    pub(crate) case: Option<&'a Case>,
    /// The cast in the cast frame, if it is in memory.
    pub(crate) mesh: Option<&'a Arc<Mesh>>,
}

/// Carries out a command on a copy.
///
/// # Errors
/// [`CommandError`]; nothing has then happened.
pub(crate) fn apply(
    command: &Command,
    state: &State,
    context: &Context<'_>,
) -> Result<State, CommandError> {
    if let Command::Cast(command) = command {
        return super::cast::apply(command, state, context);
    }
    let mut file = CaseFile::clone(&state.file);
    match command {
        Command::Case(command) => super::case::apply(command, &mut file),
        Command::Coping(command) => {
            super::coping::apply(command, &mut file, context)?;
            planned::follow_coping(command, &state.file, &mut file);
        }
        Command::Zone(command) => {
            super::zone::apply(command, &mut file)?;
            planned::follow_zone(command, &state.file, &mut file);
        }
        Command::Limit(command) => super::limit::apply(*command, &mut file),
        Command::Tilt(command) => super::tilt::apply(command, &mut file)?,
        Command::Changes(command) => super::changes::apply(command, &mut file, context)?,
        Command::Planned(command) => planned::apply(*command, &mut file)?,
        // Handled above: it is the one family that changes more than the file.
        Command::Cast(_) => {}
    }
    Ok(state.with_file(file))
}

/// The name of a command in the list of steps, in sentence case. `state` is that before it.
pub(crate) fn name(command: &Command, state: &State) -> String {
    let file = &state.file;
    match command {
        Command::Case(command) => command.name().to_owned(),
        Command::Cast(command) => command.name(),
        Command::Coping(command) => command.name(file),
        Command::Zone(command) => command.name(file),
        Command::Limit(command) => command.name(),
        Command::Tilt(command) => command.name(),
        Command::Changes(command) => command.name(),
        Command::Planned(command) => command.name().to_owned(),
    }
}
