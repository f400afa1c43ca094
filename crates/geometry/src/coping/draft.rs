//! What a draw does at a wall: draft, undercut, convergence of opposing walls.
//!
//! Everything is in closed form over the wall's whole sector; nothing is sampled.

use super::types::{Coping, Side, Wall};
use super::wall::DrawInCoping;
use nalgebra::UnitVector3;

/// Drafts of one wall for one draw, in radians. Positive releases, zero is parallel, negative is
/// undercut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallDraft {
    /// At the wall's own side.
    pub centre_rad: f64,
    /// Least over the wall's sector.
    pub least_rad: f64,
    /// Normal-azimuth of the least draft, within the wall's sector about its own side (so a mesial
    /// wall's may be negative). The wall's own side where the draft is the same all over.
    pub least_azimuth_rad: f64,
    /// Most over the wall's sector.
    pub most_rad: f64,
}

impl WallDraft {
    /// Signed angle on the sphere from the draw to the border of "least draft >= required":
    /// how far the draw may turn, any way, before this wall falls short. Radians; negative when it
    /// falls short already (the draw must turn at least that far).
    ///
    /// Derivation: at one azimuth the border is the small circle `n . d = sin(required)` about `n`,
    /// of angular radius `pi/2 - required`; `d` stands at `pi/2 - draft` from `n`, and the shortest
    /// way to a circle about `n` runs along the great circle through `n`: `draft - required`,
    /// exactly. The wall falls short as soon as one azimuth does, so the distance to the border is
    /// the least of these over the sector: `least draft - required`.
    pub fn allowance_to_min_rad(&self, required_rad: f64) -> f64 {
        self.least_rad - required_rad
    }

    /// Signed angle on the sphere from the draw to the border of "centre draft <= greatest".
    ///
    /// Derivation: the same small circle about the centre normal, from its other side.
    pub fn allowance_to_max_rad(&self, greatest_rad: f64) -> f64 {
        greatest_rad - self.centre_rad
    }
}

/// Two walls that face each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OpposingPair {
    /// Mesial and distal.
    Mesiodistal,
    /// Labial and lingual.
    Labiolingual,
}

impl OpposingPair {
    /// Both pairs.
    pub const ALL: [Self; 2] = [Self::Mesiodistal, Self::Labiolingual];

    /// The sides of the pair.
    pub fn sides(self) -> [Side; 2] {
        match self {
            Self::Mesiodistal => [Side::Mesial, Side::Distal],
            Self::Labiolingual => [Side::Labial, Side::Lingual],
        }
    }

    /// The key of the pair in files and answers.
    pub fn key(self) -> &'static str {
        match self {
            Self::Mesiodistal => "mesiodistal",
            Self::Labiolingual => "labiolingual",
        }
    }
}

/// Total occlusal convergence of an opposing pair: always the *total*, the sum of both walls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpposingConvergence {
    /// Which pair.
    pub pair: OpposingPair,
    /// Sum of the two tapers: of the coping itself, whatever the draw.
    pub of_coping_rad: f64,
    /// Sum of the two centre drafts: as this draw sees the pair.
    pub for_draw_rad: f64,
}

impl Coping {
    /// Draft of a wall at one normal-azimuth: `asin(n(phi) . d)`, radians.
    pub fn draft_at_rad(&self, wall: &Wall, azimuth_rad: f64, draw: &UnitVector3<f64>) -> f64 {
        let seen = DrawInCoping::new(self, draw);
        draft_rad(wall, &seen, azimuth_rad)
    }

    /// Drafts of the wall on `side`; `None` where the wall does not exist.
    ///
    /// With `p` the part of `d` across the axis, at azimuth `q`,
    /// `n(phi) . d = p cos(taper) cos(phi - q) + (a . d) sin(taper)`: least where the cosine is.
    pub fn wall_draft(&self, side: Side, draw: &UnitVector3<f64>) -> Option<WallDraft> {
        let wall = self.wall(side)?;
        let seen = DrawInCoping::new(self, draw);
        let least_azimuth_rad = seen.farthest_azimuth(side, wall);
        Some(WallDraft {
            centre_rad: draft_rad(wall, &seen, side.azimuth_rad()),
            least_rad: draft_rad(wall, &seen, least_azimuth_rad),
            least_azimuth_rad,
            most_rad: draft_rad(wall, &seen, seen.nearest_azimuth(side, wall)),
        })
    }

    /// How far the top of the wall overhangs its foot across the draw, in mm, at the azimuth of
    /// the least draft: `(height / cos(taper)) (g . d) tan(-draft)`. 0 where the wall is not
    /// undercut, and where the wall line runs against the draw altogether (`g . d <= 0`: no
    /// overhang is defined). `None` where the wall does not exist.
    ///
    /// Derivation: the wall line is `height / cos(taper)` long and rises
    /// `(height / cos(taper)) (g . d)` along the draw; over that rise a surface undercut by
    /// `-draft` recedes by its tangent.
    pub fn wall_undercut_mm(&self, side: Side, draw: &UnitVector3<f64>) -> Option<f64> {
        let wall = self.wall(side)?;
        let draft = self.wall_draft(side, draw)?;
        if draft.least_rad >= 0.0 {
            return Some(0.0);
        }
        let line = self.wall_line(wall, draft.least_azimuth_rad);
        let rise = wall.height_mm / wall.taper_rad.cos() * line.dot(draw);
        Some((rise * (-draft.least_rad).tan()).max(0.0))
    }

    /// Convergence of an opposing pair; `None` when a wall of the pair does not exist.
    pub fn opposing_convergence(
        &self,
        pair: OpposingPair,
        draw: &UnitVector3<f64>,
    ) -> Option<OpposingConvergence> {
        let [first, second] = pair.sides();
        Some(OpposingConvergence {
            pair,
            of_coping_rad: self.wall(first)?.taper_rad + self.wall(second)?.taper_rad,
            for_draw_rad: self.wall_draft(first, draw)?.centre_rad
                + self.wall_draft(second, draw)?.centre_rad,
        })
    }

    /// Angle between the draw and the canal, along which a post-coping leaves; `None` without a
    /// post. It decides nothing.
    pub fn canal_angle_rad(&self, draw: &UnitVector3<f64>) -> Option<f64> {
        let canal = self.canal_axis?;
        Some(canal.cross(draw).norm().atan2(canal.dot(draw)))
    }
}

fn draft_rad(wall: &Wall, seen: &DrawInCoping, azimuth_rad: f64) -> f64 {
    let (sin, cos) = wall.taper_rad.sin_cos();
    (cos * seen.toward(azimuth_rad) + sin * seen.along)
        .clamp(-1.0, 1.0)
        .asin()
}
