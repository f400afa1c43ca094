//! Tripod marks: three marks made at one fixed rod height, by which a cast is set again.
//!
//! The marks lie in one plane across the rod, so the rod, and with it the draw, is that plane's
//! normal. They re-orient only the cast that carries them; the two tilt angles carry over to a
//! duplicate.
//!
//! Source: H. B. Dumbrigue, D. C. Chacon, "Recording and reproducing the cast orientation",
//! J Prosthet Dent 89 (2003) 76-78 (three marks in one horizontal plane).

use nalgebra::{Point3, UnitVector3};

/// Millimetres. Marks nearer to one line than this fix no plane: a quarter of a millimetre of
/// height error would then tilt the cast by more than 14 degrees.
pub const LEAST_TRIPOD_HEIGHT_MM: f64 = 1.0;

/// Why three marks give no draw.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum TripodError {
    /// A coordinate is not a number.
    #[error("a tripod mark has a coordinate that is not a number; measure it again")]
    NotFinite,
    /// The marks lie in one line, or nearly.
    #[error(
        "the tripod marks lie within {height_mm:.3} mm of one line; at least {LEAST_TRIPOD_HEIGHT_MM} mm is needed, 30 mm is good: spread them"
    )]
    InLine {
        /// Least height of the triangle of the marks.
        height_mm: f64,
    },
    /// The plane of the marks stands upright.
    #[error(
        "the plane of the tripod marks stands upright (z of its normal: {0:.3}): no draw leaves the cast"
    )]
    Upright(f64),
}

/// The draw direction, in the frame of the marks (+z away from the ridge), whose rod made three
/// marks at one height. The order of the marks does not matter.
///
/// # Errors
/// [`TripodError`].
pub fn draw_from_marks(marks: [Point3<f64>; 3]) -> Result<UnitVector3<f64>, TripodError> {
    if !marks
        .iter()
        .all(|mark| mark.coords.iter().all(|c| c.is_finite()))
    {
        return Err(TripodError::NotFinite);
    }
    let [a, b, c] = marks;
    let normal = (b - a).cross(&(c - a));
    let longest = [b - a, c - b, a - c]
        .map(|side| side.norm())
        .into_iter()
        .fold(0.0, f64::max);
    let height_mm = if longest > 0.0 {
        normal.norm() / longest
    } else {
        0.0
    };
    if height_mm < LEAST_TRIPOD_HEIGHT_MM {
        return Err(TripodError::InLine { height_mm });
    }
    let normal = UnitVector3::new_normalize(normal);
    if normal.z.abs() <= crate::tolerance::MET_RAD {
        return Err(TripodError::Upright(normal.z));
    }
    Ok(if normal.z > 0.0 { normal } else { -normal })
}

/// How far the cast tilts, in radians, when one mark is off in height over a baseline:
/// `atan(error / baseline)`. A right angle without a baseline.
pub fn tilt_error_rad(height_error_mm: f64, baseline_mm: f64) -> f64 {
    height_error_mm.abs().atan2(baseline_mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tilt::Tilt;
    use nalgebra::Vector3;

    /// Derivation: a plane that rises 5 degrees to +x and falls 3 degrees to +y.
    fn marks() -> [Point3<f64>; 3] {
        [
            Point3::origin(),
            Point3::new(40.0, 0.0, 40.0 * 5_f64.to_radians().tan()),
            Point3::new(0.0, 30.0, -30.0 * 3_f64.to_radians().tan()),
        ]
    }

    #[test]
    fn three_marks_give_back_the_draw_in_any_order() {
        let expected = Vector3::new(-0.087_037, 0.052_137, 0.994_840);
        let [a, b, c] = marks();
        for order in [[a, b, c], [c, b, a], [b, c, a]] {
            let draw = draw_from_marks(order).unwrap();
            assert!((draw.as_ref() - expected).norm() < 1e-6, "{draw:?}");
            let tilt = Tilt::from_direction(&draw).unwrap();
            assert!((tilt.total_rad().to_degrees() - 5.8232).abs() < 1e-4);
            assert!((tilt.lateral_rad().to_degrees() - 5.0).abs() < 1e-12);
            assert!((tilt.anterior_rad().to_degrees() + 3.0).abs() < 1e-12);
        }
    }

    #[test]
    fn a_mark_off_in_height_tilts_by_its_angle_over_the_baseline() {
        for (error, baseline, tilt_deg) in [(0.25, 40.0, 0.3581), (0.5, 30.0, 0.9548)] {
            let found = tilt_error_rad(error, baseline).to_degrees();
            assert!((found - tilt_deg).abs() < 5e-5, "{found}");
        }
        // The same by moving a mark.
        let level = [
            Point3::origin(),
            Point3::new(40.0, 0.0, 0.25),
            Point3::new(0.0, 30.0, 0.0),
        ];
        let draw = draw_from_marks(level).unwrap();
        assert!((draw.z.acos() - tilt_error_rad(0.25, 40.0)).abs() < 1e-12);
    }

    #[test]
    fn marks_that_fix_no_plane_are_named() {
        let [a, b, _] = marks();
        let middle = nalgebra::center(&a, &b);
        assert!(matches!(
            draw_from_marks([a, b, middle]),
            Err(TripodError::InLine { height_mm }) if height_mm < 1e-9
        ));
        assert!(matches!(
            draw_from_marks([a, a, a]),
            Err(TripodError::InLine { .. })
        ));
        let upright = [a, Point3::new(0.0, 0.0, 30.0), Point3::new(20.0, 0.0, 0.0)];
        assert!(matches!(
            draw_from_marks(upright),
            Err(TripodError::Upright(_))
        ));
        let broken = [a, b, Point3::new(f64::NAN, 0.0, 0.0)];
        assert_eq!(draw_from_marks(broken), Err(TripodError::NotFinite));
    }
}
