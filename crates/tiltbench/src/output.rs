//! Standard output: one whole answer, or nothing.

use serde::Serialize;
use std::io::{self, Write};
use tiltbench_case::atomic::AtomicWriteError;

/// The answer could not be written.
#[derive(Debug)]
pub(crate) enum OutputError {
    /// To standard output.
    Standard(io::Error),
    /// To a file.
    File(AtomicWriteError),
    /// To a file, after others of the same call.
    Later {
        /// What failed.
        error: AtomicWriteError,
        /// The files that were.
        written: String,
    },
}

impl std::fmt::Display for OutputError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Standard(error) => write!(f, "cannot write to standard output: {error}"),
            Self::File(error) => write!(f, "{error}"),
            Self::Later { error, written } => write!(f, "{error}; already written: {written}"),
        }
    }
}

impl std::error::Error for OutputError {}

/// Writes an answer as one JSON document.
///
/// # Errors
/// [`OutputError`], unless the reader has closed its end.
pub(crate) fn json(answer: &impl Serialize) -> Result<(), OutputError> {
    let mut bytes =
        serde_json::to_vec_pretty(answer).map_err(|e| OutputError::Standard(e.into()))?;
    bytes.push(b'\n');
    write(&bytes)
}

/// Writes text or any other bytes.
///
/// # Errors
/// [`OutputError`], unless the reader has closed its end: then it has what it wanted.
pub(crate) fn write(bytes: &[u8]) -> Result<(), OutputError> {
    if was_closed() {
        let closed = io::Error::new(io::ErrorKind::NotConnected, "it is closed");
        return Err(OutputError::Standard(closed));
    }
    let mut out = io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(OutputError::Standard(error))
        }
        _ => Ok(()),
    }
}

/// Whether the program was started with standard output closed. The runtime then opens the null device in
/// its place, for reading and writing, so that the answer would vanish without a word; a user who sends
/// it there opens it for writing only.
#[cfg(target_os = "linux")]
fn was_closed() -> bool {
    let is_null =
        std::fs::read_link("/proc/self/fd/1").is_ok_and(|to| to.as_os_str() == "/dev/null");
    let both_ways = |info: String| {
        let flags = info.lines().find_map(|line| line.strip_prefix("flags:"));
        flags
            .and_then(|flags| u32::from_str_radix(flags.trim(), 8).ok())
            .is_some_and(|flags| flags & 3 == 2)
    };
    is_null && std::fs::read_to_string("/proc/self/fdinfo/1").is_ok_and(both_ways)
}

#[cfg(not(target_os = "linux"))]
fn was_closed() -> bool {
    false
}

/// Says something beside the answer, on standard error. Where even that is closed nobody listens.
pub(crate) fn note(text: &str) {
    drop(writeln!(io::stderr(), "{text}"));
}
