//! The tilt in the hand, and those kept for comparison.

use super::error::CommandError;
use crate::held;
use tiltbench_case::schema::v1::CaseFile;
use tiltbench_geometry::tilt::Tilt;

/// What can be done with tilts.
#[derive(Debug, Clone, PartialEq)]
pub enum TiltCommand {
    /// Takes a tilt into the hand.
    Hold(Tilt),
    /// Keeps a tilt for comparison, in place of the one of that name if there is one.
    Keep {
        /// What to call it.
        name: String,
        /// The tilt.
        tilt: Tilt,
    },
    /// Lets go of a kept tilt.
    Drop {
        /// Its name.
        name: String,
    },
}

impl TiltCommand {
    pub(crate) fn name(&self) -> String {
        match self {
            Self::Hold(_) => "Hold tilt".into(),
            Self::Keep { name, .. } => format!("Keep tilt {}", name.trim()),
            Self::Drop { name } => format!("Drop tilt {name}"),
        }
    }
}

pub(super) fn apply(command: &TiltCommand, file: &mut CaseFile) -> Result<(), CommandError> {
    match command {
        TiltCommand::Hold(tilt) => held::hold(file, *tilt),
        TiltCommand::Keep { name, tilt } => match name.trim() {
            "" => return Err(CommandError::NoTiltName),
            name => held::keep(file, name, *tilt),
        },
        TiltCommand::Drop { name } => {
            if !held::drop_kept(file, name) {
                return Err(CommandError::NoKeptTilt(name.clone()));
            }
        }
    }
    Ok(())
}
