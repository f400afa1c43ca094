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
/// Where the program was started with standard output closed, the runtime has put the null device in its
/// place before `main`, just as callers do who want no answer: the two cannot be told apart, so it counts
/// as written.
///
/// # Errors
/// [`OutputError`], unless the reader has closed its end: then it has what it wanted.
pub(crate) fn write(bytes: &[u8]) -> Result<(), OutputError> {
    let mut out = io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(OutputError::Standard(error))
        }
        _ => Ok(()),
    }
}

/// Says something beside the answer, on standard error. Where even that is closed nobody listens.
pub(crate) fn note(text: &str) {
    drop(writeln!(io::stderr(), "{text}"));
}
