//! What a call writes: looked at before the work begins, so that nothing is lost by it.

use crate::output::OutputError;
use anyhow::bail;
use std::fs::{self, File};
use std::io::Read;
use std::path::Path;
use tiltbench_case::atomic::could_write;

/// Refuses an output that is an input of the call, replaces a case file, is named twice, or could not be
/// written anyway.
///
/// # Errors
/// What is in the way and what to do; an [`OutputError`] where the place cannot be written.
pub(super) fn check<'a>(
    option: &str,
    outputs: impl IntoIterator<Item = &'a Path>,
    inputs: &[&Path],
) -> anyhow::Result<()> {
    let mut seen: Vec<&Path> = Vec::new();
    for output in outputs {
        let shown = output.display();
        if let Some(input) = inputs.iter().find(|input| same_file(input, output)) {
            bail!(
                "{option} {shown} would replace {}, which this call reads; give another name",
                input.display()
            );
        }
        if is_case(output) {
            bail!("{option} {shown} would replace a case file; give another name");
        }
        if seen
            .iter()
            .any(|other| *other == output || same_file(other, output))
        {
            bail!("{option} names {shown} twice; give each output a name of its own");
        }
        could_write(output).map_err(OutputError::File)?;
        seen.push(output);
    }
    Ok(())
}

/// Whether two paths are one file, also by way of links of either kind.
pub(super) fn same_file(one: &Path, other: &Path) -> bool {
    #[cfg(unix)]
    if let (Ok(one), Ok(other)) = (fs::metadata(one), fs::metadata(other)) {
        use std::os::unix::fs::MetadataExt;
        return (one.dev(), one.ino()) == (other.dev(), other.ino());
    }
    match (one.canonicalize(), other.canonicalize()) {
        (Ok(one), Ok(other)) => one == other,
        // What does not exist yet was not read.
        _ => false,
    }
}

/// Bytes of a file that are searched for the mark of a case.
const LOOKED_AT: u64 = 4096;

/// Whether a file is a case: JSON that says so near its beginning. A pipe or device is not asked.
fn is_case(path: &Path) -> bool {
    let is_file = fs::metadata(path).is_ok_and(|data| data.is_file());
    let mut bytes = Vec::new();
    let read = |file: File| file.take(LOOKED_AT).read_to_end(&mut bytes).is_ok();
    if !is_file || !File::open(path).is_ok_and(read) {
        return false;
    }
    let text = String::from_utf8_lossy(&bytes);
    text.trim_start_matches('\u{feff}')
        .trim_start()
        .starts_with('{')
        && text.contains("\"tiltbench-case\"")
}
