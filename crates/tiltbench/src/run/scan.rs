//! `scan`: what a scan is, how it is, and a mended copy of it on request.

use super::outputs;
use crate::args::ScanArgs;
use crate::output::OutputError;
use crate::progress::Progress;
use crate::{answer, output, text};
use anyhow::{Context, bail};
use std::path::{Path, PathBuf};
use tiltbench_case::mesh_io::{MeshWriteError, ScanReport, read_scan, write_ply, write_stl};
use tiltbench_geometry::mesh::{Change, MendOptions, Mesh, MeshHealth, Turn, check, mend};

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
    let write = match &args.mend {
        Some(out) => {
            let write = writer_of(out)?;
            outputs::check("--mend", [out.as_path()], &[&args.file])?;
            Some((out, write))
        }
        None => None,
    };
    let progress = Progress::start("reading the scan");
    let scan = read_scan(&args.file)?;
    progress.work("checking the scan");
    let report = ScanReport::new(&scan, args.unit)?;
    let mut mending = None;
    if let Some((out, write)) = write {
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
        write(out, &mended.mesh).map_err(|error| match error {
            MeshWriteError::Write(error) => anyhow::Error::new(OutputError::File(error)),
            error => error.into(),
        })?;
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

/// Writes a mesh to a file.
type Writer = fn(&Path, &Mesh) -> Result<(), MeshWriteError>;

/// How a mended copy is written, by the last part of its name.
fn writer_of(out: &Path) -> anyhow::Result<Writer> {
    let extension = out.extension().unwrap_or_default().to_ascii_lowercase();
    match extension.to_str() {
        Some("ply") => Ok(write_ply),
        Some("stl") => Ok(write_stl),
        _ => bail!(
            "--mend {}: a mended copy is written as .ply or .stl; end the name in one of them",
            out.display()
        ),
    }
}
