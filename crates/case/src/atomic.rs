//! Writing a file whole or not at all.
//!
//! The bytes go to a temporary file in the same folder, are synced to the disk, and only then take
//! the name. Whoever reads the name meanwhile sees the old file or the new one, never half of one;
//! after a failure the old file is untouched and the temporary one gone.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

/// Why a file could not be written.
#[derive(Debug, thiserror::Error)]
#[error("cannot write: {step} failed: {source}; the file was left as it was: {}", path.display())]
pub struct AtomicWriteError {
    /// What failed.
    pub step: &'static str,
    /// Why.
    pub source: io::Error,
    /// The file that was to be written.
    pub path: PathBuf,
}

/// Writes `path` by way of `fill`, whole or not at all. An existing file is replaced and keeps its
/// permissions; a symbolic link keeps pointing where it did, and what it points to is replaced.
///
/// # Errors
/// [`AtomicWriteError`], also when `fill` fails.
pub fn write_atomically(
    path: &Path,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), AtomicWriteError> {
    let failed = |step: &'static str| {
        move |source: io::Error| AtomicWriteError {
            step,
            source,
            path: path.to_path_buf(),
        }
    };
    // A path that does not exist yet cannot be resolved, and need not be.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    if target.is_dir() {
        let source = io::Error::new(io::ErrorKind::IsADirectory, "it is a folder");
        return Err(failed("opening the file")(source));
    }
    let folder = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".writing-");
    let permissions = fs::metadata(&target).map(|old| old.permissions()).ok();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // What a plain create would ask for; the system takes off what the user's mask forbids.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let temporary = builder
        .tempfile_in(folder)
        .map_err(failed("making a temporary file beside it"))?;
    let mut writer = BufWriter::with_capacity(1 << 16, temporary);
    fill(&mut writer).map_err(failed("writing"))?;
    let temporary = writer
        .into_inner()
        .map_err(|error| failed("writing")(error.into_error()))?;
    if let Some(permissions) = permissions {
        fs::set_permissions(temporary.path(), permissions)
            .map_err(failed("keeping the permissions"))?;
    }
    temporary
        .as_file()
        .sync_all()
        .map_err(failed("syncing to the disk"))?;
    temporary
        .persist(&target)
        .map_err(|error| failed("giving it its name")(error.error))?;
    sync_folder(folder).map_err(failed("syncing the folder"))
}

/// Makes the new name itself durable. Folders cannot be opened as files on all systems.
#[cfg(unix)]
fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

#[cfg(not(unix))]
fn sync_folder(_folder: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn replaces_the_whole_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.txt");
        fs::write(&path, "an older and longer text").unwrap();
        write_atomically(&path, |w| w.write_all(b"new")).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert_eq!(names(folder.path()), ["a.txt"]);
    }

    #[test]
    fn a_failure_half_way_leaves_the_old_file_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.txt");
        fs::write(&path, "old").unwrap();
        let error = write_atomically(&path, |w| {
            w.write_all(&vec![7; 200_000])?;
            Err(io::Error::other("the disk is full"))
        })
        .unwrap_err();
        assert!(error.to_string().contains("the disk is full"), "{error}");
        assert_eq!(fs::read(&path).unwrap(), b"old");
        assert_eq!(names(folder.path()), ["a.txt"]);
    }

    #[test]
    fn a_missing_folder_and_a_folder_as_target_are_named() {
        let folder = tempfile::tempdir().unwrap();
        let error = write_atomically(&folder.path().join("none/a.txt"), |_| Ok(())).unwrap_err();
        assert_eq!(error.step, "making a temporary file beside it");
        let error = write_atomically(folder.path(), |_| Ok(())).unwrap_err();
        assert!(error.to_string().contains("it is a folder"), "{error}");
    }

    #[cfg(unix)]
    #[test]
    fn permissions_and_links_are_kept() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.txt");
        let link = folder.path().join("link.txt");
        fs::write(&path, "old").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&path, &link).unwrap();
        write_atomically(&link, |w| w.write_all(b"new")).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(
            fs::metadata(&path).unwrap().permissions().mode() & 0o777,
            0o640
        );
        // A new file is as readable as any other the user makes.
        let plain = folder.path().join("plain.txt");
        fs::write(&plain, "").unwrap();
        let fresh = folder.path().join("fresh.txt");
        write_atomically(&fresh, |w| w.write_all(b"x")).unwrap();
        assert_eq!(
            fs::metadata(&fresh).unwrap().permissions().mode(),
            fs::metadata(&plain).unwrap().permissions().mode()
        );
    }
}
