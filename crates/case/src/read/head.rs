//! The head of a case file: whether it is one, and of which version.
//!
//! Version 1 is the first, so there is nothing to bring forward yet: an older file cannot exist,
//! and is refused as such. A newer minor version opens, a newer major one does not.

use crate::json::{Kind, Node};
use crate::problem::CaseErrors;
use crate::schema::v1::{FORMAT, Version};

/// The version of a file, or why it is not a case this program reads.
pub(crate) fn version(root: &Node<'_>) -> Result<Version, CaseErrors> {
    if !matches!(root.kind, Kind::Object(_)) {
        return Err(CaseErrors::NotAnObject {
            found: root.in_words(),
        });
    }
    let format = root.member("format").ok_or(CaseErrors::NoFormat)?;
    if format.as_str().as_deref() != Some(FORMAT) {
        return Err(CaseErrors::OtherFormat {
            found: format.in_words(),
        });
    }
    let version = root.member("version").ok_or(CaseErrors::NoVersion)?;
    let (major, minor) = pair(version).ok_or_else(|| CaseErrors::BadVersion {
        found: if matches!(version.kind, Kind::Scalar) {
            version.in_words()
        } else {
            crate::json::excerpt(version.text)
        },
    })?;
    let known = Version::WRITTEN;
    if major > u64::from(known.major) {
        return Err(CaseErrors::NewerVersion {
            major,
            minor,
            known_major: known.major,
        });
    }
    if major < u64::from(known.major) {
        return Err(CaseErrors::OlderVersion { major, minor });
    }
    Ok(Version {
        major: known.major,
        minor: u32::try_from(minor).map_err(|_beyond| CaseErrors::BadVersion {
            found: crate::json::excerpt(version.text),
        })?,
    })
}

/// `[major, minor]`, or `major` alone for `[major, 0]`.
fn pair(version: &Node<'_>) -> Option<(u64, u64)> {
    let whole = |node: &Node<'_>| node.text.parse::<u64>().ok();
    match &version.kind {
        Kind::Scalar => Some((whole(version)?, 0)),
        Kind::Array(parts) => match parts.as_slice() {
            [major, minor] => Some((whole(major)?, whole(minor)?)),
            _ => None,
        },
        Kind::Object(_) => None,
    }
}
