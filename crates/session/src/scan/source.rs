//! Where a scan comes from.
//!
//! A source is a recipe, not a mesh: it can be kept in a recovery file and followed again after a
//! kill. Sample casts and mended scans live in memory until the case is saved, which writes them
//! beside it.

use super::loaded::LoadedScan;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_case::mesh_io::{Scan, ScanError, ScanFormat, read_scan};
use tiltbench_geometry::mesh::{MendOptions, MeshFault, Turn, mend};

/// Where a scan comes from, and how it is had again.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScanSource {
    /// A file, by its absolute path.
    File(PathBuf),
    /// The cast of a sample case, by its name.
    Sample(String),
    /// Another scan, mended.
    Mended {
        /// The scan as it was.
        of: Box<ScanSource>,
        /// Whether open pieces that face inward are turned as well.
        turn_open: bool,
    },
}

/// Why a scan cannot be had.
#[derive(Debug, thiserror::Error)]
pub enum ScanProblem {
    /// It cannot be read.
    #[error(transparent)]
    Read(#[from] ScanError),
    /// It is no mesh that could be mended.
    #[error("the scan cannot be mended: {0}")]
    Mend(#[from] MeshFault),
    /// Nothing is left of it once mended.
    #[error("nothing of the scan is left when it is mended, so it was left as it was")]
    NothingLeft,
    /// No sample goes by that name.
    #[error("there is no sample cast named \"{0}\"")]
    NoSample(String),
}

impl ScanSource {
    /// The cast of a sample.
    pub fn of_sample(kind: SampleKind) -> Self {
        Self::Sample(kind.file_stem().to_owned())
    }

    /// The file it is, unless it lives in memory.
    pub fn path(&self) -> Option<&Path> {
        match self {
            Self::File(path) => Some(path),
            _ => None,
        }
    }

    /// A name for it: that of its file, or that of the file it would become.
    pub fn name(&self) -> String {
        match self {
            Self::File(path) => path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned(),
            Self::Sample(stem) => format!("{stem}.ply"),
            Self::Mended { of, .. } => {
                let name = of.name();
                // Both endings of a packed scan go.
                let stem = name.strip_suffix(".gz").unwrap_or(&name);
                let stem = stem.rsplit_once('.').map_or(stem, |(stem, _)| stem);
                format!("{stem}-mended.ply")
            }
        }
    }

    /// Follows the recipe: reads, makes or mends the scan. Slow.
    ///
    /// # Errors
    /// [`ScanProblem`].
    pub fn load(&self) -> Result<LoadedScan, ScanProblem> {
        let scan = self.scan()?;
        LoadedScan::new(self.clone(), scan).map_err(ScanProblem::Mend)
    }

    fn scan(&self) -> Result<Scan, ScanProblem> {
        match self {
            Self::File(path) => Ok(read_scan(path)?),
            Self::Sample(stem) => {
                let unknown = || ScanProblem::NoSample(stem.clone());
                let kind = SampleKind::ALL
                    .into_iter()
                    .find(|kind| kind.file_stem() == stem)
                    .ok_or_else(unknown)?;
                let mesh = sample(kind, kind.triangles()).mesh.ok_or_else(unknown)?;
                Ok(Scan {
                    format: ScanFormat::PlyBinaryLittleEndian,
                    gzip: false,
                    file_vertices: mesh.vertices.len(),
                    file_facets: mesh.triangles.len(),
                    mesh,
                    remarks: Vec::new(),
                })
            }
            Self::Mended { of, turn_open } => mended(&of.scan()?, *turn_open),
        }
    }

    /// The scan mended, from one that is in memory already.
    ///
    /// # Errors
    /// As [`ScanSource::load`].
    pub(crate) fn mend(of: &Arc<LoadedScan>, turn_open: bool) -> Result<LoadedScan, ScanProblem> {
        let source = Self::Mended {
            of: Box::new(of.source().clone()),
            turn_open,
        };
        let scan = mended(of.scan(), turn_open)?;
        LoadedScan::new(source, scan).map_err(ScanProblem::Mend)
    }
}

fn mended(scan: &Scan, turn_open: bool) -> Result<Scan, ScanProblem> {
    let options = MendOptions {
        winding: if turn_open {
            Turn::OpenPiecesToo
        } else {
            Turn::ClosedPieces
        },
        ..MendOptions::default()
    };
    let mended = mend(&scan.mesh, options)?;
    if mended.mesh.triangles.is_empty() {
        return Err(ScanProblem::NothingLeft);
    }
    Ok(Scan {
        format: ScanFormat::PlyBinaryLittleEndian,
        gzip: false,
        file_vertices: mended.mesh.vertices.len(),
        file_facets: mended.mesh.triangles.len(),
        mesh: mended.mesh,
        remarks: vec![format!(
            "mended: {} changes; the file it came from was left as it was",
            mended.changes.len()
        )],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_tell_what_a_scan_would_be_called() {
        let file = ScanSource::File("/a/b/upper jaw.stl.gz".into());
        assert_eq!(file.name(), "upper jaw.stl.gz");
        let mended = ScanSource::Mended {
            of: Box::new(file),
            turn_open: false,
        };
        assert_eq!(mended.name(), "upper jaw-mended.ply");
        assert_eq!(mended.path(), None);
        let sample = ScanSource::of_sample(SampleKind::TwoCanines);
        assert_eq!(sample.name(), "two-canines.ply");
    }

    #[test]
    fn a_recipe_survives_a_file() {
        let mended = ScanSource::Mended {
            of: Box::new(ScanSource::of_sample(SampleKind::RidgeOnly)),
            turn_open: true,
        };
        let text = serde_json::to_string(&mended).unwrap();
        assert_eq!(serde_json::from_str::<ScanSource>(&text).unwrap(), mended);
    }
}
