//! The scan without what will not be there, and whether the case fits it.

use crate::case::Case;
use crate::cast::LoadedCast;
use crate::mesh_io::{Scan, ScanError};
use crate::remark::{Remark, RemarkKind};
use crate::schema::v1;
use nalgebra::Vector3;
use std::fmt;
use tiltbench_geometry::frame::{Arch, PatientSide};
use tiltbench_geometry::leave_out::{LeftOut, Part, leave_out};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{MarginFootprint, MarginGap};

/// Millimetres. Separates a margin that lies on the scan from one that does not.
///
/// Tuned: margins rise and fall along a root by some tenths of a millimetre about the plane of
/// their ellipse; smaller, every case has this remark; larger, a margin entered on another cast
/// passes. `a_margin_off_the_scan_is_told_with_its_distance_and_side` notices.
const OFF_SCAN_MM: f64 = 1.0;

/// Which part of the case says that something is left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LeftOutOf {
    /// `cast.leave_out`, by index.
    Outline(usize),
    /// What stands above a coping's margin, by the coping's index and id.
    Stump(usize, String),
}

impl fmt::Display for LeftOutOf {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Outline(index) => write!(f, "cast.leave_out[{index}]"),
            Self::Stump(_, id) => write!(f, "what stands above the margin of {id}"),
        }
    }
}

/// A part that was left out of a scan, and how much it took.
#[derive(Debug, Clone, PartialEq)]
pub struct PartLeftOut {
    /// What says so.
    pub of: LeftOutOf,
    /// What it took off the scan.
    pub taken: LeftOut,
}

impl fmt::Display for PartLeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let LeftOut {
            area_mm2,
            height_mm,
        } = self.taken;
        if self.taken.is_nothing() {
            write!(f, "{}: nothing of the scan", self.of)
        } else {
            write!(
                f,
                "{}: {area_mm2:.1} mm² of the scan, up to {height_mm:.1} mm high",
                self.of
            )
        }
    }
}

impl Case {
    /// What is to be left out of the scan before anything is read off it: the outlines of
    /// `cast.leave_out`, then, unless they keep their stumps, what stands above the margins of the
    /// copings before waxing. A root is cut along the plane of its margin ellipse, across the coping's
    /// own axis, inside the ellipse grown as the seat has it.
    pub fn parts_left_out(&self) -> Vec<(LeftOutOf, Part)> {
        let outlines = self.leave_out.iter().enumerate();
        let outlines = outlines.map(|(index, part)| (LeftOutOf::Outline(index), part.clone()));
        let stumps = self.file.copings.iter().zip(self.copings()).enumerate();
        let stumps = stumps.filter_map(|(index, (file, coping))| {
            let goes = match file.basis {
                v1::Basis::Finished { .. } => false,
                v1::Basis::Prep { keep_stump, .. } => !keep_stump.unwrap_or(false),
            };
            let of = LeftOutOf::Stump(index, coping.id.clone());
            goes.then(|| (of, Part::on_margin(&MarginFootprint::from(coping))))
        });
        outlines.chain(stumps).collect()
    }

    /// Reads the scan of the cast, brings it into the cast frame and takes out what is to be left
    /// out; nothing without a cast.
    ///
    /// # Errors
    /// [`ScanError`], which names the file.
    pub fn load_cast(&self) -> Result<Option<LoadedCast>, ScanError> {
        match &self.cast {
            Some(cast) => self.take_cast(cast.read()?),
            None => Ok(None),
        }
    }

    /// As [`Case::load_cast`], of a scan that is in memory already.
    ///
    /// # Errors
    /// [`ScanError`], where it is no mesh that can be checked.
    pub fn take_cast(&self, scan: Scan) -> Result<Option<LoadedCast>, ScanError> {
        let Some(cast) = &self.cast else {
            return Ok(None);
        };
        let mut loaded = cast.take(scan)?;
        let gaps = margin_gaps(self, &loaded.mesh);
        let (of, parts): (Vec<_>, Vec<_>) = self.parts_left_out().into_iter().unzip();
        let (mesh, taken) = leave_out(loaded.mesh, &parts);
        loaded.mesh = mesh;
        loaded.left_out = of
            .into_iter()
            .zip(taken)
            .map(|(of, taken)| PartLeftOut { of, taken })
            .collect();
        loaded.case_remarks = self.fit_remarks(&loaded.left_out, &gaps);
        Ok(Some(loaded))
    }

    /// Where case and scan do not fit together: parts to leave out that hold nothing, and margins
    /// off the scan. `gaps` are those of the whole scan, in the order of the copings.
    pub fn fit_remarks(&self, left_out: &[PartLeftOut], gaps: &[Option<MarginGap>]) -> Vec<Remark> {
        let empty = left_out.iter().filter(|part| part.taken.is_nothing());
        let empty = empty.filter_map(|part| match &part.of {
            LeftOutOf::Outline(_) => Some(Remark {
                path: part.of.to_string(),
                kind: RemarkKind::NothingToLeaveOut,
            }),
            LeftOutOf::Stump(..) => None,
        });
        let off = self.copings().iter().zip(gaps).enumerate();
        let off = off.filter_map(|(index, (coping, gap))| {
            let gap = gap.filter(|gap| gap.distance_mm() > OFF_SCAN_MM)?;
            Some(Remark {
                path: format!("copings[{index}].margin_centre"),
                kind: RemarkKind::MarginOffScan {
                    coping: coping.id.clone(),
                    gap_mm: gap.distance_mm(),
                    toward: in_words(gap.scan - gap.at, self.arch()),
                },
            })
        });
        empty.chain(off).collect()
    }
}

/// How far each coping's margin lies off a scan in the cast frame.
fn margin_gaps(case: &Case, scan: &Mesh) -> Vec<Option<MarginGap>> {
    let copings = case.copings().iter();
    copings
        .map(|coping| MarginFootprint::from(coping).gap(scan))
        .collect()
}

/// A direction of the cast frame, by its longest part.
fn in_words(direction: Vector3<f64>, arch: Arch) -> &'static str {
    let axis = direction.iamax();
    match (axis, direction[axis] > 0.0) {
        (0, plus) => {
            let side = arch.side_of_plus_x();
            match if plus { side } else { side.opposite() } {
                PatientSide::Right => "toward the patient's right",
                PatientSide::Left => "toward the patient's left",
            }
        }
        (1, true) => "in front",
        (1, false) => "behind",
        (_, true) => "above",
        (_, false) => "below",
    }
}
