//! Writing a file whole or not at all.
//!
//! The bytes go to a temporary file in the same folder, are synced to the disk, and only then take
//! the name. Whoever reads the name meanwhile sees the old file or the new one, never half of one;
//! after a failure the old file is untouched and the temporary one gone. A program that is told to end in
//! the middle of it calls [`remove_unfinished`]; what one leaves that is killed goes by [`sweep_unfinished`].
//!
//! What is no file of one's own to replace is not replaced: a device or a pipe is written into, since
//! whoever reads it waits for its bytes; a file that may not be written is refused. A replaced file keeps
//! its permissions and its owner. Where the owner cannot be kept (a colleague's file that one may write)
//! the finished bytes are copied into it, which only a power cut within that moment can break.

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tempfile::NamedTempFile;

/// Why a file could not be written.
#[derive(Debug, thiserror::Error)]
#[error("cannot write {}: {step} failed: {source}{}", path.display(), self.afterwards())]
pub struct AtomicWriteError {
    /// What failed.
    pub step: &'static str,
    /// Why.
    pub source: io::Error,
    /// The file that was to be written.
    pub path: PathBuf,
    /// Whether a file stands there, untouched.
    pub stands: bool,
}

impl AtomicWriteError {
    /// Nothing was written yet when `step` failed.
    pub fn before_writing(step: &'static str, source: io::Error, path: &Path) -> Self {
        Self {
            step,
            source,
            path: path.to_path_buf(),
            stands: path.is_file(),
        }
    }

    fn afterwards(&self) -> &'static str {
        if self.stands {
            "; the file was left as it was"
        } else {
            ""
        }
    }
}

/// What a name stands for.
enum Standing {
    /// Nothing yet.
    Free,
    /// A regular file.
    File(fs::Metadata),
    /// A device, a pipe or a socket.
    Stream,
}

/// Writes `path` by way of `fill`, whole or not at all. An existing file is replaced and keeps its
/// permissions and owner; a symbolic link keeps pointing where it did, and what it points to is
/// replaced. A device or pipe is written into.
///
/// # Errors
/// [`AtomicWriteError`], also when `fill` fails.
pub fn write_atomically(
    path: &Path,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), AtomicWriteError> {
    // A path that does not exist yet cannot be resolved, and need not be.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let mut stands = false;
    let failed = |step, stands| failure(path, step, stands);
    let standing = stand(&target).map_err(failed("opening it", false))?;
    let old = match standing {
        Standing::Stream => return pour(&target, fill).map_err(failed("writing into it", false)),
        Standing::Free => None,
        Standing::File(old) => {
            stands = true;
            Some(old)
        }
    };
    let folder = folder_of(&target);
    let (temporary, _unfinished) =
        unfinished_file(folder).map_err(failed("making a temporary file beside it", stands))?;
    let mut writer = BufWriter::with_capacity(1 << 16, temporary);
    fill(&mut writer).map_err(failed("writing", stands))?;
    let temporary = writer
        .into_inner()
        .map_err(|error| failed("writing", stands)(error.into_error()))?;
    let is_like_the_old = match &old {
        None => true,
        Some(old) => {
            resemble(temporary.path(), old).map_err(failed("keeping its permissions", stands))?
        }
    };
    temporary
        .as_file()
        .sync_all()
        .map_err(failed("syncing to the disk", stands))?;
    if !is_like_the_old {
        return copy_into(temporary.path(), &target).map_err(failed("copying into it", false));
    }
    temporary
        .persist(&target)
        .map_err(|error| failed("giving it its name", stands)(error.error))?;
    sync_folder(folder).map_err(failed("syncing the folder", false))
}

/// Whether a file could be written there, without writing it: the folder exists and takes a file, and
/// what stands there may be replaced.
///
/// # Errors
/// [`AtomicWriteError`], as [`write_atomically`] would say it.
pub fn could_write(path: &Path) -> Result<(), AtomicWriteError> {
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let failed = |step, stands| failure(path, step, stands);
    let stands = match stand(&target).map_err(failed("opening it", false))? {
        Standing::Stream => return Ok(()),
        Standing::Free => false,
        Standing::File(_) => true,
    };
    let folder = folder_of(&target);
    let (trial, _unfinished) =
        unfinished_file(folder).map_err(failed("making a temporary file beside it", stands))?;
    trial
        .close()
        .map_err(failed("removing a temporary file beside it", stands))
}

/// Temporary files that this program is writing.
static UNFINISHED: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

/// The list of them, whoever panicked while it was held: it is whole at any time.
fn unfinished() -> MutexGuard<'static, BTreeSet<PathBuf>> {
    UNFINISHED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Removes every temporary file that is being written, for a program that is told to end at once. Until
/// what is given back is dropped no other is begun: end the program before. What cannot be removed is left.
pub fn remove_unfinished() -> impl Sized {
    let list = unfinished();
    for path in list.iter() {
        drop(fs::remove_file(path));
    }
    list
}

/// A temporary file that has not grown for so long is nobody's any more.
const UNTOUCHED: Duration = Duration::from_hours(1);

/// Removes the temporary files of programs that were killed while they wrote into a folder: those that nobody
/// has touched for an hour. What cannot be removed is left.
pub fn sweep_unfinished(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        if is_temporary(&entry.file_name()) && is_untouched(&entry) {
            drop(fs::remove_file(entry.path()));
        }
    }
}

/// Whether a file has a name that [`builder`] gives.
fn is_temporary(name: &OsStr) -> bool {
    let end = name.to_str().and_then(|name| name.strip_prefix(PREFIX));
    end.is_some_and(|end| end.len() == RANDOM && end.bytes().all(|b| b.is_ascii_alphanumeric()))
}

fn is_untouched(entry: &fs::DirEntry) -> bool {
    let Ok(metadata) = entry.metadata() else {
        return false;
    };
    let age = metadata.modified().ok().and_then(|at| at.elapsed().ok());
    metadata.is_file() && age.is_some_and(|age| age > UNTOUCHED)
}

/// A temporary file's place in the list, for as long as it is written.
struct Unfinished(PathBuf);

impl Drop for Unfinished {
    fn drop(&mut self) {
        unfinished().remove(&self.0);
    }
}

/// Begins a temporary file. It is in the list from its first moment on.
fn unfinished_file(folder: &Path) -> io::Result<(NamedTempFile, Unfinished)> {
    let mut list = unfinished();
    let file = builder().tempfile_in(folder)?;
    let path = file.path().to_path_buf();
    list.insert(path.clone());
    Ok((file, Unfinished(path)))
}

/// Says of what the system says which step of writing a file failed.
fn failure(
    path: &Path,
    step: &'static str,
    stands: bool,
) -> impl FnOnce(io::Error) -> AtomicWriteError {
    let path = path.to_path_buf();
    move |source| AtomicWriteError {
        step,
        source: without_path(source),
        path,
        stands,
    }
}

fn folder_of(target: &Path) -> &Path {
    match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// What a temporary file's name begins with, and how many letters and digits follow.
const PREFIX: &str = ".writing-";
const RANDOM: usize = 6;

fn builder() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX).rand_bytes(RANDOM);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // What a plain create would ask for; the system takes off what the user's mask forbids.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder
}

/// The cause alone: a temporary file's name, which some errors carry, means nothing to anybody.
fn without_path(source: io::Error) -> io::Error {
    let text = source.to_string();
    match text.split_once(" at path \"") {
        Some((cause, _)) => io::Error::new(source.kind(), cause.to_owned()),
        None => source,
    }
}

/// What stands at a path, and whether it may be written.
fn stand(target: &Path) -> io::Result<Standing> {
    let metadata = match fs::metadata(target) {
        Ok(metadata) => metadata,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Standing::Free),
        Err(error) => return Err(error),
    };
    if metadata.is_dir() {
        return Err(io::Error::new(
            io::ErrorKind::IsADirectory,
            "it is a folder",
        ));
    }
    if !metadata.is_file() {
        return Ok(Standing::Stream);
    }
    // An administrator may write what is read-only, but did not mean to.
    if metadata.permissions().readonly() {
        let kind = io::ErrorKind::PermissionDenied;
        return Err(io::Error::new(kind, "it is read-only"));
    }
    OpenOptions::new().write(true).open(target)?;
    Ok(Standing::File(metadata))
}

/// Writes straight into a device or pipe.
fn pour(target: &Path, fill: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
    let stream = OpenOptions::new().write(true).open(target)?;
    let mut writer = BufWriter::with_capacity(1 << 16, stream);
    fill(&mut writer)?;
    writer.flush()
}

/// Gives a new file the permissions and the owner of the one it replaces; false where the owner cannot
/// be given.
fn resemble(new: &Path, old: &fs::Metadata) -> io::Result<bool> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, chown};
        let own = fs::metadata(new)?;
        let is_another_owners = (own.uid(), own.gid()) != (old.uid(), old.gid());
        if is_another_owners && chown(new, Some(old.uid()), Some(old.gid())).is_err() {
            return Ok(false);
        }
    }
    fs::set_permissions(new, old.permissions())?;
    Ok(true)
}

fn copy_into(from: &Path, target: &Path) -> io::Result<()> {
    let mut from = File::open(from)?;
    let mut file = OpenOptions::new().write(true).truncate(true).open(target)?;
    io::copy(&mut from, &mut file)?;
    file.sync_all()
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
    fn old_temporary_files_are_swept_and_no_others() {
        let folder = tempfile::tempdir().unwrap();
        let put = |name: &str, age: Duration| {
            let file = File::create(folder.path().join(name)).unwrap();
            let made = file.metadata().unwrap().modified().unwrap();
            file.set_modified(made - age).unwrap();
        };
        put(".writing-aB3dE6", 2 * UNTOUCHED);
        put(".writing-aB3dE7", UNTOUCHED / 2);
        for name in [
            ".writing-aB3dE",
            ".writing-aB.dE6",
            "writing-aB3dE6",
            "a.txt",
        ] {
            put(name, 2 * UNTOUCHED);
        }
        fs::create_dir(folder.path().join(".writing-aB3dE8")).unwrap();
        let (_held, unfinished) = unfinished_file(folder.path()).unwrap();
        let being_written = unfinished.0.file_name().unwrap().to_os_string();
        assert!(is_temporary(&being_written), "{}", being_written.display());
        let before = names(folder.path());
        sweep_unfinished(folder.path());
        let mut after = names(folder.path());
        after.push(".writing-aB3dE6".into());
        after.sort();
        assert_eq!(after, before);
    }

    #[test]
    fn a_missing_folder_and_a_folder_as_target_are_named() {
        let folder = tempfile::tempdir().unwrap();
        let error = write_atomically(&folder.path().join("none/a.txt"), |_| Ok(())).unwrap_err();
        assert_eq!(error.step, "making a temporary file beside it");
        let text = error.to_string();
        assert!(
            !text.contains(".writing-") && !text.contains("left as it was"),
            "{text}"
        );
        assert!(could_write(&folder.path().join("none/a.txt")).is_err());
        assert!(could_write(&folder.path().join("a.txt")).is_ok());
        assert!(names(folder.path()).is_empty());
        let error = write_atomically(folder.path(), |_| Ok(())).unwrap_err();
        assert!(error.to_string().contains("it is a folder"), "{error}");
    }

    #[cfg(unix)]
    #[test]
    fn what_is_read_only_is_refused_even_to_an_administrator() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.txt");
        fs::write(&path, "old").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).unwrap();
        let error = write_atomically(&path, |w| w.write_all(b"new")).unwrap_err();
        assert!(error.to_string().contains("read-only"), "{error}");
        assert!(could_write(&path).is_err());
        assert_eq!(fs::read(&path).unwrap(), b"old");
    }

    #[cfg(unix)]
    #[test]
    fn the_owner_is_kept() {
        use std::os::unix::fs::{MetadataExt, chown};
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.txt");
        fs::write(&path, "old").unwrap();
        // Only an administrator can give a file away; for others there is nothing to see here.
        if chown(&path, Some(1234), Some(2345)).is_err() {
            return;
        }
        write_atomically(&path, |w| w.write_all(b"new")).unwrap();
        let now = fs::metadata(&path).unwrap();
        assert_eq!((now.uid(), now.gid()), (1234, 2345));
        assert_eq!(fs::read(&path).unwrap(), b"new");
    }

    #[cfg(unix)]
    #[test]
    fn a_pipe_gets_the_bytes_and_stays_a_pipe() {
        use std::os::unix::fs::FileTypeExt;
        let folder = tempfile::tempdir().unwrap();
        let pipe = folder.path().join("pipe");
        let made = std::process::Command::new("mkfifo").arg(&pipe).status();
        assert!(made.is_ok_and(|status| status.success()), "mkfifo");
        let reader = {
            let pipe = pipe.clone();
            std::thread::Builder::new()
                .name("reader".to_owned())
                .spawn(move || fs::read(pipe))
                .unwrap()
        };
        write_atomically(&pipe, |w| w.write_all(b"new")).unwrap();
        assert_eq!(reader.join().unwrap().unwrap(), b"new");
        assert!(fs::metadata(&pipe).unwrap().file_type().is_fifo());
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
