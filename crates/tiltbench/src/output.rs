//! Standard output: one whole answer, or nothing.

use serde::Serialize;
use std::io::{self, Write};

/// The answer could not be written.
#[derive(Debug)]
pub(crate) struct OutputError(io::Error);

impl std::fmt::Display for OutputError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "cannot write to standard output: {}", self.0)
    }
}

impl std::error::Error for OutputError {}

/// Writes an answer as one JSON document.
///
/// # Errors
/// [`OutputError`], unless the reader has closed its end.
pub(crate) fn json(answer: &impl Serialize) -> Result<(), OutputError> {
    let mut bytes = serde_json::to_vec_pretty(answer).map_err(|e| OutputError(e.into()))?;
    bytes.push(b'\n');
    write(&bytes)
}

/// Writes text or any other bytes.
///
/// # Errors
/// [`OutputError`], unless the reader has closed its end: then it has what it wanted.
pub(crate) fn write(bytes: &[u8]) -> Result<(), OutputError> {
    let mut out = io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(OutputError(error)),
        _ => Ok(()),
    }
}

/// Says something beside the answer, on standard error. Where even that is closed nobody listens.
pub(crate) fn note(text: &str) {
    drop(writeln!(io::stderr(), "{text}"));
}
