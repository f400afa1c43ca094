//! Title, arch and notes.

use serde_json::Value;
use tiltbench_case::schema::v1::CaseFile;
use tiltbench_geometry::frame::Arch;

/// What can be done to the case as a whole.
#[derive(Debug, Clone, PartialEq)]
pub enum CaseCommand {
    /// Names the case; an empty title is none.
    Title(String),
    /// Says which jaw the cast shows. Copings and zones stay where they are.
    Arch(Arch),
    /// Writes the notes, as one text; an empty text is none.
    Notes(String),
}

impl CaseCommand {
    pub(crate) fn name(&self) -> &'static str {
        match self {
            Self::Title(_) => "Change title",
            Self::Arch(_) => "Change arch",
            Self::Notes(_) => "Edit notes",
        }
    }
}

pub(super) fn apply(command: &CaseCommand, file: &mut CaseFile) {
    match command {
        CaseCommand::Title(title) => {
            let title = title.trim();
            file.title = (!title.is_empty()).then(|| title.to_owned());
        }
        CaseCommand::Arch(arch) => file.arch = *arch,
        CaseCommand::Notes(notes) => {
            file.notes = (!notes.is_empty()).then(|| Value::String(notes.clone()));
        }
    }
}
