//! What a coping takes out of the seat: its margin ellipse, a little grown.

use super::clip::HalfSpace;
use super::tolerance::MARGIN_GROWTH_MM;
use crate::coping::Coping;
use nalgebra::{Point3, UnitVector3};

/// The margin ellipse of a coping, which is no seat.
///
/// A point of the scan lies inside if, moved along the coping's axis into the margin plane, it lies
/// inside the ellipse with half widths grown by [`MARGIN_GROWTH_MM`]. The two directions are
/// perpendicular to the axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MarginFootprint {
    /// Centre of the margin ellipse, cast frame, mm.
    pub centre: Point3<f64>,
    /// Long axis of the coping.
    pub axis: UnitVector3<f64>,
    /// Mesial direction.
    pub mesial: UnitVector3<f64>,
    /// Labial direction.
    pub labial: UnitVector3<f64>,
    /// Half the width of the margin along `mesial`, not grown.
    pub half_mesiodistal_mm: f64,
    /// Half the width of the margin along `labial`, not grown.
    pub half_labiolingual_mm: f64,
}

impl From<&Coping> for MarginFootprint {
    fn from(coping: &Coping) -> Self {
        Self {
            centre: coping.margin_centre,
            axis: coping.axis,
            mesial: coping.mesial,
            labial: coping.labial,
            half_mesiodistal_mm: 0.5 * coping.width_mesiodistal_mm,
            half_labiolingual_mm: 0.5 * coping.width_labiolingual_mm,
        }
    }
}

/// Sides of the polygon that stands for an ellipse. It has the ellipse's area; its border is within
/// `r (1 - cos(pi/n))` = 0.004 mm of it for a half width of 7 mm.
const SIDES: usize = 96;

impl MarginFootprint {
    /// Whether a point stands above the margin plane, and inside the grown ellipse once it is moved
    /// along the axis into that plane.
    pub fn stands_above(&self, p: &Point3<f64>) -> bool {
        let offset = p - self.centre;
        let across = offset - self.axis.into_inner() * self.axis.dot(&offset);
        let share = |along: &UnitVector3<f64>, half: f64| {
            (along.dot(&across) / (half + MARGIN_GROWTH_MM)).powi(2)
        };
        let (m, f) = (self.half_mesiodistal_mm, self.half_labiolingual_mm);
        self.axis.dot(&offset) > 0.0 && share(&self.mesial, m) + share(&self.labial, f) <= 1.0
    }

    /// The grown ellipse, drawn out along the axis, as the half-spaces it lies in.
    ///
    /// Derivation: a regular n-gon inscribed in the unit circle has area `n/2 sin(2 pi/n)`; scaled by
    /// the root of `pi` over that it has the circle's area, and so it stays under the affine map
    /// that makes the circle an ellipse.
    pub(crate) fn half_spaces(&self) -> Vec<HalfSpace> {
        let n = SIDES as f64;
        let step = std::f64::consts::TAU / n;
        let scale = (step / step.sin()).sqrt();
        let half = [self.half_mesiodistal_mm, self.half_labiolingual_mm]
            .map(|w| scale * (w + MARGIN_GROWTH_MM));
        // Coordinates in the margin plane that do not change along the axis, even where the given
        // directions are not quite perpendicular to it.
        let across = |u: UnitVector3<f64>| {
            let v = u.into_inner();
            v - self.axis.into_inner() * self.axis.dot(&v)
        };
        let (mesial, labial) = (across(self.mesial), across(self.labial));
        (0..SIDES)
            .map(|i| {
                // The side's middle: outward normal (cos/a, sin/b), level cos(pi/n).
                let (sin, cos) = ((i as f64 + 0.5) * step).sin_cos();
                let outward = mesial * (cos / half[0]) + labial * (sin / half[1]);
                HalfSpace::new(
                    -outward,
                    outward.dot(&self.centre.coords) + (0.5 * step).cos(),
                )
            })
            .collect()
    }
}
