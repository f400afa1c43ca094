//! What belongs to a zone: its bounds, its pieces, the margins cut out of it, and what is refused.

use crate::build::{assert_near, assert_share, leaning, mesh, ridge, square, up, zone};
use std::f64::consts::PI;
use std::sync::Arc;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge, RidgeError, RidgeRemark};
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
use tiltbench_testkit::solids::{self, Solid};

fn area(ridge: &Ridge) -> f64 {
    ridge.read(&up())[0].area_mm2
}

/// A floor tilted about y: its area is its area in plan over the cosine.
fn tilted_floor(angle: f64) -> Solid {
    solids::floor(20.0, 0.0, 37, 0.7).mapped(|p| p + Vector3::new(0.0, 0.0, p.x * angle.tan()))
}

#[test]
fn facets_are_cut_exactly_at_a_concave_outline() {
    let star: Vec<[f64; 2]> = (0..10)
        .map(|i| {
            let (sin, cos) = (PI * f64::from(i) / 5.0 + 0.1).sin_cos();
            let r = if i % 2 == 0 { 9.0 } else { 3.0 };
            [r * cos, r * sin]
        })
        .collect();
    // Ten triangles with two sides 9 and 3 and 36 degrees between them.
    let expected = 10.0 * 0.5 * 9.0 * 3.0 * (PI / 5.0).sin();
    for angle in [0.0_f64, 0.5] {
        let measured = area(&ridge(tilted_floor(angle), zone(&star, None)));
        assert_share("star", measured, expected / angle.cos(), 1e-9);
    }
}

#[test]
fn heights_cut_exactly() {
    // On a slope of 0.5 rad the range 0..2 is a strip 2 / tan(0.5) wide in plan.
    let slope = 0.5_f64;
    let measured = area(&ridge(tilted_floor(slope), square(6.0, Some([0.0, 2.0]))));
    assert_share(
        "strip",
        measured,
        2.0 / slope.tan() * 12.0 / slope.cos(),
        1e-9,
    );
}

fn margin(axis: Vector3<f64>) -> MarginFootprint {
    let axis = UnitVector3::new_normalize(axis);
    let mesial = UnitVector3::new_normalize(Vector3::y().cross(&axis));
    MarginFootprint {
        centre: Point3::new(1.0, 0.5, 0.3),
        axis,
        mesial,
        labial: UnitVector3::new_normalize(axis.cross(&mesial)),
        half_mesiodistal_mm: 2.75,
        half_labiolingual_mm: 3.75,
    }
}

#[test]
fn grown_margins_are_cut_out() {
    let cast = mesh(solids::floor(20.0, 0.0, 37, 0.7));
    let cut = |margins: &[MarginFootprint]| {
        let zones = [square(8.0, None)];
        area(&Ridge::new(cast.clone(), &zones, margins).unwrap())
    };
    let ellipse = PI * 3.25 * 4.25;
    assert_near(
        "upright",
        256.0 - cut(&[margin(Vector3::z())]),
        ellipse,
        1e-9,
    );
    // An axis that leans stretches its shadow on the floor by 1 / cos.
    let lean = Vector3::new(0.2, 0.1, 1.0);
    let stretched = ellipse / (1.0 / lean.norm());
    assert_near("leaning", 256.0 - cut(&[margin(lean)]), stretched, 1e-9);
    // The same margin twice takes nothing twice.
    let twice = cut(&[margin(lean), margin(lean)]);
    assert_near("twice", 256.0 - twice, stretched, 1e-9);
}

#[test]
fn pieces_not_seen_from_above_are_left_out() {
    // A ball over a floor; the zone's heights hold the floor, and the lower part of the ball, which
    // is not connected to anything seen from above inside those heights.
    let ball = solids::sphere(2.0, 2.0, 24).mapped(|p| p + Vector3::new(0.0, 0.0, 0.5));
    let solid = solids::floor(8.0, 0.0, 37, 0.7).with(&ball);
    let ridge_ = ridge(solid.clone(), square(5.0, Some([-1.0, 1.5])));
    assert_near("floor alone", area(&ridge_), 100.0, 1e-9);
    // A polygon inscribed in the ball is a little smaller than the cap, 2 pi r h.
    match ridge_.remarks() {
        [
            RidgeRemark::PiecesLeftOut {
                pieces: 1,
                area_mm2,
                ..
            },
        ] => {
            assert_share("left out", *area_mm2, 2.0 * PI * 2.0, 0.01);
        }
        other => panic!("{other:?}"),
    }
    // With the whole ball inside, its underside is connected to its top.
    let whole = ridge(solid, square(5.0, None));
    assert_share("all", area(&whole), 100.0 + 16.0 * PI, 0.01);
    assert!(whole.remarks().is_empty());
}

#[test]
fn winding_that_is_not_consistent_is_remarked() {
    let mut solid = solids::floor(8.0, 0.0, 37, 0.7);
    let vertices = &solid.vertices;
    for t in &mut solid.triangles {
        if t.iter().all(|&v| vertices[v as usize].x > 4.0) {
            t.swap(0, 1);
        }
    }
    let ridge_ = ridge(solid, square(5.0, None));
    assert!(
        matches!(ridge_.remarks(), [RidgeRemark::SeenFacingDown { area_mm2, .. }] if *area_mm2 > 3.0),
        "{:?}",
        ridge_.remarks()
    );
    // Nothing covers those facets, so the gauge reads 0 there, though they count as undercut.
    let reading = ridge_.read(&up())[0];
    assert!(reading.undercut_area_mm2 > 3.0 && reading.undercut_depth_mm <= 0.0);
}

fn refused(solid: Solid, around: tiltbench_geometry::undercut::SeatZone) -> RidgeError {
    match Ridge::new(mesh(solid), &[around], &[]) {
        Err(error) => error,
        Ok(_) => unreachable!("it must be refused"),
    }
}

#[test]
fn what_cannot_be_read_is_refused_by_name() {
    let floor = || solids::floor(8.0, 0.0, 37, 0.7);
    let far = zone(&[[40.0, 0.0], [50.0, 0.0], [50.0, 9.0]], Some([-2.0, 3.0]));
    let error = refused(floor(), far);
    assert!(matches!(error, RidgeError::EmptyZone { .. }));
    let text = error.to_string();
    for part in [
        "\"test zone\"",
        "x 40.0..50.0",
        "x -8.0..8.0",
        "z -2.0..3.0",
    ] {
        assert!(text.contains(part), "{text} does not say {part}");
    }

    let error = refused(floor().inside_out(), square(5.0, None));
    assert!(
        matches!(error, RidgeError::InsideOut { share } if (share - 1.0).abs() < 1e-12),
        "{error}"
    );
    assert!(
        error
            .to_string()
            .contains("tiltbench scan FILE --mend OUT.ply")
    );

    // Under the floor of a closed box nothing is seen from above.
    let under = solids::floor(8.0, -1.0, 37, 0.7).inside_out();
    let error = refused(floor().with(&under), square(5.0, Some([-2.0, -0.5])));
    assert!(matches!(error, RidgeError::HiddenZone { .. }), "{error}");

    let huge = floor().mapped(|p| p * 1000.0);
    let error = refused(huge, square(3000.0, None));
    assert!(matches!(error, RidgeError::ZoneTooLarge { .. }), "{error}");

    let error = refused(
        floor(),
        zone(&[[0.0, 0.0], [3.0, 3.0], [3.0, 0.0], [0.0, 3.5]], None),
    );
    assert!(error.to_string().contains("side 0 meets side 2"), "{error}");

    let empty = Ridge::new(Arc::new(Mesh::default()), &[], &[]).unwrap_err();
    assert_eq!(empty, RidgeError::EmptyMesh { facets: 0 });
    let mut broken = floor();
    broken.triangles[7][1] = 1_000_000;
    assert_eq!(
        refused(broken, square(5.0, None)),
        RidgeError::BadFacet { facet: 7 }
    );
    let mut broken = floor();
    broken.vertices[0].y = f64::NAN;
    assert!(matches!(
        refused(broken, square(5.0, None)),
        RidgeError::BadFacet { .. }
    ));
}

/// A speck of a facet a kilometre above the floor is what is first met there, and so belongs to a zone without a
/// range of heights.
#[test]
fn a_stray_facet_far_off_is_told_and_a_range_of_heights_leaves_it_out() {
    let strayed = |height: f64| {
        let mut solid = solids::sphere_on_floor(3.0, 2.0, 7.0, 40);
        let first = u32::try_from(solid.vertices.len()).unwrap();
        for [x, y] in [[4.0, 4.0], [4.1, 4.0], [4.0, 4.1]] {
            solid.vertices.push(Point3::new(x, y, height));
        }
        solid.triangles.push([first, first + 1, first + 2]);
        solid
    };
    let solid = strayed(1e6);
    let stray = u32::try_from(solid.triangles.len() - 1).unwrap();
    let error = refused(solid, square(4.5, None));
    assert!(
        matches!(error, RidgeError::ZoneTooWide { facet, span_mm, .. } if facet == stray && span_mm > 0.9e6),
        "{error}"
    );
    assert!(error.to_string().contains("give the zone a z_range"));
    let low = Some([-5.0, 20.0]);
    let clean = ridge(solids::sphere_on_floor(3.0, 2.0, 7.0, 40), square(4.5, low));
    let d = leaning(5.0, 30.0);
    let read = |height: f64| ridge(strayed(height), square(4.5, low)).read(&d)[0];
    for height in [1e3, 1e6, -1e6] {
        let (strayed, clean) = (read(height), clean.read(&d)[0]);
        let off = (strayed.undercut_depth_mm - clean.undercut_depth_mm).abs();
        assert!(off < 1e-6, "at {height}: {off}");
    }
}

#[test]
fn no_zone_is_a_ridge_without_readings() {
    let ridge = Ridge::new(mesh(solids::floor(8.0, 0.0, 37, 0.7)), &[], &[]).unwrap();
    assert!(ridge.read(&up()).is_empty() && ridge.preview(&up(), &|| false).unwrap().is_empty());
}
