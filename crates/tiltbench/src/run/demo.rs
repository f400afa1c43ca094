//! `demo`: the sample cases and their scans, written to a folder.

use crate::args::DemoArgs;
use crate::output;
use crate::progress::Progress;
use anyhow::bail;
use std::path::{Path, PathBuf};
use tiltbench_case::demo::{SampleKind, write_samples};

pub(super) fn run(args: &DemoArgs) -> anyhow::Result<()> {
    if args.list {
        output::write(listed().as_bytes())?;
        return Ok(());
    }
    if let Some(standing) = standing(&args.out).first().filter(|_| !args.force) {
        bail!(
            "{} is there already; choose another folder with --out, or replace it with --force",
            standing.display()
        );
    }
    let progress = Progress::start("making the sample casts");
    let written = write_samples(&args.out)?;
    drop(progress);
    let lines: Vec<String> = written
        .iter()
        .map(|path| path.display().to_string())
        .collect();
    output::write((lines.join("\n") + "\n").as_bytes())?;
    Ok(())
}

fn listed() -> String {
    let width = SampleKind::ALL
        .iter()
        .map(|kind| kind.file_stem().len())
        .max()
        .unwrap_or(0);
    let lines =
        SampleKind::ALL.map(|kind| format!("{:width$}  {}", kind.file_stem(), kind.description()));
    lines.join("\n") + "\n"
}

/// The files that would be replaced.
fn standing(folder: &Path) -> Vec<PathBuf> {
    SampleKind::ALL
        .iter()
        .flat_map(|kind| ["json", "ply"].map(|end| format!("{}.{end}", kind.file_stem())))
        .map(|name| folder.join(name))
        .filter(|path| path.exists())
        .collect()
}
