//! The survey tilt: two table angles, and the draw direction they stand for.
//!
//! `alpha` (anterior) is positive when the anterior of the cast is lowered, `lambda` (lateral) when
//! the +x side is lowered. They are the angles *seen* in the sagittal and the frontal view, so
//! `d = normalize(-tan lambda, -tan alpha, 1)`: lowering the anterior leans the draw posteriorly.
//!
//! Derivation: in the sagittal view (x dropped) the draw is `(-tan alpha, 1)`, which stands at
//! `alpha` from +z toward -y; likewise in the frontal view. Hence
//! `tan² total = tan² alpha + tan² lambda`.

use crate::frame::{Arch, PatientSide};
use nalgebra::{UnitVector3, Vector3};

/// A tilt of the survey table. Both angles are in radians and within ±[`Tilt::LIMIT_RAD`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tilt {
    anterior_rad: f64,
    lateral_rad: f64,
}

/// Why two angles, or a direction, are not a tilt.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum TiltError {
    /// An angle is not finite or too steep to be seen in a side view.
    #[error("a tilt of {0} degrees is not within ±85 degrees")]
    TooSteep(f64),
    /// The draw does not leave the cast.
    #[error("a draw direction must point away from the ridge (z > 0), and this one has z = {0}")]
    NotOcclusal(f64),
}

/// An angle in degrees, as it was given: 60 degrees come back as 60, not as 59.99999999999999.
///
/// An angle of at most nine decimals does not change by its way through radians; any other comes back as
/// [`f64::to_degrees`] has it.
///
/// Derivation: to radians and back is two products with rounded factors, each rounded: at most 4 steps of
/// a double, 9e-16 of the angle. A number of nine decimals so near is taken for the one that was given.
pub fn degrees_as_given(angle_rad: f64) -> f64 {
    const DECIMALS: f64 = 1e9;
    let degrees = angle_rad.to_degrees();
    let given = (degrees * DECIMALS).round() / DECIMALS;
    if (given - degrees).abs() <= 4.0 * f64::EPSILON * degrees.abs() {
        given
    } else {
        degrees
    }
}

impl Tilt {
    /// Radians, rounded as 85 degrees given are. Steeper angles are refused: their tangent, and the table,
    /// mean nothing.
    pub const LIMIT_RAD: f64 = 85.0 * (std::f64::consts::PI / 180.0);

    /// No tilt: the occlusal plane is horizontal on the table.
    pub const FLAT: Self = Self {
        anterior_rad: 0.0,
        lateral_rad: 0.0,
    };

    /// A tilt from the two angles seen in the side views, in radians.
    ///
    /// # Errors
    /// [`TiltError::TooSteep`] (in degrees) when an angle is not finite or beyond ±85 degrees.
    pub fn new(anterior_rad: f64, lateral_rad: f64) -> Result<Self, TiltError> {
        for angle in [anterior_rad, lateral_rad] {
            if !angle.is_finite() || angle.abs() > Self::LIMIT_RAD {
                return Err(TiltError::TooSteep(degrees_as_given(angle)));
            }
        }
        Ok(Self {
            anterior_rad,
            lateral_rad,
        })
    }

    /// A tilt from the two angles in degrees.
    ///
    /// # Errors
    /// As [`Tilt::new`].
    pub fn from_degrees(anterior_deg: f64, lateral_deg: f64) -> Result<Self, TiltError> {
        Self::new(anterior_deg.to_radians(), lateral_deg.to_radians())
    }

    /// The tilt whose draw is `d` (cast frame).
    ///
    /// # Errors
    /// [`TiltError::NotOcclusal`] when `d.z <= 0`; [`TiltError::TooSteep`] near the horizon.
    pub fn from_direction(d: &UnitVector3<f64>) -> Result<Self, TiltError> {
        if d.z <= 0.0 {
            return Err(TiltError::NotOcclusal(d.z));
        }
        // `0.0 -` rather than negation: a vertical draw reads 0, never -0.
        Self::new((0.0 - d.y).atan2(d.z), (0.0 - d.x).atan2(d.z))
    }

    /// The draw direction in the cast frame.
    pub fn direction(&self) -> UnitVector3<f64> {
        // Never zero: z is 1 before scaling.
        UnitVector3::new_normalize(Vector3::new(
            0.0 - self.lateral_rad.tan(),
            0.0 - self.anterior_rad.tan(),
            1.0,
        ))
    }

    /// alpha: positive when the anterior of the cast is lowered.
    pub fn anterior_rad(&self) -> f64 {
        self.anterior_rad
    }

    /// lambda: positive when the +x side of the cast is lowered.
    pub fn lateral_rad(&self) -> f64 {
        self.lateral_rad
    }

    /// Angle between the draw and +z.
    pub fn total_rad(&self) -> f64 {
        self.lateral_rad.tan().hypot(self.anterior_rad.tan()).atan()
    }

    /// Angles of a two-axis table whose outer axis is the transverse one: (outer, inner).
    ///
    /// Derivation: the outer axis turns the sagittal view by alpha as seen; the inner axis then
    /// sees the lateral offset `tan lambda` against a draw of length `1/cos alpha`.
    pub fn table_angles_rad(&self) -> (f64, f64) {
        (
            self.anterior_rad,
            (self.lateral_rad.tan() * self.anterior_rad.cos()).atan(),
        )
    }

    /// The patient's side that is lowered, if any beyond [`crate::tolerance::MET_RAD`].
    pub fn lowered_side(&self, arch: Arch) -> Option<PatientSide> {
        if self.lateral_rad.abs() <= crate::tolerance::MET_RAD {
            None
        } else if self.lateral_rad > 0.0 {
            Some(arch.side_of_plus_x())
        } else {
            Some(arch.side_of_plus_x().opposite())
        }
    }
}

#[cfg(test)]
mod tests;
