//! Frames out of the directions a case gives: the cast's and a coping's.

use crate::problem::ProblemKind;
use nalgebra::{UnitVector3, Vector3};

/// Least angle between a coping's mesial direction and its axis, and between a given labial
/// direction and the plane of both, in degrees.
///
/// Tuned: 5 degrees separates a direction read off a cast, which is some tens of degrees away, from
/// one copied from the axis by mistake. Smaller, the frame hangs on the last digits; larger, a
/// carelessly read direction is refused that would do. `frames_refuse_what_they_cannot_tell` notices.
pub(crate) const LEAST_ANGLE_DEG: f64 = 5.0;

/// A coping's own directions, before the labial side is chosen.
#[derive(Debug, Clone, Copy)]
pub(crate) struct AxisAndMesial {
    /// Unit, as given.
    pub(crate) axis: UnitVector3<f64>,
    /// Unit, perpendicular to the axis.
    pub(crate) mesial: UnitVector3<f64>,
}

impl AxisAndMesial {
    /// Keeps the axis and makes the mesial direction perpendicular to it.
    pub(crate) fn new(
        axis: UnitVector3<f64>,
        mesial: UnitVector3<f64>,
    ) -> Result<Self, ProblemKind> {
        let across = mesial.into_inner() - axis.into_inner() * mesial.dot(&axis);
        let angle_deg = across.norm().clamp(0.0, 1.0).asin().to_degrees();
        match unit(across.into()) {
            Some(mesial) if angle_deg >= LEAST_ANGLE_DEG => Ok(Self { axis, mesial }),
            _ => Err(ProblemKind::MesialAlongAxis {
                angle_deg,
                least_deg: LEAST_ANGLE_DEG,
            }),
        }
    }

    /// The direction across both, `axis × mesial`.
    pub(crate) fn across(&self) -> UnitVector3<f64> {
        // Both are unit and perpendicular, so the product is unit but for rounding.
        UnitVector3::new_normalize(self.axis.cross(&self.mesial))
    }

    /// Whether a given labial direction lies on the side of [`Self::across`].
    pub(crate) fn labial_is_across(&self, labial: UnitVector3<f64>) -> Result<bool, ProblemKind> {
        let height = labial.dot(&self.across());
        let angle_deg = height.abs().clamp(0.0, 1.0).asin().to_degrees();
        if angle_deg < LEAST_ANGLE_DEG {
            return Err(ProblemKind::LabialUndecided {
                angle_deg,
                least_deg: LEAST_ANGLE_DEG,
            });
        }
        Ok(height > 0.0)
    }
}

/// The unit vector along a direction of any length but 0.
pub(crate) fn unit(direction: [f64; 3]) -> Option<UnitVector3<f64>> {
    // Scaled first, so that very short directions do not vanish when squared.
    let direction = Vector3::from(direction);
    let longest = direction.amax();
    (longest > 0.0).then(|| UnitVector3::new_normalize(direction / longest))
}

/// Axes of the cast frame in the scan's own axes: x, y (anterior), z (occlusal). Right-handed
/// whatever is given, so a scan is never mirrored.
pub(crate) fn cast_axes(
    anterior: UnitVector3<f64>,
    occlusal: UnitVector3<f64>,
) -> Result<[UnitVector3<f64>; 3], ProblemKind> {
    let cos = anterior.dot(&occlusal);
    let angle_deg = cos.clamp(-1.0, 1.0).acos().to_degrees();
    // The bounds themselves are allowed: acos of a rounded cosine decides with a tolerance.
    if !(60.0 - 1e-9..=120.0 + 1e-9).contains(&angle_deg) {
        return Err(ProblemKind::FrameAngle { angle_deg });
    }
    let y = UnitVector3::new_normalize(anterior.into_inner() - occlusal.into_inner() * cos);
    let x = UnitVector3::new_normalize(y.cross(&occlusal));
    Ok([x, y, occlusal])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn direction(x: f64, y: f64, z: f64) -> UnitVector3<f64> {
        unit([x, y, z]).unwrap()
    }

    #[test]
    fn the_axis_is_kept_and_the_mesial_direction_made_perpendicular() {
        let axis = direction(0.05, 0.1, 1.0);
        let frame = AxisAndMesial::new(axis, direction(1.0, 0.3, 0.0)).unwrap();
        assert_eq!(frame.axis, axis);
        assert!(frame.axis.dot(&frame.mesial).abs() < 1e-15);
        // Lower left canine, patient's left at -x: labial is anterior and away from the midline.
        assert!(frame.across().y > 0.9 && frame.across().x < 0.0);
    }

    #[test]
    fn frames_refuse_what_they_cannot_tell() {
        let z = direction(0.0, 0.0, 1.0);
        let lean = |deg: f64| direction(deg.to_radians().sin(), 0.0, deg.to_radians().cos());
        assert!(AxisAndMesial::new(z, lean(5.1)).is_ok());
        assert!(AxisAndMesial::new(z, lean(174.9)).is_ok());
        for deg in [0.0, 4.9, 175.1, 180.0] {
            let error = AxisAndMesial::new(z, lean(deg)).unwrap_err();
            let ProblemKind::MesialAlongAxis { angle_deg, .. } = error else {
                panic!("{error}");
            };
            assert!(
                (angle_deg - deg.min(180.0 - deg)).abs() < 1e-9,
                "{deg}: {angle_deg}"
            );
        }
        let frame = AxisAndMesial::new(z, direction(1.0, 0.0, 0.0)).unwrap();
        assert_eq!(frame.labial_is_across(direction(5.0, 1.0, -3.0)), Ok(true));
        assert_eq!(frame.labial_is_across(direction(5.0, -1.0, 3.0)), Ok(false));
        assert!(frame.labial_is_across(direction(5.0, 0.1, 3.0)).is_err());
    }

    #[test]
    fn cast_axes_are_right_handed_and_keep_the_occlusal_direction() {
        for (anterior, occlusal) in [
            ([0.0, 1.0, 0.0], [0.0, 0.0, 1.0]),
            ([0.3, -2.0, 0.5], [5.0, 1.0, 1.0]),
            ([0.0, 3f64.sqrt() / 2.0, 0.5], [0.0, 0.0, 1.0]),
        ] {
            let occlusal = unit(occlusal).unwrap();
            let [x, y, z] = cast_axes(unit(anterior).unwrap(), occlusal).unwrap();
            assert_eq!(z, occlusal);
            assert!((x.cross(&y).dot(&z) - 1.0).abs() < 1e-14);
            assert!(
                y.dot(&unit(anterior).unwrap()) > 0.8,
                "anterior stays anterior"
            );
        }
        let steep = cast_axes(direction(0.0, 1.0, 0.6), direction(0.0, 0.0, 1.0)).unwrap_err();
        let ProblemKind::FrameAngle { angle_deg } = steep else {
            panic!("{steep}");
        };
        assert!(
            (angle_deg - 59.036).abs() < 1e-3,
            "atan(1/0.6): {angle_deg}"
        );
    }

    #[test]
    fn very_short_directions_are_still_directions() {
        assert_eq!(unit([0.0; 3]), None);
        assert_eq!(unit([0.0, 0.0, 1e-300]), Some(direction(0.0, 0.0, 1.0)));
    }
}
