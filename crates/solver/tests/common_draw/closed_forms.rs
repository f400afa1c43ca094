//! Best draws known in closed form.

use crate::build::{angle_deg, assert_near, cone, coping, leaning, unit, wall};
use nalgebra::{UnitVector3, Vector3};
use tiltbench_geometry::coping::{Coping, Side};
use tiltbench_solver::common_draw::{CertificateKind, WallRef, common_draw};

const WIDE: f64 = 1.0;

/// One guiding wall whose only normal is `n`, as a mesial wall of a coping that stands anyhow.
fn single_normal(n: UnitVector3<f64>) -> Coping {
    // With taper 0 the mesial centre normal is the mesial direction itself.
    let axis = if n.z.abs() < 0.9 {
        Vector3::z() - n.as_ref() * n.z
    } else {
        Vector3::y()
    };
    let axis = UnitVector3::new_normalize(axis);
    coping(
        axis,
        n.into_inner(),
        [Some(wall(0.0, 0.0)), None, None, None],
    )
}

/// Derivation: the nearest point of the hull of the unit axes is (1, 1, 1) / 3.
#[test]
fn three_perpendicular_normals_meet_in_the_diagonal() {
    let copings = [
        single_normal(Vector3::x_axis()),
        single_normal(Vector3::y_axis()),
        single_normal(Vector3::z_axis()),
    ];
    let found = common_draw(&copings, WIDE).unwrap();
    assert_near(found.best_least_draft_rad.sin(), 0.577_350_269, 1e-9, "|x|");
    assert_near(
        found.best_least_draft_rad.to_degrees(),
        35.264,
        1e-3,
        "draft",
    );
    assert!(angle_deg(&found.direction, &unit(1.0, 1.0, 1.0)) < 1e-4);
    let x = found.certificate.weighted_normal();
    for term in &found.certificate.terms {
        assert!(x.dot(&term.normal) >= x.norm_squared() - 1e-9);
    }
}

/// Derivation: every wall of a cone shows its half-angle along the axis, and no other draw does as
/// well: |x| = sin 6 = 0.104528.
#[test]
fn a_cone_draws_best_along_its_axis() {
    for axis in [leaning(0.0, 0.0), leaning(9.0, 200.0)] {
        let found = common_draw(&[cone(axis, 6.0)], WIDE).unwrap();
        assert_near(found.best_least_draft_rad.sin(), 0.104_528_463, 1e-9, "|x|");
        assert!(angle_deg(&found.direction, &axis) < 1e-6);
        assert!(found.exists && !found.at_tilt_limit);
        assert!(found.certificate.residual < 1e-12);
        assert_eq!(found.limiting.len(), 4);
    }
}

/// Walls milled parallel: the draw is their axis, with a draft of exactly 0, and it exists.
#[test]
fn milled_parallel_walls_draw_along_their_axis_and_nowhere_else() {
    for axis in [leaning(0.0, 0.0), leaning(7.0, 40.0), leaning(15.0, 333.0)] {
        let turned = |mesial| coping(axis, mesial, [Some(wall(0.0, 45.0)); 4]);
        let copings = [
            turned(Vector3::x()),
            turned(Vector3::new(0.3, 1.0, 0.0)),
            turned(Vector3::new(-1.0, 0.2, 0.0)),
        ];
        let found = common_draw(&copings, 15_f64.to_radians()).unwrap();
        assert_near(found.best_least_draft_rad, 0.0, 1e-9, "best draft");
        assert!(found.exists);
        assert_eq!(found.certificate.kind, CertificateKind::Optimal);
        assert!(found.certificate.residual < 1e-9);
        assert!(angle_deg(&found.direction, &axis) < 1e-6);
        let region = found.region.unwrap();
        assert_eq!(region.points.len(), 1, "a single draw");
        assert!(angle_deg(&region.points[0].direction, &axis) < 1e-6);
    }
}

/// Opposite walls without a sector: parallel along a whole arc of draws, which the tilt limit ends.
#[test]
fn two_opposite_parallel_planes_leave_an_arc_of_draws() {
    let axis = Vector3::z_axis();
    let flat = Some(wall(0.0, 0.0));
    let copings = [coping(axis, Vector3::x(), [flat, None, flat, None])];
    let found = common_draw(&copings, 15_f64.to_radians()).unwrap();
    assert_near(found.best_least_draft_rad, 0.0, 1e-12, "best draft");
    assert!(
        angle_deg(&found.direction, &axis) < 1e-9,
        "the flattest of them"
    );
    assert!(found.exists && !found.at_tilt_limit);
    let region = found.region.unwrap();
    assert_eq!(region.points.len(), 2, "an arc: {region:?}");
    for point in &region.points {
        assert_near(point.direction.x, 0.0, 1e-9, "in the plane of the walls");
        assert_near(angle_deg(&point.direction, &axis), 15.0, 1e-6, "its end");
    }
}

/// Derivation: tilting by half the difference shares the convergence: |x| = sin 3 = 0.052336.
#[test]
fn opposing_walls_of_8_and_minus_2_draw_best_tilted_by_5() {
    let walls = [Some(wall(8.0, 0.0)), None, Some(wall(-2.0, 0.0)), None];
    let copings = [coping(Vector3::z_axis(), Vector3::x(), walls)];
    let found = common_draw(&copings, WIDE).unwrap();
    assert_near(found.best_least_draft_rad.sin(), 0.052_335_956, 1e-9, "|x|");
    assert!(angle_deg(&found.direction, &leaning(5.0, 180.0)) < 1e-5);
    let sides: Vec<Side> = found.limiting.iter().map(|wall| wall.side).collect();
    assert_eq!(sides, [Side::Mesial, Side::Distal]);
}

/// The sides and the top of a box: parallel, along the box.
#[test]
fn the_sides_and_top_of_a_box_draw_with_no_draft() {
    let mut copings = vec![single_normal(Vector3::z_axis())];
    for side in [
        Vector3::x_axis(),
        -Vector3::x_axis(),
        Vector3::y_axis(),
        -Vector3::y_axis(),
    ] {
        copings.push(single_normal(side));
    }
    let found = common_draw(&copings, WIDE).unwrap();
    assert_near(found.best_least_draft_rad, 0.0, 1e-9, "draft");
    assert!(found.exists);
    assert!(angle_deg(&found.direction, &Vector3::z_axis()) < 1e-6);
}

/// All six sides of a box: the origin is in the hull.
#[test]
fn a_closed_box_has_no_draw() {
    let mut copings = Vec::new();
    for side in [Vector3::x_axis(), Vector3::y_axis(), Vector3::z_axis()] {
        copings.push(single_normal(side));
        copings.push(single_normal(-side));
    }
    let found = common_draw(&copings, WIDE).unwrap();
    assert!(!found.exists && found.region.is_none());
    assert_eq!(found.certificate.kind, CertificateKind::NoDrawAnywhere);
    assert!(found.certificate.weighted_normal().norm() < 1e-9);
    let sum: f64 = found.certificate.terms.iter().map(|t| t.weight).sum();
    assert_near(sum, 1.0, 1e-12, "weights");
    assert!(found.certificate.terms.iter().all(|t| t.weight > 0.0));
}

/// Derivation: two cones share `(a1 + a2 - delta) / 2` at `(delta + a1 - a2) / 2` from the first
/// axis, for either sign.
#[test]
fn two_cones_share_half_of_what_their_angles_leave() {
    for (first, second, delta, margin, from_first) in [
        (3.0, 5.0, 6.0, 1.0, 2.0),
        (4.0, 5.0, 12.0, -1.5, 5.5),
        (4.0, 5.0, 9.0, 0.0, 4.0),
    ] {
        let axes = [leaning(2.0, 70.0), leaning(2.0 + delta, 70.0)];
        let copings = [cone(axes[0], first), cone(axes[1], second)];
        let found = common_draw(&copings, WIDE).unwrap();
        assert_near(
            found.best_least_draft_rad.to_degrees(),
            margin,
            1e-8,
            "best draft",
        );
        assert_near(
            angle_deg(&axes[0], &found.direction),
            from_first,
            1e-4,
            "from the first axis",
        );
        assert_eq!(found.exists, margin >= 0.0);
        assert!(
            found.bound_rad < 1e-10,
            "bound {} at {margin}",
            found.bound_rad
        );
        if margin < 0.0 {
            assert_eq!(found.certificate.kind, CertificateKind::NoDrawAnywhere);
            assert!(found.certificate.residual < 1e-9);
        } else {
            assert_eq!(found.certificate.kind, CertificateKind::Optimal);
        }
    }
}

fn three_leaning(taper_deg: f64) -> Vec<Coping> {
    [0.0, 120.0, 240.0]
        .map(|azimuth| cone(leaning(10.0, azimuth), taper_deg))
        .to_vec()
}

/// Derivation: axes 10 degrees out at thirds of a turn stand 17.298 degrees apart, so cones of 9
/// degrees draw in pairs (17.298 < 18); all three leave `9 - 10`.
#[test]
fn three_cones_may_draw_in_pairs_and_not_together() {
    let nine = three_leaning(9.0);
    for pair in [[0, 1], [1, 2], [2, 0]] {
        let two = [nine[pair[0]].clone(), nine[pair[1]].clone()];
        let apart = angle_deg(&two[0].axis, &two[1].axis);
        assert_near(apart, 17.298, 5e-4, "divergence");
        let found = common_draw(&two, WIDE).unwrap();
        assert!(found.exists);
        assert_near(
            found.best_least_draft_rad.to_degrees(),
            9.0 - 17.298 / 2.0,
            5e-4,
            "pair",
        );
    }
    for (taper, margin) in [(9.0, -1.0), (12.0, 2.0)] {
        let found = common_draw(&three_leaning(taper), WIDE).unwrap();
        assert_near(
            found.best_least_draft_rad.to_degrees(),
            margin,
            1e-8,
            "all three",
        );
        assert!(angle_deg(&found.direction, &Vector3::z_axis()) < 1e-5);
        assert_eq!(found.exists, margin > 0.0);
        let copings: Vec<usize> = found.limiting.iter().map(|wall| wall.coping).collect();
        for index in 0..3 {
            assert!(copings.contains(&index), "coping {index} limits");
        }
    }
}

/// A single wall is best pulled straight off: as far over as the table goes.
#[test]
fn one_wall_alone_draws_best_at_the_tilt_limit() {
    let walls = [Some(wall(4.0, 45.0)), None, None, None];
    let copings = [coping(Vector3::z_axis(), Vector3::x(), walls)];
    let found = common_draw(&copings, 15_f64.to_radians()).unwrap();
    assert!(found.at_tilt_limit && found.exists);
    assert!(angle_deg(&found.direction, &leaning(15.0, 0.0)) < 1e-5);
    // The ends of its sector look 45 degrees aside.
    let (taper, tilt) = (4_f64.to_radians(), 15_f64.to_radians());
    let sine = taper.cos() * tilt.sin() * 45_f64.to_radians().cos() + taper.sin() * tilt.cos();
    assert_near(found.best_least_draft_rad, sine.asin(), 1e-10, "draft");
    assert!(found.certificate.tilt_limit_weight > 0.1);
    assert_near(
        found.certificate.upper_bound(tilt),
        found.best_least_draft_rad,
        1e-11,
        "proof",
    );
    assert_eq!(
        found.limiting,
        [WallRef {
            coping: 0,
            side: Side::Mesial
        }]
    );
}

/// A cone that leans 20 degrees with 5 of taper draws from 15 degrees on.
#[test]
fn a_draw_beyond_the_tilt_limit_is_told_from_none_at_all() {
    let axis = leaning(20.0, 30.0);
    for (taper, limit, best) in [(5.0, 12.0, -3.0), (0.0, 12.0, -8.0)] {
        let copings = [cone(axis, taper)];
        let found = common_draw(&copings, f64::to_radians(limit)).unwrap();
        assert!(!found.exists && found.at_tilt_limit);
        assert_near(
            found.best_least_draft_rad.to_degrees(),
            best,
            1e-8,
            "within the limit",
        );
        match found.certificate.kind {
            CertificateKind::OnlyBeyondTiltLimit {
                direction,
                least_draft_rad,
            } => {
                assert!(angle_deg(&direction, &axis) < 1e-4);
                assert_near(least_draft_rad.to_degrees(), taper, 1e-7, "beyond");
            }
            other => panic!("{other:?}"),
        }
    }
}

/// A reverse cone could only be left into the ridge: no draw leaves the cast.
#[test]
fn a_reverse_cone_has_no_draw_out_of_the_cast() {
    let axis = leaning(4.0, 250.0);
    let found = common_draw(&[cone(axis, -3.0)], WIDE).unwrap();
    assert_near(
        found.best_least_draft_rad.to_degrees(),
        -3.0,
        1e-9,
        "along the axis",
    );
    assert!(angle_deg(&found.direction, &axis) < 1e-5);
    let certificate = &found.certificate;
    assert_eq!(certificate.kind, CertificateKind::NoDrawAnywhere);
    let up = Vector3::z() * certificate.up_weight;
    assert!(certificate.up_weight > 0.01);
    assert!((certificate.weighted_normal() + up).norm() < 1e-9);
    let sum: f64 = certificate.terms.iter().map(|t| t.weight).sum();
    assert_near(sum, 1.0, 1e-12, "weights");
}

#[test]
fn nothing_guides_nothing_is_answered() {
    assert_eq!(common_draw(&[], WIDE), None);
    let mut free = cone(Vector3::z_axis(), 6.0);
    for wall in free.walls.iter_mut().flatten() {
        wall.guides = false;
    }
    assert_eq!(common_draw(&[free], WIDE), None);
    let mut prep = cone(Vector3::z_axis(), 6.0);
    prep.basis =
        tiltbench_geometry::coping::WallBasis::Prep(tiltbench_geometry::coping::MillPlan {
            taper_rad: 0.05,
            margin_thickness_mm: 0.5,
        });
    assert_eq!(common_draw(&[prep], WIDE), None);
}

#[test]
fn a_tilt_limit_of_nothing_leaves_the_flat_draw() {
    for limit in [0.0, -1.0, f64::NAN, 1e-12] {
        let found = common_draw(&[cone(leaning(2.0, 10.0), 6.0)], limit).unwrap();
        assert!(found.exists && found.at_tilt_limit);
        assert!(angle_deg(&found.direction, &Vector3::z_axis()) < 1e-9);
        assert_near(
            found.best_least_draft_rad.to_degrees(),
            4.0,
            1e-9,
            "flat draft",
        );
        assert_eq!(found.region.unwrap().points.len(), 1);
    }
}
