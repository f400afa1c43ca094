//! Where the scan is, and how it is brought into the cast frame.

use crate::defaults;
use crate::left_out::PartLeftOut;
use crate::mesh_io::{ScanError, ScanFormat, ScanReport, Unit, read_scan};
use crate::problem::ProblemKind;
use crate::read::frames::{cast_axes, unit};
use crate::remark::Remark;
use crate::schema::v1;
use nalgebra::{Point3, UnitVector3, Vector3};
use std::path::{Path, PathBuf};
use tiltbench_geometry::mesh::Mesh;

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

    /// The cast of a file that lies in `folder`, apart from the rest of its case.
    ///
    /// # Errors
    /// What is wrong with its frame: a direction without length, or two that are not about square
    /// to each other.
    pub fn of_file(file: &v1::Cast, folder: &Path) -> Result<Self, ProblemKind> {
        let axes = match &file.frame {
            Some(frame) => {
                let direction = |given| unit(given).ok_or(ProblemKind::ZeroDirection);
                cast_axes(direction(frame.anterior)?, direction(frame.occlusal)?)?
            }
            None => [Vector3::x_axis(), Vector3::y_axis(), Vector3::z_axis()],
        };
        Ok(Self::new(file, axes, folder))
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

    /// Reads the whole scan and brings it into the cast frame.
    ///
    /// # Errors
    /// [`ScanError`], which names the file.
    pub(crate) fn load(&self) -> Result<LoadedCast, ScanError> {
        let scan = read_scan(&self.path)?;
        // A scan that was read is always a mesh that can be checked.
        let report = ScanReport::new(&scan, self.unit).ok();
        Ok(LoadedCast {
            format: scan.format,
            gzip: scan.gzip,
            mesh: self.placed(scan.mesh),
            remarks: report.map_or(scan.remarks, |report| report.remarks),
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
    /// The surface in the cast frame, mm. Welded, nothing mended, without what is left out.
    pub mesh: Mesh,
    /// What the scan's reader went past, what its size says of the unit, and its defects, as
    /// sentences for people.
    pub remarks: Vec<String>,
    /// What was left out of it, in the order of [`Case::parts_left_out`](crate::Case::parts_left_out).
    pub left_out: Vec<PartLeftOut>,
    /// What the scan says of the case: where the two do not fit together.
    pub case_remarks: Vec<Remark>,
}
