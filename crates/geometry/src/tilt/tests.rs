use super::*;
use std::f64::consts::FRAC_PI_2;

fn degrees(anterior: f64, lateral: f64) -> Tilt {
    Tilt::from_degrees(anterior, lateral).unwrap()
}

fn draft_deg(normal: Vector3<f64>, tilt: &Tilt) -> f64 {
    normal.dot(&tilt.direction()).asin().to_degrees()
}

/// Derivation: angles read in the side views add by their tangents; turned one after the other they
/// would add by their cosines (14.1060 for 10 and 10).
#[test]
fn two_side_view_angles_of_10_make_a_total_of_14_0019() {
    for (alpha, lambda, total, sequential) in
        [(10.0, 10.0, 14.0019, 14.1060), (4.0, 3.0, 4.9942, 4.9985)]
    {
        let tilt = degrees(alpha, lambda);
        assert!((tilt.total_rad().to_degrees() - total).abs() < 5e-5);
        assert!((tilt.direction().z.acos().to_degrees() - total).abs() < 5e-5);
        // A two-axis table turned by its own two angles reaches the same draw.
        let (outer, inner) = tilt.table_angles_rad();
        assert!(((outer.cos() * inner.cos()).acos().to_degrees() - total).abs() < 5e-5);
        let turned = f64::to_radians(alpha).cos() * f64::to_radians(lambda).cos();
        assert!((turned.acos().to_degrees() - sequential).abs() < 5e-5);
    }
}

/// Derivation: lowering the anterior leans the draw posteriorly.
#[test]
fn lowering_the_anterior_by_5_undercuts_a_wall_that_faces_forward_by_5() {
    let tilt = degrees(5.0, 0.0);
    assert!((draft_deg(Vector3::y(), &tilt) + 5.0).abs() < 1e-12);
    assert!((draft_deg(-Vector3::y(), &tilt) - 5.0).abs() < 1e-12);
}

/// Derivation: a labial wall undercut by 12 degrees gains what the posterior is lowered by.
#[test]
fn lowering_the_posterior_clears_a_labial_undercut_of_12() {
    let undercut = 12_f64.to_radians();
    let wall = Vector3::new(0.0, undercut.cos(), -undercut.sin());
    for (posterior, draft) in [(0.0, -12.0), (5.0, -7.0), (12.0, 0.0), (15.0, 3.0)] {
        let found = draft_deg(wall, &degrees(-posterior, 0.0));
        assert!((found - draft).abs() < 1e-12, "{posterior}: {found}");
    }
}

/// Derivation: seen from the heel with the occlusal surface up, the +x side is the viewer's right
/// on any cast; it is the patient's right on a lower and the left on an upper one.
#[test]
fn the_side_lowered_is_the_patients_and_flips_between_the_arches() {
    let right_of_picture = degrees(0.0, 5.0);
    for (arch, side) in [
        (Arch::Mandibular, PatientSide::Right),
        (Arch::Maxillary, PatientSide::Left),
    ] {
        assert_eq!(right_of_picture.lowered_side(arch), Some(side));
        assert_eq!(degrees(0.0, -5.0).lowered_side(arch), Some(side.opposite()));
        assert_eq!(degrees(7.0, 0.0).lowered_side(arch), None);
        assert_eq!(degrees(7.0, 0.9e-6).lowered_side(arch), None);
    }
    // The lowered side is the one the draw leans away from.
    assert!(right_of_picture.direction().x < 0.0);
}

/// Derivation: the far end of a denture of length L rises `L sin(tilt)` across the occlusal plane.
#[test]
fn a_denture_of_50_mm_needs_8_7_mm_more_room_at_a_tilt_of_10() {
    for (alpha, clearance) in [(10.0, 8.682), (15.0, 12.941)] {
        let along = Vector3::new(0.0, 50.0, 0.0);
        let rise = along.dot(&degrees(alpha, 0.0).direction()).abs();
        assert!((rise - clearance).abs() < 5e-4, "{rise}");
    }
}

#[test]
fn every_tilt_comes_back_from_its_direction() {
    for i in -8..=8 {
        for j in -8..=8 {
            let tilt = degrees(f64::from(i) * 10.0, f64::from(j) * 10.0);
            let back = Tilt::from_direction(&tilt.direction()).unwrap();
            assert!((back.anterior_rad() - tilt.anterior_rad()).abs() < 1e-13);
            assert!((back.lateral_rad() - tilt.lateral_rad()).abs() < 1e-13);
            let d = tilt.direction();
            let total = d.x.hypot(d.y).atan2(d.z);
            assert!((total - tilt.total_rad()).abs() < 1e-13);
        }
    }
    let flat = Tilt::from_direction(&Vector3::z_axis()).unwrap();
    assert_eq!(flat, Tilt::FLAT);
    assert!(flat.anterior_rad().is_sign_positive() && flat.lateral_rad().is_sign_positive());
}

#[test]
fn what_no_table_can_take_is_refused() {
    for angle in [90.0, -85.1, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            Tilt::from_degrees(angle, 0.0),
            Err(TiltError::TooSteep(_))
        ));
        assert!(Tilt::from_degrees(0.0, angle).is_err());
    }
    assert!(matches!(
        Tilt::from_direction(&-Vector3::z_axis()),
        Err(TiltError::NotOcclusal(_))
    ));
    assert!(Tilt::from_direction(&Vector3::x_axis()).is_err());
    assert!(Tilt::new(FRAC_PI_2, 0.0).is_err());
}

#[test]
fn degrees_come_back_as_they_were_given() {
    let mut changed = 0;
    for tenth_thousandths in -900_000_i32..=900_000 {
        let given = f64::from(tenth_thousandths) / 1e4;
        let back = given.to_radians().to_degrees();
        changed += u32::from(back.to_bits() != given.to_bits());
        assert_eq!(
            degrees_as_given(given.to_radians()).to_bits(),
            (given + 0.0).to_bits(),
            "{given}"
        );
    }
    assert!(changed > 100_000, "{changed}");
    for worked_out in [1.0 / 3.0, 1e-12, f64::INFINITY] {
        let (told, plain) = (degrees_as_given(worked_out), worked_out.to_degrees());
        assert_eq!(told.to_bits(), plain.to_bits());
    }
    assert!(degrees_as_given(f64::NAN).is_nan());
}

#[test]
fn the_steepest_tilt_can_be_given_and_what_is_steeper_shows_by_how_much() {
    assert!(Tilt::from_degrees(85.0, -85.0).is_ok());
    let message = Tilt::from_degrees(85.000_000_1, 0.0)
        .unwrap_err()
        .to_string();
    assert_eq!(
        message,
        "a tilt of 85.0000001 degrees is not within ±85 degrees"
    );
}
