//! A tilt.

use super::number::{Number, triple};
use serde::Serialize;
use tiltbench_geometry::frame::{Arch, PatientSide};
use tiltbench_geometry::tilt::Tilt;

/// A tilt, in the two angles, in all, and as a draw.
#[derive(Debug, Serialize)]
pub(super) struct TiltAnswer {
    anterior_deg: Number,
    lateral_deg: Number,
    lowered_side: &'static str,
    total_deg: Number,
    direction: [Number; 3],
    /// Outer (transverse) and inner angle of a two-axis table.
    table_deg: [Number; 2],
}

impl TiltAnswer {
    pub(super) fn new(tilt: &Tilt, arch: Arch) -> Self {
        let (outer, inner) = tilt.table_angles_rad();
        Self {
            anterior_deg: Number::degrees(tilt.anterior_rad()),
            lateral_deg: Number::degrees(tilt.lateral_rad()),
            lowered_side: match tilt.lowered_side(arch) {
                Some(PatientSide::Right) => "patient_right",
                Some(PatientSide::Left) => "patient_left",
                None => "none",
            },
            total_deg: Number::degrees(tilt.total_rad()),
            direction: triple(tilt.direction().into_inner()),
            table_deg: [outer, inner].map(Number::degrees),
        }
    }
}
