//! A wall's normals and lines, and a draw seen in the coping's own frame.
//!
//! With `r(phi) = cos(phi) m + sin(phi) f` the horizontal outward direction of the coping,
//!
//! * outward normal `n(phi) = cos(taper) r + sin(taper) a`,
//! * wall line from margin to top `g(phi) = cos(taper) a - sin(taper) r`.
//!
//! Both are unit vectors, perpendicular to each other and to the margin's tangent at `phi`.

use super::types::{Coping, Side, Wall};
use nalgebra::{UnitVector3, Vector3};
use std::f64::consts::{PI, TAU};

impl Coping {
    /// `r(phi)`: the outward direction across the axis at normal-azimuth `phi` (radians; 0 mesial,
    /// a quarter turn labial). Unit, cast frame.
    pub fn outward(&self, azimuth_rad: f64) -> UnitVector3<f64> {
        let (sin, cos) = azimuth_rad.sin_cos();
        // Unit by construction: mesial and labial are unit and perpendicular.
        UnitVector3::new_unchecked(self.mesial.as_ref() * cos + self.labial.as_ref() * sin)
    }

    /// `n(phi)`: the outward normal of a wall at normal-azimuth `phi`. Unit, cast frame.
    pub fn wall_normal(&self, wall: &Wall, azimuth_rad: f64) -> UnitVector3<f64> {
        let (sin, cos) = wall.taper_rad.sin_cos();
        UnitVector3::new_unchecked(
            self.outward(azimuth_rad).as_ref() * cos + self.axis.as_ref() * sin,
        )
    }

    /// `g(phi)`: the wall line from margin to top at normal-azimuth `phi`. Unit, cast frame.
    pub fn wall_line(&self, wall: &Wall, azimuth_rad: f64) -> UnitVector3<f64> {
        let (sin, cos) = wall.taper_rad.sin_cos();
        UnitVector3::new_unchecked(
            self.axis.as_ref() * cos - self.outward(azimuth_rad).as_ref() * sin,
        )
    }
}

/// A draw in the frame of one coping.
#[derive(Debug, Clone, Copy)]
pub(crate) struct DrawInCoping {
    /// Component along the axis, `a . d`.
    pub(crate) along: f64,
    /// Length of the component across the axis, `>= 0`.
    pub(crate) across: f64,
    /// Azimuth of the component across the axis; 0 where there is none.
    pub(crate) azimuth_rad: f64,
}

/// Below this length (a pure number) the part of the draw across the axis is rounding noise, and
/// its azimuth says nothing. Separates "draw along the axis" from a lean of 2e-13 degree.
const NO_LEAN: f64 = 4e-15;

impl DrawInCoping {
    pub(crate) fn new(coping: &Coping, draw: &UnitVector3<f64>) -> Self {
        let d: &Vector3<f64> = draw.as_ref();
        let (mesial, labial) = (coping.mesial.dot(d), coping.labial.dot(d));
        Self {
            along: coping.axis.dot(d),
            across: mesial.hypot(labial),
            azimuth_rad: labial.atan2(mesial),
        }
    }

    /// Azimuth inside the wall's sector at which the draw leans least toward the wall: where
    /// `cos(phi - azimuth)` is smallest.
    ///
    /// Derivation: the cosine falls monotonically from the draw's own azimuth to the opposite one,
    /// so the least value is at the opposite azimuth where the sector holds it, else at the end of
    /// the sector nearer to it. Without lean every azimuth is equal: the wall's own side.
    pub(crate) fn farthest_azimuth(&self, side: Side, wall: &Wall) -> f64 {
        self.clamped(side, wall, self.azimuth_rad + PI)
    }

    /// Azimuth inside the wall's sector at which the draw leans most toward the wall.
    pub(crate) fn nearest_azimuth(&self, side: Side, wall: &Wall) -> f64 {
        self.clamped(side, wall, self.azimuth_rad)
    }

    fn clamped(&self, side: Side, wall: &Wall, azimuth_rad: f64) -> f64 {
        let centre = side.azimuth_rad();
        if self.across <= NO_LEAN {
            return centre;
        }
        let offset = wrap(azimuth_rad - centre);
        centre + offset.clamp(-wall.half_sector_rad, wall.half_sector_rad)
    }

    /// `r(phi) . d`: how far the draw leans toward azimuth `phi`.
    pub(crate) fn toward(&self, azimuth_rad: f64) -> f64 {
        self.across * (azimuth_rad - self.azimuth_rad).cos()
    }
}

/// The same angle in `[-pi, pi]`.
pub(crate) fn wrap(angle_rad: f64) -> f64 {
    angle_rad - TAU * (angle_rad / TAU).round()
}
