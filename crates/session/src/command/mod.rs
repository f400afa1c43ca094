//! Everything that can be done to a document, one family a file.
//!
//! * `apply`: the enum of all commands, and the one place where they are carried out.
//! * `error`: why a command cannot be carried out.
//! * `case`, `cast`, `coping`, `wall`, `zone`, `limit`, `tilt`, `changes`, `planned`: the families.
//!
//! A command that is carried out may leave a document with problems (a typed number out of range, an
//! outline that crosses itself): a draft is allowed to be wrong, and the reader says where. Only
//! what has no meaning at all is refused.
mod apply;
mod case;
mod cast;
mod changes;
mod coping;
mod error;
mod limit;
mod planned;
mod tilt;
mod wall;
mod zone;

pub use apply::{Command, Origin};
pub(crate) use apply::{Context, apply, name};
pub use case::CaseCommand;
pub use cast::{Carry, CastCommand};
pub use changes::ChangesCommand;
pub(crate) use changes::tidy;
pub use coping::{CopingCommand, NewWalls};
pub use error::CommandError;
pub use limit::{CaseLimit, LimitCommand};
pub use planned::PlannedCommand;
pub use tilt::TiltCommand;
pub use wall::WallEdit;
pub use zone::ZoneCommand;
