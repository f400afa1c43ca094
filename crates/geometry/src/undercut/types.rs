//! Zones as they are asked for, and their readings.

use crate::work::Blockout;
use nalgebra::Point3;

/// A named part of the basal seat.
#[derive(Debug, Clone, PartialEq)]
pub struct SeatZone {
    /// Unique name within the case.
    pub name: String,
    /// Simple polygon in x-y of the cast frame, either winding, mm.
    pub outline: Vec<[f64; 2]>,
    /// Least and greatest z, mm.
    pub z_range: Option<[f64; 2]>,
    /// Greatest undercut depth that decides; `None` reports without deciding.
    pub undercut_limit_mm: Option<f64>,
    /// Index of the zone this one opposes.
    pub opposes: Option<usize>,
    /// Blockout that is planned, or already done on the bench and not in the scan.
    pub blockout: Option<Blockout>,
}

impl SeatZone {
    /// Undercut depth that is left once the planned blockout is in place, mm.
    pub fn left_of_mm(&self, depth_mm: f64) -> f64 {
        self.blockout
            .map_or(depth_mm, |blockout| blockout.left_of_mm(depth_mm))
    }

    /// Whether what is planned to be left is no more than a bound.
    pub fn is_blocked_out_to(&self, bound_mm: f64) -> bool {
        self.blockout
            .is_some_and(|blockout| blockout.left_mm <= bound_mm)
    }

    /// Greatest undercut depth of the cast at which the limit is met once the planned blockout is in place, mm;
    /// `None` without a limit.
    pub fn allowed_mm(&self) -> Option<f64> {
        let limit_mm = self.undercut_limit_mm?;
        let wax_mm = self
            .blockout
            .filter(|_| self.is_blocked_out_to(limit_mm))
            .map_or(0.0, |blockout| blockout.wax_mm);
        Some(limit_mm + wax_mm)
    }

    /// Undercut depth that may stay, mm: the lesser of the limit and of the rest that is planned; nothing
    /// where there is no limit.
    pub fn may_stay_mm(&self) -> f64 {
        let left_mm = self
            .blockout
            .map_or(f64::INFINITY, |blockout| blockout.left_mm);
        self.undercut_limit_mm
            .map_or(0.0, |limit| limit.min(left_mm))
    }
}

/// What one draw costs on one zone. Never meaningful without the draw it was read for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneReading {
    /// Area of the zone itself; the same for every draw.
    pub area_mm2: f64,
    /// Depth an undercut gauge reads: largest u such that at least 0.1 mm² is deeper than u.
    pub undercut_depth_mm: f64,
    /// Whether the gauge found no way out within 10 mm for the points that set the depth.
    pub depth_capped: bool,
    /// Area of the zone's undercut points.
    pub undercut_area_mm2: f64,
    /// Volume of air below the zone's facets that face away from the draw.
    pub blockout_mm3: f64,
    /// What of it lies along lines that are deeper than what [may stay](SeatZone::may_stay_mm).
    pub blockout_owed_mm3: f64,
    /// Whether part of that air had no scan surface below it.
    pub blockout_open: bool,
    /// Area deeper than 0.25, 0.50 and 0.75 mm, the classic gauge steps.
    pub area_beyond_mm2: [f64; 3],
    /// Area of points over which a hole of the scan was filled, so that nothing is known of them:
    /// left out of depth, undercut area and blockout.
    pub unknown_area_mm2: f64,
    /// A place among them, for the message that says where; `None` without any.
    pub unknown_at: Option<Point3<f64>>,
}

impl ZoneReading {
    /// Share of the zone that is unknown.
    pub fn unknown_share(&self) -> f64 {
        if self.area_mm2 > 0.0 {
            self.unknown_area_mm2 / self.area_mm2
        } else {
            0.0
        }
    }

    /// Whether so much is unknown that the reading is in doubt.
    pub fn is_in_doubt(&self) -> bool {
        self.unknown_share() > IN_DOUBT_SHARE
    }
}

/// Share of a zone that may be unknown before its reading is in doubt. Project convention.
pub const IN_DOUBT_SHARE: f64 = 0.02;

/// One small triangle of a zone, judged at its centroid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UndercutSample {
    /// Centroid, cast frame.
    pub position: Point3<f64>,
    /// Its area.
    pub area_mm2: f64,
    /// Index of its facet in the mesh.
    pub facet: u32,
    /// What the gauge reads there, at most 10; `None` if the point is not undercut.
    pub depth_mm: Option<f64>,
    /// Whether the gauge found no way out within 10 mm.
    pub capped: bool,
}

/// What one draw costs on one zone, as far as a search over draws wants to know.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneGlance {
    /// As [`ZoneReading::undercut_depth_mm`].
    pub depth_mm: f64,
    /// Undercut depth within each sector of the zone, mm: places a few millimetres wide, the same
    /// for every draw. The depth of the zone is the largest of them, but for a patch of 0.1 mm²
    /// that two sectors share. For interpolation, since each changes smoothly with the draw.
    pub sector_depths_mm: Vec<f64>,
    /// As [`ZoneReading::undercut_area_mm2`].
    pub undercut_area_mm2: f64,
    /// As [`ZoneReading::blockout_mm3`].
    pub blockout_mm3: f64,
}

/// What is told already of the depth of each sector, mm, zone by zone, if anything. Only sectors that may
/// then be the deepest of their zone are read, the others are left as told.
pub type Told<'a> = Option<&'a [Vec<f64>]>;
