//! A case, its cast and its ridge, brought in from files.

use crate::progress::Progress;
use anyhow::{Context, anyhow, bail};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tiltbench_case::mesh_io::{ScanError, ScanFormat, Unit};
use tiltbench_case::{Case, Cast, PartLeftOut, UnfitScan, ZoneTooSmall, read_case};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge, RidgeError, SeatZone};
use tiltbench_session::names::Names;
use tiltbench_session::problem::{Variant, problem_of};
use tiltbench_session::report::{column_remarks, consequences, is_of_consequence};
use tiltbench_session::sensitivity::{Steering, sensitivity};
use tiltbench_solver::control::Cancelled;
use tiltbench_solver::evaluation::{Evaluation, evaluate};
use tiltbench_solver::{Problem, Survey, SurveyOptions};

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
    /// What has consequences, whatever the tilt: said first.
    pub(crate) consequences: Vec<String>,
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
    /// How wide its facets are within the seat zones, on average.
    zone_facet_mm: Option<f64>,
    /// What was left out of it.
    pub(crate) left_out: Vec<PartLeftOut>,
}

impl Loaded {
    /// Reads a case and the scan of its cast; `as_measured`: with none of its planned work put into effect.
    ///
    /// # Errors
    /// What cannot be used, and all there is wrong with it.
    pub(crate) fn read(
        path: &Path,
        as_measured: bool,
        progress: &Progress,
    ) -> anyhow::Result<Self> {
        let shown = path.display();
        let mut case = read_case(path).with_context(|| format!("cannot use the case {shown}"))?;
        if as_measured {
            case = case.as_measured();
        }
        let consequences = consequences(Names::new(&case));
        let ordinary = case
            .remarks()
            .iter()
            .filter(|remark| !is_of_consequence(remark));
        let mut remarks: Vec<String> = ordinary.map(ToString::to_string).collect();
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
            consequences,
            remarks,
        })
    }

    /// All there is to remark on, whatever the tilt, in the order of its weight.
    pub(crate) fn all_remarks(&self) -> Vec<String> {
        [&self.consequences[..], &self.remarks].concat()
    }

    /// How wide the facets of the seat zones are, on average; `None` without a cast or zones.
    pub(crate) fn zone_facet_mm(&self) -> Option<f64> {
        self.cast.as_ref().and_then(|cast| cast.zone_facet_mm)
    }

    /// Where the depth of a zone, at the tilt evaluated, comes from what stands on a coping.
    pub(crate) fn column_remarks(&self, evaluation: &Evaluation) -> Vec<String> {
        self.ridge.as_ref().map_or_else(Vec::new, |on| {
            column_remarks(&self.case, &on.mesh, &on.ridge, evaluation)
        })
    }

    /// A tilt judged before any planned work; `None` where all is judged so anyway.
    pub(crate) fn as_measured(&self, tilt: Tilt) -> Option<Evaluation> {
        let ridge = self.ridge.as_ref().map(|on| &on.ridge);
        let before = Variant::as_measured(&self.case, ridge)?;
        Some(evaluate(&before.problem(), tilt))
    }

    /// Which limits steer what a survey recommends.
    ///
    /// # Errors
    /// [`Cancelled`] when the control says so.
    pub(crate) fn sensitivity(
        &self,
        survey: &Survey,
        options: &SurveyOptions,
        progress: &Progress,
    ) -> Result<Vec<Steering>, Cancelled> {
        let ridge = self.ridge.as_ref().map(|on| &on.ridge);
        sensitivity(&self.case, ridge, survey, options, progress)
    }

    /// The case as the solver sees it.
    pub(crate) fn problem(&self) -> Problem<'_> {
        problem_of(&self.case, self.ridge.as_ref().map(|on| &on.ridge))
    }
}

/// How wide facets are, on average, that reach into the box of a zone: the side of a square that two
/// of mean area make. `None` without zones.
fn facet_mm(mesh: &Mesh, zones: &[SeatZone]) -> Option<f64> {
    let boxes: Vec<[[f64; 2]; 3]> = zones
        .iter()
        .map(|zone| {
            let along = |axis: usize| span(zone.outline.iter().map(|corner| corner[axis]));
            let all = [f64::NEG_INFINITY, f64::INFINITY];
            [along(0), along(1), zone.z_range.unwrap_or(all)]
        })
        .collect();
    let (mut area_mm2, mut count) = (0.0, 0.0);
    for facet in 0..mesh.triangles.len() {
        let corners = mesh.corners(facet);
        let sides = [0, 1, 2].map(|axis| span(corners.iter().map(|corner| corner[axis])));
        let meets = |of: &[[f64; 2]; 3]| {
            let mut both = of.iter().zip(&sides);
            both.all(|([low, high], [from, to])| from <= high && to >= low)
        };
        if boxes.iter().any(meets) {
            let [a, b, c] = corners;
            area_mm2 += 0.5 * (b - a).cross(&(c - a)).norm();
            count += 1.0;
        }
    }
    (count > 0.0).then(|| (2.0 * area_mm2 / count).sqrt())
}

/// The least and the greatest of some coordinates.
fn span(of: impl Iterator<Item = f64>) -> [f64; 2] {
    of.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], at| {
        [low.min(at), high.max(at)]
    })
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
        zone_facet_mm: facet_mm(&read.mesh, case.seat_zones()),
        left_out: read.left_out,
    };
    if case.seat_zones().is_empty() {
        remarks
            .push("there is a cast but no zone of the denture-bearing area (`seat_zones`), so no undercut of the ridge is read".into());
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A sheet of squares of 0.4 mm, two facets each, and a large facet far from the zone.
    #[test]
    fn facets_are_as_wide_as_the_squares_that_two_of_them_make() {
        let corner = |i: u32, j: u32| [f64::from(i) * 0.4, f64::from(j) * 0.4, 1.0];
        let rows = (0..=20).flat_map(|j| (0..=20).map(move |i| corner(i, j)));
        let mut vertices: Vec<_> = rows.map(tiltbench_geometry::Point3::from).collect();
        let cells = (0..20).flat_map(|j| (0..20).map(move |i| j * 21 + i));
        let mut triangles: Vec<[u32; 3]> = cells
            .flat_map(|v| [[v, v + 1, v + 22], [v, v + 22, v + 21]])
            .collect();
        let first = u32::try_from(vertices.len()).unwrap();
        let far = [[90.0, 0.0, 0.0], [99.0, 0.0, 0.0], [90.0, 9.0, 0.0]];
        vertices.extend(far.map(tiltbench_geometry::Point3::from));
        triangles.push([first, first + 1, first + 2]);
        let mesh = Mesh {
            vertices,
            triangles,
        };
        let zone = SeatZone {
            name: "sheet".to_owned(),
            outline: vec![[1.0, 1.0], [5.0, 1.0], [3.0, 5.0]],
            z_range: Some([0.5, 2.0]),
            undercut_limit_mm: None,
            opposes: None,
            blockout: None,
        };
        let wide = facet_mm(&mesh, std::slice::from_ref(&zone)).unwrap();
        assert!((wide - 0.4).abs() < 1e-12, "{wide}");
        assert!(facet_mm(&mesh, &[]).is_none());
    }
}
