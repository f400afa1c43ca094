//! Writing a case file, and moving a case to another folder.

use crate::atomic::{AtomicWriteError, write_atomically};
use crate::case::Case;
use crate::problem::CaseErrors;
use std::io;
use std::path::{Component, Path, PathBuf};

/// Writes a case, whole or not at all: a temporary file in the same folder, synced, then renamed.
///
/// In another folder than the case came from, a relative scan path is rewritten so that it still
/// names the same scan ([`Case::moved_to`]). Everything else is written as [`Case::to_text`] has it.
///
/// # Errors
/// [`AtomicWriteError`]; an existing file is then untouched.
pub fn write_case(case: &Case, path: &Path) -> Result<(), AtomicWriteError> {
    let folder = path.parent().unwrap_or(Path::new(""));
    let text = case
        .moved_to(folder)
        .map_err(|error| {
            let source = io::Error::other(error);
            AtomicWriteError::before_writing("naming the scan from its new folder", source, path)
        })?
        .to_text();
    write_atomically(path, |writer| writer.write_all(text.as_bytes()))
}

impl Case {
    /// This case as it has to read in another folder: a relative scan path still names the same
    /// scan. Absolute where the two folders share no root.
    ///
    /// # Errors
    /// [`CaseErrors::Io`] when a folder does not exist, or when the path is not Unicode, which JSON
    /// cannot hold.
    pub fn moved_to(&self, folder: &Path) -> Result<Self, CaseErrors> {
        let mut file = self.file.clone();
        if let (Some(cast), true) = (&mut file.cast, folder != self.folder)
            && Path::new(&cast.scan).is_relative()
        {
            let (from, to) = (resolved(folder)?, resolved(&self.folder)?);
            if from != to {
                cast.scan = relative(&from, &to.join(&cast.scan))?;
            }
        }
        let mut moved = if file == self.file {
            self.clone()
        } else {
            self.edited(&file)?
        };
        moved.set_folder(folder);
        Ok(moved)
    }
}

/// The path by which a case file in `folder` names a scan: relative, with `/` between the parts;
/// absolute where the two share no root.
///
/// # Errors
/// When the folder, or that of the scan, does not exist, or the path is not Unicode, which JSON
/// cannot hold.
pub fn scan_from(folder: &Path, scan: &Path) -> io::Result<String> {
    let scan_folder = resolved(scan.parent().unwrap_or(Path::new("")))?;
    let name = scan.file_name().unwrap_or_default();
    relative(&resolved(folder)?, &scan_folder.join(name))
}

/// A folder without links and dots. The empty path is the current folder.
fn resolved(folder: &Path) -> io::Result<PathBuf> {
    let folder = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    folder.canonicalize()
}

/// The way from a folder to a file, both absolute, with `/` between the parts.
fn relative(folder: &Path, file: &Path) -> io::Result<String> {
    let shared = folder
        .components()
        .zip(file.components())
        .take_while(|(a, b)| a == b)
        .count();
    let up = folder.components().skip(shared).map(|_| "..");
    let whole = || -> Option<String> {
        if shared == 0 {
            return file.to_str().map(str::to_owned);
        }
        let down = file.components().skip(shared).map(|part| match part {
            Component::ParentDir => Some(".."),
            part => part.as_os_str().to_str(),
        });
        let parts = up.map(Some).chain(down).collect::<Option<Vec<_>>>()?;
        Some(parts.join("/"))
    };
    whole().ok_or_else(|| {
        let message = format!("the path {} is not Unicode", file.display());
        io::Error::new(io::ErrorKind::InvalidFilename, message)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_between_folders() {
        for (folder, file, way) in [
            ("/a/b", "/a/b/s.ply", "s.ply"),
            ("/a/b/c", "/a/b/s.ply", "../s.ply"),
            ("/a", "/a/b/s.ply", "b/s.ply"),
            ("/x/y", "/a/b/s.ply", "../../a/b/s.ply"),
            ("/a/b", "/a/c/../d/s.ply", "../c/../d/s.ply"),
        ] {
            assert_eq!(relative(Path::new(folder), Path::new(file)).unwrap(), way);
        }
    }
}
