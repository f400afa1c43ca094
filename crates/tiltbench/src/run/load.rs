//! A case, its cast and its ridge, brought in from files.

use crate::progress::Progress;
use anyhow::{Context, anyhow, bail};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tiltbench_case::mesh_io::{ScanError, ScanFormat, Unit};
use tiltbench_case::{Case, Cast, PartLeftOut, UnfitScan, ZoneTooSmall, read_case};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge, RidgeError};
use tiltbench_session::problem::problem_of;
use tiltbench_session::report::column_remarks;
use tiltbench_solver::Problem;
use tiltbench_solver::evaluation::Evaluation;

/// A case ready to be surveyed.
#[derive(Debug)]
pub(crate) struct Loaded {
    /// The case file, as it was given.
    pub(crate) path: PathBuf,
    /// The case.
    pub(crate) case: Case,
    /// Its scan; none for a case measured by hand.
    pub(crate) cast: Option<CastFacts>,
    /// Its seat zones on the scan; none without zones.
    ridge: Option<OnScan>,
    /// What deserves a look, whatever the tilt.
    pub(crate) remarks: Vec<String>,
}

/// A ridge, and the surface it was cut out of.
#[derive(Debug)]
struct OnScan {
    ridge: Ridge,
    /// Without what is left out.
    mesh: Arc<Mesh>,
}

/// Facts of a scan.
#[derive(Debug)]
pub(crate) struct CastFacts {
    /// The scan as the case file names it.
    pub(crate) scan: String,
    /// Its unit.
    pub(crate) unit: Unit,
    /// What its file was.
    pub(crate) format: ScanFormat,
    /// Whether it was packed.
    pub(crate) gzip: bool,
    /// Facets.
    pub(crate) triangles: usize,
    /// Welded vertices.
    pub(crate) vertices: usize,
    /// Sides of its box in the cast frame.
    pub(crate) extent_mm: Option<[f64; 3]>,
    /// What was left out of it.
    pub(crate) left_out: Vec<PartLeftOut>,
}

impl Loaded {
    /// Reads a case and the scan of its cast.
    ///
    /// # Errors
    /// What cannot be used, and all there is wrong with it.
    pub(crate) fn read(path: &Path, progress: &Progress) -> anyhow::Result<Self> {
        let shown = path.display();
        let case = read_case(path).with_context(|| format!("cannot use the case {shown}"))?;
        let mut remarks: Vec<String> = case.remarks().iter().map(ToString::to_string).collect();
        let (mut facts, mut ridge) = (None, None);
        if let Some(cast) = case.cast() {
            let read = read_cast(&case, cast, &mut remarks, progress)
                .with_context(|| format!("cannot use the cast of {shown}"))?;
            (facts, ridge) = (Some(read.0), read.1);
        }
        Ok(Self {
            path: path.to_path_buf(),
            case,
            cast: facts,
            ridge,
            remarks,
        })
    }

    /// Where the depth of a zone, at the tilt evaluated, comes from what stands on a coping.
    pub(crate) fn column_remarks(&self, evaluation: &Evaluation) -> Vec<String> {
        self.ridge.as_ref().map_or_else(Vec::new, |on| {
            column_remarks(&self.case, &on.mesh, &on.ridge, evaluation)
        })
    }

    /// The case as the solver sees it.
    pub(crate) fn problem(&self) -> Problem<'_> {
        problem_of(&self.case, self.ridge.as_ref().map(|on| &on.ridge))
    }
}

fn read_cast(
    case: &Case,
    cast: &Cast,
    remarks: &mut Vec<String>,
    progress: &Progress,
) -> anyhow::Result<(CastFacts, Option<OnScan>)> {
    progress.work("reading the scan");
    let read = case.load_cast().map_err(|error| {
        let missing =
            matches!(&error, ScanError::Io { source, .. } if source.kind() == io::ErrorKind::NotFound);
        let hint = if missing {
            "; cast.scan names a file beside the case file"
        } else {
            ""
        };
        anyhow!("{error}{hint}")
    })?;
    let read = read.ok_or_else(|| anyhow!("the case has no cast"))?;
    if let Some(unfit) = &read.unfit
        && (matches!(unfit, UnfitScan::Size { .. }) || !case.seat_zones().is_empty())
    {
        bail!("cannot read the scan: {unfit}: {}", cast.path().display());
    }
    remarks.extend(read.remarks.iter().map(|r| format!("{}: {r}", cast.scan())));
    remarks.extend(read.case_remarks.iter().map(ToString::to_string));
    let facts = CastFacts {
        scan: cast.scan().to_owned(),
        unit: cast.unit(),
        format: read.format,
        gzip: read.gzip,
        triangles: read.mesh.triangles.len(),
        vertices: read.mesh.vertices.len(),
        extent_mm: read.mesh.extent().map(|extent| extent.size().into()),
        left_out: read.left_out,
    };
    if case.seat_zones().is_empty() {
        remarks
            .push("there is a cast but no seat zone, so no undercut of the ridge is read".into());
        return Ok((facts, None));
    }
    progress.work("cutting the seat zones out of the scan");
    let margins: Vec<MarginFootprint> = case.copings().iter().map(Into::into).collect();
    let mesh = Arc::new(read.mesh);
    let ridge = Ridge::new(Arc::clone(&mesh), case.seat_zones(), &margins).map_err(|error| {
        let hint = if matches!(error, RidgeError::InsideOut { .. }) {
            "; an open scan also needs --turn-open there"
        } else {
            ""
        };
        anyhow!("{}: {error}{hint}", cast.path().display())
    })?;
    let names = case.seat_zones().iter().map(|zone| zone.name.as_str());
    if let Some(small) = ZoneTooSmall::first(names.zip(ridge.areas_mm2())) {
        bail!("{}: {small}", cast.path().display());
    }
    remarks.extend(ridge.remarks().iter().map(ToString::to_string));
    Ok((facts, Some(OnScan { ridge, mesh })))
}
