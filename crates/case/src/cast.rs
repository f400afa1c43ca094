//! Where the scan is, and how it is brought into the cast frame.

use crate::defaults;
use crate::left_out::PartLeftOut;
use crate::mesh_io::{Scan, ScanError, ScanFault, ScanFormat, ScanReport, Unit, read_scan};
use crate::problem::ProblemKind;
use crate::read::frames::{cast_axes, unit};
use crate::read::zero_plane::axes_of;
use crate::remark::Remark;
use crate::schema::v1;
use crate::unfit::{UnfitScan, health_without_repeats, read_surface};
use nalgebra::{Point3, UnitVector3, Vector3};
use std::path::{Path, PathBuf};
use tiltbench_geometry::mesh::{Mesh, check};

/// The scanned cast of a case: the scan's file, its unit, and the cast frame in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Cast {
    scan: String,
    path: PathBuf,
    unit: Unit,
    /// In the scan's own unit.
    origin_in_scan: Point3<f64>,
    /// x, y, z of the cast frame in the scan's own axes; right-handed.
    axes_in_scan: [UnitVector3<f64>; 3],
}

impl Cast {
    pub(crate) fn new(file: &v1::Cast, axes: [UnitVector3<f64>; 3], folder: &Path) -> Self {
        Self {
            scan: file.scan.clone(),
            path: folder.join(&file.scan),
            unit: file.scan_unit.unwrap_or(defaults::SCAN_UNIT),
            origin_in_scan: file
                .frame
                .as_ref()
                .map_or(Point3::origin(), |frame| Point3::from(frame.origin)),
            axes_in_scan: axes,
        }
    }

    /// The cast of a case file that lies in `folder`, apart from the rest of its case; `None` without one.
    ///
    /// # Errors
    /// What is wrong with its frame: a direction without length, two that are not about square to each
    /// other, or a zero plane that says otherwise.
    pub fn of_file(file: &v1::CaseFile, folder: &Path) -> Result<Option<Self>, ProblemKind> {
        let Some(cast) = &file.cast else {
            return Ok(None);
        };
        let stated = match &cast.frame {
            Some(frame) => {
                let direction = |given| unit(given).ok_or(ProblemKind::ZeroDirection);
                Some(cast_axes(
                    direction(frame.anterior)?,
                    direction(frame.occlusal)?,
                )?)
            }
            None => None,
        };
        let of_plane = match &file.zero_plane {
            Some(plane) => axes_of(plane, file.arch, stated.as_ref())?,
            None => None,
        };
        let own = [Vector3::x_axis(), Vector3::y_axis(), Vector3::z_axis()];
        let axes = of_plane.or(stated).unwrap_or(own);
        Ok(Some(Self::new(cast, axes, folder)))
    }

    pub(crate) fn set_folder(&mut self, folder: &Path) {
        self.path = folder.join(&self.scan);
    }

    /// The scan's path as the case file writes it.
    pub fn scan(&self) -> &str {
        &self.scan
    }

    /// The scan's path, from the folder of the case file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The scan's unit.
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// A point of the scan, in the scan's unit and axes, brought into the cast frame (mm).
    pub fn point_in_cast(&self, point_in_scan: &Point3<f64>) -> Point3<f64> {
        let offset = point_in_scan - self.origin_in_scan;
        let along = self.axes_in_scan.map(|axis| axis.dot(&offset));
        Point3::from(along.map(|length| length * self.unit.mm()))
    }

    /// A point of the cast frame (mm) brought back into the scan's unit and axes.
    pub fn point_in_scan(&self, point_in_cast: &Point3<f64>) -> Point3<f64> {
        let [x, y, z] = &self.axes_in_scan;
        let p = point_in_cast / self.unit.mm();
        self.origin_in_scan + x.as_ref() * p.x + y.as_ref() * p.y + z.as_ref() * p.z
    }

    /// Reads the whole scan, without bringing it anywhere.
    ///
    /// # Errors
    /// [`ScanError`], which names the file.
    pub(crate) fn read(&self) -> Result<Scan, ScanError> {
        read_scan(&self.path)
    }

    /// Brings a whole scan into the cast frame.
    ///
    /// # Errors
    /// [`ScanError`], where it is no mesh that can be checked.
    pub(crate) fn take(&self, scan: Scan) -> Result<LoadedCast, ScanError> {
        let not_a_mesh = |fault| ScanError::Unusable {
            fault: Box::new(ScanFault::Mesh(fault)),
            path: self.path.clone(),
        };
        let health = check(&scan.mesh).map_err(not_a_mesh)?;
        let report = ScanReport::with_health(&scan, self.unit, &health);
        let without = health_without_repeats(&scan.mesh, &health).map_err(not_a_mesh)?;
        let unfit = UnfitScan::of(without.as_ref().unwrap_or(&health), self.unit);
        Ok(LoadedCast {
            format: scan.format,
            gzip: scan.gzip,
            mesh: read_surface(self.placed(scan.mesh), &health).mesh,
            remarks: report.remarks,
            unfit,
            left_out: Vec::new(),
            case_remarks: Vec::new(),
        })
    }

    /// A whole scan brought into the cast frame, triangles and their winding untouched: the axes
    /// are right-handed and the unit is positive, so nothing is mirrored.
    #[must_use]
    pub fn placed(&self, mut scan: Mesh) -> Mesh {
        for vertex in &mut scan.vertices {
            *vertex = self.point_in_cast(vertex);
        }
        scan
    }
}

/// A cast whose scan has been read.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedCast {
    /// What the scan's file was, once unpacked.
    pub format: ScanFormat,
    /// Whether it was packed with gzip.
    pub gzip: bool,
    /// The surface in the cast frame, mm. Welded, nothing mended, without what is left out, exact repeats
    /// of facets, and what reaches far off the rest.
    pub mesh: Mesh,
    /// What the scan's reader went past, what its size says of the unit, and its defects, as
    /// sentences for people.
    pub remarks: Vec<String>,
    /// Why it is not to be read, if it is not.
    pub unfit: Option<UnfitScan>,
    /// What was left out of it, in the order of [`Case::parts_left_out`](crate::Case::parts_left_out).
    pub left_out: Vec<PartLeftOut>,
    /// What the scan says of the case: where the two do not fit together.
    pub case_remarks: Vec<Remark>,
}
