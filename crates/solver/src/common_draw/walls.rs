//! The guiding walls of finished copings, and which normal of each is worst for a draw.

use super::types::WallRef;
use nalgebra::{UnitVector3, Vector3};
use tiltbench_geometry::coping::{Coping, Wall, WallBasis};

/// A guiding wall of a finished coping.
#[derive(Debug, Clone, Copy)]
pub(super) struct GuidingWall<'a> {
    pub(super) name: WallRef,
    pub(super) coping: &'a Coping,
    pub(super) wall: &'a Wall,
}

/// One normal of one wall.
#[derive(Debug, Clone, Copy)]
pub(super) struct WallNormal {
    pub(super) wall: WallRef,
    pub(super) azimuth_rad: f64,
    pub(super) normal: UnitVector3<f64>,
}

/// The walls that share the common draw, in the order of copings, then sides.
pub(super) fn guiding_walls(copings: &[Coping]) -> Vec<GuidingWall<'_>> {
    copings
        .iter()
        .enumerate()
        .filter(|(_, coping)| coping.basis == WallBasis::Finished)
        .flat_map(|(index, coping)| {
            coping
                .existing_walls()
                .filter(|(_, wall)| wall.guides)
                .map(move |(side, wall)| GuidingWall {
                    name: WallRef {
                        coping: index,
                        side,
                    },
                    coping,
                    wall,
                })
        })
        .collect()
}

impl GuidingWall<'_> {
    /// The normal at an azimuth.
    pub(super) fn normal(&self, azimuth_rad: f64) -> WallNormal {
        WallNormal {
            wall: self.name,
            azimuth_rad,
            normal: self.coping.wall_normal(self.wall, azimuth_rad),
        }
    }

    /// The normal whose draft is least for a draw.
    pub(super) fn worst(&self, draw: &UnitVector3<f64>) -> WallNormal {
        let azimuth_rad = self.least_azimuth(draw);
        self.normal(azimuth_rad)
    }

    fn least_azimuth(&self, draw: &UnitVector3<f64>) -> f64 {
        self.coping
            .wall_draft(self.name.side, draw)
            .map_or(self.name.side.azimuth_rad(), |draft| {
                draft.least_azimuth_rad
            })
    }

    /// Least draft of the wall for a draw.
    pub(super) fn least_rad(&self, draw: &UnitVector3<f64>) -> f64 {
        self.worst(draw).normal.dot(draw).clamp(-1.0, 1.0).asin()
    }

    /// Azimuths of the two ends of the sector.
    pub(super) fn ends(&self) -> [f64; 2] {
        let centre = self.name.side.azimuth_rad();
        [
            centre - self.wall.half_sector_rad,
            centre + self.wall.half_sector_rad,
        ]
    }
}

/// The least draft of all walls for a draw.
pub(super) fn least_of_all_rad(walls: &[GuidingWall<'_>], draw: &UnitVector3<f64>) -> f64 {
    walls
        .iter()
        .map(|wall| wall.least_rad(draw))
        .fold(f64::INFINITY, f64::min)
}

/// The least of `least draft - required draft` over all walls for a draw.
pub(super) fn margin_rad(walls: &[GuidingWall<'_>], draw: &UnitVector3<f64>) -> f64 {
    walls
        .iter()
        .map(|wall| wall.least_rad(draw) - wall.wall.draft_min_rad)
        .fold(f64::INFINITY, f64::min)
}

/// The worst normal of all walls for a vector, and its product with it. `None` without walls.
pub(super) fn worst_of_all(
    walls: &[GuidingWall<'_>],
    toward: &Vector3<f64>,
) -> Option<(WallNormal, f64)> {
    let draw = UnitVector3::try_new(*toward, 0.0)?;
    walls
        .iter()
        .map(|wall| {
            let worst = wall.worst(&draw);
            (worst, worst.normal.dot(toward))
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
}
