//! The surface of a coping as a mesh.

use crate::build::{assert_near, cone, random, upright};
use nalgebra::{Point3, Vector3};
use tiltbench_geometry::coping::{Coping, FrustumBase, FrustumError, FrustumOptions, Side};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_testkit::problems::Draws;

fn options(sides: u32, rings: u32) -> FrustumOptions {
    FrustumOptions {
        sides,
        rings,
        base: FrustumBase::Closed,
    }
}

fn volume(mesh: &Mesh) -> f64 {
    (0..mesh.triangles.len())
        .map(|i| {
            let [a, b, c] = mesh.corners(i).map(|p| p.coords);
            a.dot(&b.cross(&c)) / 6.0
        })
        .sum()
}

/// Facets of the walls alone: those without the middle of the top or of the base.
fn wall_facets(mesh: &Mesh) -> Vec<[Point3<f64>; 3]> {
    let middles = mesh.vertices.len() - 2;
    (0..mesh.triangles.len())
        .filter(|&i| mesh.triangles[i].iter().all(|&v| (v as usize) < middles))
        .map(|i| mesh.corners(i))
        .collect()
}

fn normal_and_area(corners: &[Point3<f64>; 3]) -> (Vector3<f64>, f64) {
    let cross = (corners[1] - corners[0]).cross(&(corners[2] - corners[0]));
    (cross / cross.norm(), 0.5 * cross.norm())
}

/// Every edge is shared by two facets that run along it in opposite ways.
fn assert_watertight(mesh: &Mesh) {
    let mut edges: Vec<(u32, u32)> = mesh
        .triangles
        .iter()
        .flat_map(|t| [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])])
        .collect();
    edges.sort_unstable();
    for &(a, b) in &edges {
        assert!(edges.binary_search(&(b, a)).is_ok(), "edge {a}-{b} is open");
    }
    let before = edges.len();
    edges.dedup();
    assert_eq!(before, edges.len(), "an edge is used twice one way");
}

/// Derivation: facets of a cone inscribed as an N-gon have draft `atan(tan(a) cos(pi / N))`.
#[test]
fn an_inscribed_polygon_shows_less_draft_than_its_cone() {
    let coping = cone(6.0);
    for (sides, draft) in [(8, 5.5462), (16, 5.8855), (64, 5.9928)] {
        let mesh = coping.surface(&options(sides, 3)).unwrap();
        for facet in wall_facets(&mesh) {
            let (normal, _) = normal_and_area(&facet);
            assert_near(normal.z.asin().to_degrees(), draft, 5e-5, "facet draft");
        }
    }
}

/// Derivation: frustum of radii 3.5 and 2.9 over 4 mm. Half-angle 8.5308, volume 129.0566, lateral
/// area 81.3245; the inscribed N-gon has the closed forms below.
#[test]
fn a_frustum_has_its_half_angle_volume_and_area() {
    let (low, high, height) = (3.5_f64, 2.9_f64, 4.0_f64);
    let half_angle = ((low - high) / height).atan();
    assert_near(half_angle.to_degrees(), 8.5308, 5e-5, "half-angle");
    let mut coping = cone(half_angle.to_degrees());
    coping.width_mesiodistal_mm = 2.0 * low;
    coping.width_labiolingual_mm = 2.0 * low;
    for wall in coping.walls.iter_mut().flatten() {
        wall.height_mm = height;
    }
    for sides in [12_u32, 360] {
        let mesh = coping.surface(&options(sides, 2)).unwrap();
        assert_watertight(&mesh);
        let n = f64::from(sides);
        let step = std::f64::consts::TAU / n;
        let squares = (low.powi(3) - high.powi(3)) / (low - high);
        let expected = height / 3.0 * squares * 0.5 * n * step.sin();
        assert_near(
            volume(&mesh),
            expected,
            1e-10 * expected,
            "inscribed volume",
        );
        let area: f64 = wall_facets(&mesh)
            .iter()
            .map(|facet| normal_and_area(facet).1)
            .sum();
        let slant = height.hypot((low - high) * (0.5 * step).cos());
        let expected_area = n * (low + high) * (0.5 * step).sin() * slant;
        assert_near(area, expected_area, 1e-10 * expected_area, "inscribed area");
        if sides == 360 {
            assert_near(volume(&mesh), 129.0566, 129.0 * 6e-5, "volume");
            assert_near(area, 81.3245, 81.0 * 3e-5, "lateral area");
        }
    }
}

/// Within its own sector a wall is what its drafts say; everywhere the vertices lie on the plane
/// through the margin's tangent line that their ruling spans.
#[test]
fn facets_inside_a_sector_carry_the_normals_of_their_wall() {
    let mut coping = upright([Some(3.0), Some(1.0), Some(4.0), Some(6.0)]);
    coping.width_mesiodistal_mm = 5.5;
    coping.width_labiolingual_mm = 7.5;
    let mesh = coping.surface(&options(720, 1)).unwrap();
    let mut seen = [0; 4];
    for facet in wall_facets(&mesh) {
        let (normal, _) = normal_and_area(&facet);
        let azimuth = normal.y.atan2(normal.x);
        for (side, wall) in coping.existing_walls() {
            let off = azimuth - side.azimuth_rad();
            let off = off - std::f64::consts::TAU * (off / std::f64::consts::TAU).round();
            // Passages between the walls take up to half of each sector.
            if off.abs() < 20_f64.to_radians() {
                let own = coping.wall_normal(wall, azimuth);
                assert!(
                    normal.angle(own.as_ref()) < 2e-4,
                    "{} at {off}: {} degrees off",
                    side.key(),
                    normal.angle(own.as_ref()).to_degrees()
                );
                seen[side as usize] += 1;
            }
        }
    }
    assert!(seen.iter().all(|&count| count > 100), "{seen:?}");
}

#[test]
fn random_copings_make_watertight_bodies_the_right_way_out() {
    let mut draws = Draws::new(41);
    let (mut left_handed, mut folded) = (0, 0);
    for case in 0..120 {
        let mut coping = random(&mut draws);
        coping.width_mesiodistal_mm = draws.range(4.0, 9.0);
        coping.width_labiolingual_mm = draws.range(4.0, 9.0);
        coping.margin_centre = Point3::new(3.0, -20.0, 7.0);
        let mesh = match coping.surface(&options(96, 2)) {
            Ok(mesh) => mesh,
            Err(FrustumError::Folds { .. }) => {
                folded += 1;
                continue;
            }
            Err(other) => panic!("case {case}: {other}"),
        };
        assert_watertight(&mesh);
        assert!(volume(&mesh) > 0.0, "case {case}: inside out");
        // The envelope's normal keeps its azimuth, whatever the tapers and heights do around it.
        // The azimuth of a column of facets is that of the margin ellipse's own normal there.
        let columns = (mesh.vertices.len() - 2) / 3;
        let margin_normal = |i: usize| {
            let p = mesh.vertices[i % columns] - coping.margin_centre;
            let m = coping.mesial.dot(&p) / coping.width_mesiodistal_mm.powi(2);
            let f = coping.labial.dot(&p) / coping.width_labiolingual_mm.powi(2);
            coping.outward(f.atan2(m)).into_inner()
        };
        for (i, facet) in wall_facets(&mesh).iter().enumerate() {
            let (normal, area) = normal_and_area(facet);
            let column = (i / 2) % columns;
            let outward = margin_normal(column) + margin_normal(column + 1);
            assert!(area > 0.0, "case {case}: no facet may vanish");
            assert!(
                normal.dot(&outward) > 0.95 * outward.norm(),
                "case {case}: facet {i}"
            );
        }
        if coping.mesial.cross(&coping.labial).dot(&coping.axis) < 0.0 {
            left_handed += 1;
        }
    }
    assert!(left_handed > 20 && folded < 60, "{left_handed}, {folded}");
}

/// Derivation: the sharpest place of an ellipse has radius of curvature `b² / a`; walls of one
/// taper fold there once `height tan(taper)` exceeds it.
#[test]
fn the_greatest_taper_is_the_one_that_uses_up_the_margins_curvature() {
    let mut coping = cone(10.0);
    coping.width_mesiodistal_mm = 5.5;
    coping.width_labiolingual_mm = 7.5;
    let sharpest = 2.75 * 2.75 / 3.75;
    let limit = (sharpest / 5.0_f64).atan();
    let taper_all = |taper: f64| {
        let mut coping = coping.clone();
        for wall in coping.walls.iter_mut().flatten() {
            wall.taper_rad = taper;
        }
        coping
    };
    assert!(taper_all(limit - 1e-6).check_surface().is_ok());
    let error = taper_all(limit + 1e-6).check_surface().unwrap_err();
    match error {
        FrustumError::Folds {
            side,
            greatest_taper_deg: Some(greatest),
            ..
        } => {
            assert_eq!(side, Side::Labial, "the sharp end of the margin");
            assert_near(greatest, limit.to_degrees(), 1e-4, "greatest taper");
        }
        other => panic!("{other:?}"),
    }
    // What is named works, and a little more does not, whatever the neighbours.
    let mut draws = Draws::new(42);
    let mut found = 0;
    for _ in 0..15 {
        let mut coping = random(&mut draws);
        coping.width_labiolingual_mm = draws.range(3.0, 9.0);
        for side in Side::ALL {
            let Some(greatest) = coping.greatest_taper_rad(side) else {
                continue;
            };
            let with = |taper: f64| {
                let mut changed = coping.clone();
                if let Some(wall) = changed.walls[side as usize].as_mut() {
                    wall.taper_rad = taper;
                }
                changed
            };
            let message = |coping: &Coping| {
                coping
                    .check_surface()
                    .map_or_else(|error| error.to_string(), |()| "holds".to_owned())
            };
            // The rest may fold for its own reasons; this wall may not.
            let key = format!("the {} wall", side.key());
            assert!(!message(&with(greatest)).contains(&key));
            let others_below = coping
                .existing_walls()
                .all(|(other, wall)| other == side || wall.taper_rad < greatest);
            if others_below {
                assert_ne!(message(&with(greatest + 1e-6)), "holds");
                found += 1;
            }
        }
    }
    assert!(found > 25, "{found}");
}

/// Derivation: a blockout or wall of 2 or 6 degrees, 4 mm tall, stands in by `4 tan` at its top.
#[test]
fn a_taper_of_2_or_6_degrees_over_4_mm_sets_the_top_in() {
    for (taper, inset) in [(2.0, 0.139_68), (6.0, 0.420_42)] {
        let mut coping = cone(taper);
        for wall in coping.walls.iter_mut().flatten() {
            wall.height_mm = 4.0;
        }
        let mesh = coping.surface(&options(4, 1)).unwrap();
        let radius = |z: f64| {
            mesh.vertices
                .iter()
                .filter(|p| (p.z - z).abs() < 1e-12 && p.x.hypot(p.y) > 0.1)
                .map(|p| p.x.hypot(p.y))
                .fold(0.0, f64::max)
        };
        assert_near(radius(0.0) - radius(4.0), inset, 5e-6, "inset");
    }
}

#[test]
fn what_is_no_body_is_named() {
    let mut flat = cone(5.0);
    flat.width_mesiodistal_mm = 0.0;
    let message = flat.surface(&options(24, 1)).unwrap_err().to_string();
    assert!(
        message.contains("mesiodistal margin width of coping 33"),
        "{message}"
    );
    let mut broken = cone(5.0);
    broken.height_mm = f64::NAN;
    assert!(broken.check_surface().is_err());
    assert!(matches!(
        cone(5.0).surface(&options(2, 1)),
        Err(FrustumError::TooCoarse { sides: 2, rings: 1 })
    ));
    let steep = cone(50.0).check_surface().unwrap_err().to_string();
    assert!(steep.contains("greatest possible taper"), "{steep}");
    // No walls at all: a plain cylinder.
    let mesh = upright([None; 4]).surface(&options(400, 1)).unwrap();
    assert_near(volume(&mesh), std::f64::consts::PI * 45.0, 0.01, "cylinder");
}
