//! What a session keeps on disk besides cases.
//!
//! * `profile`: the user's folder.
//! * `settings`: what the user prefers, and the cases opened last.
//! * `recovery`: unsaved work that outlives the program.
//! * `lock`: which recovery files belong to a session that still runs.
//! * `error`: why a file cannot be opened or saved.
mod error;
mod lock;
mod profile;
mod recovery;
mod settings;

pub use error::FileError;
pub(crate) use lock::{SessionLock, sweep};
pub use profile::Profile;
pub use recovery::Recoverable;
pub(crate) use recovery::{Recovered, RecoveryFile, recoverable, recovery_path};
pub use settings::Settings;
