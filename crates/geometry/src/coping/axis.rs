//! A coping's axis from tip and torque.

use nalgebra::UnitVector3;

/// The long axis of a tooth from its two published angles: `normalize(z + tan(tip) m +
/// tan(torque) f)`, with `z` occlusal, `m` mesial and `f` facial, all unit and square to each
/// other. Tip is positive with the crown mesial, torque with the crown facial.
///
/// The angles are those *seen* along `f` and along `m`. Published crown torque is the slope of the
/// crown's face, not of the root: root axes need figures of whole teeth.
///
/// Derivation: as the survey tilt; total lean `atan sqrt(tan² tip + tan² torque)`.
pub fn axis_from_tip_and_torque(
    occlusal: &UnitVector3<f64>,
    mesial: &UnitVector3<f64>,
    facial: &UnitVector3<f64>,
    tip_rad: f64,
    torque_rad: f64,
) -> UnitVector3<f64> {
    // Never zero: the part along `occlusal` is 1 before scaling.
    UnitVector3::new_normalize(
        occlusal.as_ref() + mesial.as_ref() * tip_rad.tan() + facial.as_ref() * torque_rad.tan(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Rotation3, Vector3};

    /// Source: working values of an upper canine, tip 11 and torque -7 (Andrews 1972, rounded).
    #[test]
    fn tip_11_and_torque_minus_7_lean_by_13_degrees() {
        let axis = axis_from_tip_and_torque(
            &Vector3::z_axis(),
            &Vector3::x_axis(),
            &Vector3::y_axis(),
            11_f64.to_radians(),
            -7_f64.to_radians(),
        );
        let expected = Vector3::new(0.189_438, -0.119_663, 0.974_574);
        assert!((axis.as_ref() - expected).norm() < 1e-6, "{axis:?}");
        let total = axis.z.acos().to_degrees();
        assert!((total - 12.948).abs() < 5e-5, "{total}");
    }

    /// Derivation: a mirror pair of inclination I at arch azimuths +-a diverges by
    /// `2 atan(tan I sin a / sqrt(1 + tan² I cos² a))`.
    #[test]
    fn a_mirror_pair_inclined_by_15_diverges_by_21() {
        let axis = |azimuth_deg: f64| {
            let turn = Rotation3::from_axis_angle(&Vector3::z_axis(), azimuth_deg.to_radians());
            axis_from_tip_and_torque(
                &Vector3::z_axis(),
                &(turn * Vector3::x_axis()),
                &(turn * Vector3::y_axis()),
                0.0,
                15_f64.to_radians(),
            )
        };
        let (right, left) = (axis(-45.0), axis(45.0));
        let divergence = right.cross(&left).norm().atan2(right.dot(&left));
        assert!((divergence.to_degrees() - 21.0906).abs() < 5e-5);
    }
}
