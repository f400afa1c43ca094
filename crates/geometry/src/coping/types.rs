//! What a coping is: its own frame, its margin ellipse and its walls.

use crate::work::Standing;
use nalgebra::{Point3, UnitVector3};

/// The side of a coping a wall looks to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Toward the midline along the arch: normal-azimuth 0 degrees.
    Mesial,
    /// Toward lip or cheek: normal-azimuth 90 degrees.
    Labial,
    /// Away from the midline along the arch: normal-azimuth 180 degrees.
    Distal,
    /// Toward tongue or palate: normal-azimuth 270 degrees.
    Lingual,
}

impl Side {
    /// All four, in the order of their azimuth; also their order in [`Coping::walls`].
    pub const ALL: [Self; 4] = [Self::Mesial, Self::Labial, Self::Distal, Self::Lingual];

    /// Normal-azimuth of the middle of the side, in radians.
    pub fn azimuth_rad(self) -> f64 {
        self as usize as f64 * std::f64::consts::FRAC_PI_2
    }

    /// The key of the side in files.
    pub fn key(self) -> &'static str {
        match self {
            Self::Mesial => "mesial",
            Self::Labial => "labial",
            Self::Distal => "distal",
            Self::Lingual => "lingual",
        }
    }
}

/// One axial wall, with every default already filled in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    /// Taper against the coping's own axis, per wall; positive converges occlusally.
    pub taper_rad: f64,
    /// Half the width of the azimuth sector the wall spans, about its own side.
    pub half_sector_rad: f64,
    /// Height along the coping's axis.
    pub height_mm: f64,
    /// Whether the wall has to share the common draw.
    pub guides: bool,
    /// Required (least) draft of a guiding wall, 0..=30 degrees.
    pub draft_min_rad: f64,
    /// Greatest draft of a guiding wall, judged at its own side.
    pub draft_max_rad: f64,
}

/// How a coping that is not waxed yet will be milled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MillPlan {
    /// Taper of the milled outer wall against the draw, per wall.
    pub taper_rad: f64,
    /// Metal thickness at the margin, across the draw.
    pub margin_thickness_mm: f64,
}

/// What the walls of a coping are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WallBasis {
    /// The outer walls of a finished (waxed or cast) coping.
    Finished,
    /// The prepared root under the metal; the outer walls will be milled to the draw.
    Prep(MillPlan),
}

/// A coping in the cast frame.
///
/// `mesial` and `labial` are perpendicular to `axis` and to each other; which way `labial` points
/// is decided by whoever builds the coping (design: `axis × mesial` in quadrants 1 and 3).
#[derive(Debug, Clone, PartialEq)]
pub struct Coping {
    /// Unique name within the case.
    pub id: String,
    /// ISO 3950 two-digit designation.
    pub tooth: String,
    /// Centre of the margin ellipse.
    pub margin_centre: Point3<f64>,
    /// Long axis, pointing occlusally.
    pub axis: UnitVector3<f64>,
    /// Mesial direction.
    pub mesial: UnitVector3<f64>,
    /// Labial (buccal) direction.
    pub labial: UnitVector3<f64>,
    /// Full width of the margin ellipse along `mesial`.
    pub width_mesiodistal_mm: f64,
    /// Full width of the margin ellipse along `labial`.
    pub width_labiolingual_mm: f64,
    /// Height along the axis.
    pub height_mm: f64,
    /// The walls, in the order of [`Side::ALL`]; `None` where the wall does not exist.
    pub walls: [Option<Wall>; 4],
    /// What the walls are of.
    pub basis: WallBasis,
    /// Axis of the root canal, if the coping carries a post.
    pub canal_axis: Option<UnitVector3<f64>>,
    /// Whether it stays as it is.
    pub standing: Standing,
}

impl Coping {
    /// The wall on a side, if it exists.
    pub fn wall(&self, side: Side) -> Option<&Wall> {
        self.walls[side as usize].as_ref()
    }

    /// The walls that exist, in the order of [`Side::ALL`].
    pub fn existing_walls(&self) -> impl Iterator<Item = (Side, &Wall)> {
        Side::ALL
            .into_iter()
            .filter_map(|side| self.wall(side).map(|wall| (side, wall)))
    }
}
