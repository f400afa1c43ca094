//! A case that is still being worked on.
//!
//! A draft holds what its author has entered so far, right or wrong: it decodes as a case file, and
//! nothing more is asked of it. The strict reader stays the gate to everything that computes:
//! [`Draft::check`] gives the [`Case`], or every problem with its path.
//!
//! Like an edited case, a draft keeps what it does not know: it remembers the text it came from, and
//! is laid over it when it is written.

use crate::atomic::{AtomicWriteError, write_atomically};
use crate::case::{Case, text_of};
use crate::problem::CaseErrors;
use crate::read::{MAX_BYTES, parse_case};
use crate::schema::v1::CaseFile;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::sync::Arc;

/// A case file that may have problems, and the text it came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// What has been entered.
    pub file: CaseFile,
    older: Option<Arc<str>>,
}

impl Draft {
    /// A draft that comes from no file.
    pub fn new(file: CaseFile) -> Self {
        Self { file, older: None }
    }

    /// The draft to start from to edit a case.
    pub fn of(case: &Case) -> Self {
        Self {
            file: case.file.clone(),
            older: Some(case.text.as_str().into()),
        }
    }

    /// This draft with other content, still laid over the same text.
    #[must_use]
    pub fn with(&self, file: CaseFile) -> Self {
        Self {
            file,
            older: self.older.clone(),
        }
    }

    /// The draft, and the case it makes or the problems that keep it from being one, from the bytes
    /// of a file in `folder`.
    ///
    /// # Errors
    /// [`CaseErrors`] when the file is no case at all, is of a version this program does not read,
    /// or has a value of the wrong kind or lacks one: then there is nothing to edit, and the errors
    /// are those of the strict reader.
    pub fn parse(
        bytes: impl AsRef<[u8]>,
        folder: &Path,
    ) -> Result<(Self, Result<Case, CaseErrors>), CaseErrors> {
        let bytes = bytes.as_ref();
        match parse_case(bytes, folder) {
            Ok(case) => Ok((Self::of(&case), Ok(case))),
            Err(CaseErrors::Problems { listed, unlisted }) => {
                let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
                let errors = CaseErrors::Problems { listed, unlisted };
                let text = std::str::from_utf8(bytes).ok();
                match text
                    .and_then(|text| Some((text, serde_json::from_str::<CaseFile>(text).ok()?)))
                {
                    Some((text, mut file)) => {
                        file.bring_forward();
                        let older = Some(text.into());
                        Ok((Self { file, older }, Err(errors)))
                    }
                    None => Err(errors),
                }
            }
            Err(errors) => Err(errors),
        }
    }

    /// Whether the draft is a case, as the strict reader sees it.
    ///
    /// # Errors
    /// As [`parse_case`]; lines and columns count in [`Draft::to_text`].
    pub fn check(&self, folder: &Path) -> Result<Case, CaseErrors> {
        parse_case(self.to_text()?, folder)
    }

    /// The text of the case file. Keys this program does not know, the order of keys and the way
    /// untouched numbers are written stay as they were.
    ///
    /// A number that is not finite, which JSON cannot hold, becomes `null`, which the reader refuses.
    ///
    /// # Errors
    /// None in practice: everything a draft holds can be written as JSON.
    pub fn to_text(&self) -> Result<String, CaseErrors> {
        text_of(&self.file, self.older.as_deref())
    }
}

/// Reads a draft, and the case it makes or the problems that keep it from being one.
///
/// # Errors
/// As [`Draft::parse`], or the file cannot be read.
pub fn read_draft(path: &Path) -> Result<(Draft, Result<Case, CaseErrors>), CaseErrors> {
    let mut bytes = Vec::new();
    File::open(path)?
        .take(MAX_BYTES + 1)
        .read_to_end(&mut bytes)?;
    Draft::parse(&bytes, path.parent().unwrap_or(Path::new("")))
}

/// Writes a draft, problems and all, whole or not at all. Its scan is written as it stands: give it
/// a path that holds from the new folder first ([`crate::scan_from`]).
///
/// # Errors
/// [`AtomicWriteError`]; an existing file is then untouched.
pub fn write_draft(draft: &Draft, path: &Path) -> Result<(), AtomicWriteError> {
    let text = draft.to_text().map_err(|error| {
        let source = io::Error::other(error);
        AtomicWriteError::before_writing("turning the case into text", source, path)
    })?;
    write_atomically(path, |writer| writer.write_all(text.as_bytes()))
}
