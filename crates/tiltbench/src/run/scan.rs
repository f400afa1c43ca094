//! `scan`: what a scan is, how it is, and a mended copy of it on request.

use crate::args::ScanArgs;
use crate::progress::Progress;
use crate::{answer, output, text};
use anyhow::{Context, bail};
use std::path::{Path, PathBuf};
use tiltbench_case::mesh_io::{ScanReport, read_scan, write_ply};
use tiltbench_geometry::mesh::{Change, MendOptions, MeshHealth, Turn, check, mend};

/// A scan that has been looked at.
#[derive(Debug)]
pub(crate) struct Scanned {
    /// The file, as it was given.
    pub(crate) path: PathBuf,
    /// All there is to tell.
    pub(crate) report: ScanReport,
    /// What was mended, if that was asked for.
    pub(crate) mending: Option<Mending>,
}

/// A mended copy.
#[derive(Debug)]
pub(crate) struct Mending {
    /// Where it was written.
    pub(crate) path: PathBuf,
    /// Every change, facets and vertices numbered as in the scan.
    pub(crate) changes: Vec<Change>,
    /// The health of the copy.
    pub(crate) after: MeshHealth,
}

pub(super) fn run(args: &ScanArgs) -> anyhow::Result<()> {
    let progress = Progress::start("reading the scan");
    let scan = read_scan(&args.file)?;
    progress.work("checking the scan");
    let report = ScanReport::new(&scan, args.unit)?;
    let mut mending = None;
    if let Some(out) = &args.mend {
        if same_file(&args.file, out) {
            bail!(
                "--mend would replace the scan itself; give another name than {}",
                out.display()
            );
        }
        progress.work("mending the scan");
        let options = MendOptions {
            winding: if args.turn_open {
                Turn::OpenPiecesToo
            } else {
                Turn::ClosedPieces
            },
            ..MendOptions::default()
        };
        let mended = mend(&scan.mesh, options)?;
        if mended.mesh.triangles.is_empty() {
            bail!(
                "nothing of the scan is left when mended, so nothing is written: {}",
                args.file.display()
            );
        }
        write_ply(out, &mended.mesh)?;
        mending = Some(Mending {
            path: out.clone(),
            after: check(&mended.mesh).context("the mended copy is broken")?,
            changes: mended.changes,
        });
    }
    drop(progress);
    let scanned = Scanned {
        path: args.file.clone(),
        report,
        mending,
    };
    if args.json {
        output::json(&answer::scan(&scanned))?;
    } else {
        output::write(text::scan(&scanned).as_bytes())?;
    }
    Ok(())
}

/// Whether two paths are one file, also by way of links.
fn same_file(one: &Path, other: &Path) -> bool {
    match (one.canonicalize(), other.canonicalize()) {
        (Ok(one), Ok(other)) => one == other,
        // What does not exist yet is no scan that was read.
        _ => false,
    }
}
