//! Meshes as scanners and repair tools leave them: no panic, and readings near those of the clean
//! surface.

use crate::build::{assert_near, assert_share, built, leaning, ridge, square, zone};
use proptest::prelude::*;
use tiltbench_geometry::undercut::{Ridge, ZoneReading};
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
use tiltbench_testkit::solids::{self, Solid};

fn ball() -> Solid {
    solids::sphere_on_floor(3.0, 2.0, 7.0, 40)
}

fn read(solid: Solid) -> ZoneReading {
    ridge(solid, square(4.5, None)).read(&leaning(5.0, 30.0))[0]
}

#[test]
fn noise_of_a_scanner_is_passed_over() {
    let clean = read(ball());
    for seed in 0..3 {
        let rough = read(solids::roughen(ball(), 0.010, seed));
        assert!(!rough.depth_capped, "a grain stopped the gauge");
        assert_near(
            "depth",
            rough.undercut_depth_mm,
            clean.undercut_depth_mm,
            0.08,
        );
        assert_share(
            "area",
            rough.undercut_area_mm2,
            clean.undercut_area_mm2,
            0.04,
        );
        assert_share("blockout", rough.blockout_mm3, clean.blockout_mm3, 0.04);
    }
}

#[test]
fn copies_needles_and_specks_change_nothing() {
    let clean = read(ball());
    let mut solid = ball();
    // Every tenth facet once more, needles across the floor, facets without area.
    let copies: Vec<[u32; 3]> = solid.triangles.iter().step_by(10).copied().collect();
    let vertex = |solid: &mut Solid, p: Point3<f64>| {
        solid.vertices.push(p);
        u32::try_from(solid.vertices.len() - 1).unwrap()
    };
    for i in 0..200 {
        let y = -6.0 + 0.06 * f64::from(i);
        let a = vertex(&mut solid, Point3::new(-6.0, y, -1.0));
        let b = vertex(&mut solid, Point3::new(6.0, y + 1e-7, -1.0));
        let c = vertex(&mut solid, Point3::new(0.0, y + 1e-6, -1.0));
        solid.triangles.extend([[a, b, c], [a, a, b], [c, c, c]]);
    }
    solid.triangles.extend([[0, 0, 1], [5, 5, 5]]);
    let messy = read(solid.clone());
    assert_near(
        "depth",
        messy.undercut_depth_mm,
        clean.undercut_depth_mm,
        1e-6,
    );
    assert_near("blockout", messy.blockout_mm3, clean.blockout_mm3, 1e-6);
    // Copies lie in the zone twice, and are undercut just where the first ones are.
    solid.triangles.extend(copies);
    let doubled = read(solid);
    let share = doubled.undercut_area_mm2 / doubled.area_mm2;
    assert_near(
        "share",
        share,
        clean.undercut_area_mm2 / clean.area_mm2,
        0.02,
    );
    assert_near(
        "depth",
        doubled.undercut_depth_mm,
        clean.undercut_depth_mm,
        0.01,
    );
}

#[test]
fn holes_and_ragged_borders() {
    let clean = read(ball());
    let mut solid = ball();
    let mut i = 0;
    solid.triangles.retain(|_| {
        i += 1;
        i % 97 != 0
    });
    let holed = read(solid);
    assert_share(
        "area",
        holed.undercut_area_mm2 + holed.unknown_area_mm2,
        clean.undercut_area_mm2,
        0.08,
    );
    assert!(holed.undercut_depth_mm <= clean.undercut_depth_mm + 0.1);
    assert!(holed.undercut_depth_mm >= 0.5 * clean.undercut_depth_mm);
}

/// The inside of a flat flask with a lid, seen through its neck: at distance r from the axis the way out leads
/// to the neck's rim, so the depth is r less the neck's radius, and beyond 10 mm it is capped.
#[test]
fn what_has_no_way_out_within_ten_millimetres_is_capped() {
    let section = [
        [15.0, 6.0],
        [1.0, 6.0],
        [1.0, 4.0],
        [14.0, 4.0],
        [14.0, 0.0],
        [0.0, 0.0],
    ];
    let flask = || solids::revolve(&solids::profile(&section, 0.5), 90, 0.0);
    let strip = |reach: f64| {
        let outline = [[-1.0, -1.0], [reach, -1.0], [reach, 1.0], [-1.0, 1.0]];
        zone(&outline, Some([-1.0, 1.0]))
    };
    let near = ridge(flask(), strip(9.0));
    for s in &near.undercut_samples(&leaning(0.0, 0.0))[0] {
        if let Some(depth) = s.depth_mm {
            let expected = s.position.x.hypot(s.position.y) - 1.0;
            assert_near("depth", depth, expected, 0.002);
        }
    }
    let far = ridge(flask(), strip(13.0));
    let reading = far.read(&leaning(0.0, 0.0))[0];
    assert!(reading.depth_capped && reading.undercut_depth_mm >= 10.0);
}

/// A vertex without a facet is nothing, wherever it lies.
#[test]
fn vertices_without_facets_change_nothing() {
    let clean = read(ball());
    let mut solid = ball();
    for far in [f64::NAN, f64::INFINITY, 1e9, 1e300] {
        solid.vertices.push(Point3::new(far, -far, far));
    }
    let strewn = read(solid);
    assert_near(
        "depth",
        strewn.undercut_depth_mm,
        clean.undercut_depth_mm,
        1e-9,
    );
    assert_near(
        "area",
        strewn.undercut_area_mm2,
        clean.undercut_area_mm2,
        1e-9,
    );
}

/// Two zones a hundred metres apart in one scan: what is listed must fit in memory, and each is
/// read as by itself.
#[test]
fn zones_far_apart_are_read_each_as_by_itself() {
    let away = Vector3::new(1e5, 1e5, 0.0);
    let (d, here) = (leaning(5.0, 30.0), square(4.5, None));
    let there = {
        let outline = here.outline.iter().map(|[x, y]| [x + away.x, y + away.y]);
        zone(&outline.collect::<Vec<_>>(), None)
    };
    let both = ball().with(&ball().mapped(|p| p + away));
    let ridge = built(Ridge::new(crate::build::mesh(both), &[here, there], &[]));
    let alone = read(ball());
    for reading in ridge.read(&d) {
        assert_near(
            "depth",
            reading.undercut_depth_mm,
            alone.undercut_depth_mm,
            1e-4,
        );
        assert_share(
            "area",
            reading.undercut_area_mm2,
            alone.undercut_area_mm2,
            1e-3,
        );
    }
}

fn any_mesh() -> impl Strategy<Value = Solid> {
    let place = prop_oneof![(-3.0..3.0_f64), (-3_i32..=3).prop_map(f64::from)];
    let vertex = (place.clone(), place.clone(), place).prop_map(|(x, y, z)| Point3::new(x, y, z));
    (4_u32..16).prop_flat_map(move |n| {
        let corner = 0..n;
        let triangle = [corner.clone(), corner.clone(), corner];
        (
            prop::collection::vec(vertex.clone(), n as usize),
            prop::collection::vec(triangle, 1..14),
        )
            .prop_map(|(vertices, triangles)| Solid {
                vertices,
                triangles,
            })
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 60,
        failure_persistence: None,
        rng_seed: proptest::test_runner::RngSeed::Fixed(11),
        ..ProptestConfig::default()
    })]

    /// Facets at random, on a lattice or not: whatever is read is finite and in order.
    #[test]
    fn random_facets(solid in any_mesh(), x in -1.0..1.0_f64, y in -1.0..1.0_f64) {
        let mesh = crate::build::mesh(solid);
        if let Ok(ridge) = Ridge::new(mesh, &[square(2.0, None)], &[]) {
            for d in [Vector3::z_axis(), UnitVector3::new_normalize(Vector3::new(x, y, 1.0))] {
                let r = ridge.read(&d)[0];
                prop_assert!(r.undercut_area_mm2 >= 0.0 && r.undercut_area_mm2 <= r.area_mm2 * (1.0 + 1e-12));
                prop_assert!((0.0..=10.0).contains(&r.undercut_depth_mm));
                prop_assert!(r.blockout_mm3 >= 0.0 && r.blockout_mm3.is_finite());
                prop_assert!(r.area_beyond_mm2[0] >= r.area_beyond_mm2[1]);
                for line in ridge.survey_line(&d) {
                    prop_assert!(line.len() >= 2 && line.iter().all(|p| p.iter().all(|c| c.is_finite())));
                }
            }
        }
    }
}
