//! What a hole of the scan leaves unknown.

use crate::build::{assert_near, assert_share, mesh, ridge, up, zone};
use std::collections::BTreeMap;
use tiltbench_geometry::Point3;
use tiltbench_geometry::undercut::{DepthAsk, Ridge, SeatZone, Standing};
use tiltbench_testkit::solids::{Solid, extrude, profile};

/// A flank 6 mm high whose crest overhangs its foot by 2 mm, before a level floor; along x.
fn flank() -> Solid {
    let corners = [[8.0, -6.0], [-2.0, -6.0], [0.0, 0.0], [-6.0, 0.0]];
    extrude(&profile(&corners, 0.5), 30.0, 60)
}

/// Without the facets whose middles are named.
fn without(mut solid: Solid, gone: impl Fn(&Point3<f64>) -> bool) -> Solid {
    let vertices = solid.vertices.clone();
    solid.triangles.retain(|t| {
        let [a, b, c] = t.map(|v| vertices[v as usize].coords);
        !gone(&Point3::from((a + b + c) / 3.0))
    });
    solid
}

fn crest(p: &Point3<f64>) -> bool {
    p.z > -1e-9 && (-1.5..-0.5).contains(&p.x) && p.y.abs() < 1.0
}

fn on_flank() -> SeatZone {
    zone(
        &[[-2.1, -4.0], [0.1, -4.0], [0.1, 4.0], [-2.1, 4.0]],
        Some([-5.99, 0.1]),
    )
}

/// Depths by place, of the undercut samples.
fn by_place(ridge: &Ridge) -> BTreeMap<[u64; 3], f64> {
    let key = |p: &Point3<f64>| [p.x, p.y, p.z].map(f64::to_bits);
    let samples = ridge.undercut_samples(&up()).remove(0);
    let deep = samples
        .iter()
        .filter_map(|s| Some((key(&s.position), s.depth_mm?)));
    deep.collect()
}

#[test]
fn a_hole_in_the_crest_leaves_unknown_what_is_under_it_and_nothing_else_changes() {
    let whole = ridge(flank(), on_flank());
    let holed = ridge(without(flank(), crest), on_flank());
    let [read, known] = [&whole, &holed].map(|ridge| ridge.read(&up())[0]);
    // 1 mm by 2 mm in plan, on a flank that is 2 mm in plan and the root of 40 mm long.
    assert_share("unknown", known.unknown_area_mm2, 40.0_f64.sqrt(), 0.08);
    assert!(known.is_in_doubt() && !read.is_in_doubt());
    let at = known.unknown_at.expect("some are unknown");
    assert!(at.y.abs() < 1.0 && (-1.5..-0.5).contains(&at.x), "{at}");
    assert_near(
        "area",
        known.undercut_area_mm2 + known.unknown_area_mm2,
        read.undercut_area_mm2,
        1e-9,
    );
    // The air under a point of the flank is as high as the point over the floor: 3 mm in the middle.
    assert_share(
        "blockout",
        read.blockout_mm3 - known.blockout_mm3,
        2.0 * 3.0,
        0.08,
    );
    let depth = read.undercut_depth_mm;
    assert_near("depth", known.undercut_depth_mm, depth, 1e-9);
    let (all, some) = (by_place(&whole), by_place(&holed));
    assert!(some.len() < all.len() && 3 * some.len() > 2 * all.len());
    for (place, depth) in &some {
        assert_near("known", *depth, all[place], 1e-9);
    }
    let preview = holed.preview(&up(), &|| false).unwrap()[0];
    assert_near("preview", preview.depth_mm, known.undercut_depth_mm, 0.0);
    assert_near(
        "preview",
        preview.undercut_area_mm2,
        known.undercut_area_mm2,
        0.0,
    );
}

/// The deepest of a zone under a hole: without it the zone is less deep, in every reading alike, and a
/// cone of draws still holds what any draw inside it reads.
#[test]
fn an_unknown_place_does_not_decide_the_depth() {
    let low = zone(
        &[[-2.1, -0.9], [0.1, -0.9], [0.1, 0.9], [-2.1, 0.9]],
        Some([-5.99, 0.1]),
    );
    let gone = |p: &Point3<f64>| p.z > -1e-9 && (-3.0..-1.0).contains(&p.x) && p.y.abs() < 2.0;
    let holed = ridge(without(flank(), gone), low);
    let ask = DepthAsk {
        cone_rad: 0.004,
        floor_mm: &|_, _| 0.0,
        ceilings_mm: &[],
        within: None,
    };
    let cone = holed.depths(&up(), &ask, &|| false).unwrap();
    let standings = cone.zones[0].samples.iter().map(|s| s.standing);
    assert!(standings.clone().any(|s| s == Standing::Unknown));
    assert!(standings.clone().any(|s| s == Standing::InDoubt));
    let read = holed.read(&up())[0].undercut_depth_mm;
    assert_near("depth", read, 1.0, 0.13);
    assert_near("cone", cone.depths_mm()[0], read, 0.0);
    for lean in [-5.0, -2.0, 1.0, 5.0] {
        let d = crate::build::leaning(lean, 0.0);
        let depth = holed.read(&d)[0].undercut_depth_mm;
        let rad = up().angle(&d);
        let (least, most) = (cone.zones[0].least_mm(rad), cone.zones[0].most_mm(rad));
        assert!(
            least <= depth + 1e-9 && depth <= most + 1e-9,
            "{depth} at {lean} not in {least}..{most}"
        );
        let inside = DepthAsk {
            cone_rad: 0.0,
            floor_mm: &|_, _| 0.0,
            ceilings_mm: &[],
            within: Some(&cone),
        };
        let child = holed.depths(&d, &inside, &|| false).unwrap();
        assert_near("child", child.depths_mm()[0], depth, 0.0);
    }
}

/// Under a hole of the flank a point of the floor does not know what is over it, nor does one behind,
/// whose way passes there: beside the hole it would need more room.
#[test]
fn a_way_under_a_hole_is_unknown() {
    let gone = |p: &Point3<f64>| (-4.0..-2.0).contains(&p.z) && p.y.abs() < 2.5;
    let floor = zone(
        &[[-1.95, -4.0], [2.0, -4.0], [2.0, 4.0], [-1.95, 4.0]],
        Some([-6.1, -5.999]),
    );
    let holed = Ridge::new(mesh(without(flank(), gone)), &[floor], &[]).expect("a ridge");
    let (mut behind, mut beside) = (0, 0);
    for sample in &holed.undercut_samples(&up())[0] {
        let p = sample.position;
        if p.y.abs() < 0.4 && (-1.9..-0.75).contains(&p.x) {
            assert_eq!(sample.depth_mm, None, "{p}");
            behind += 1;
        } else if p.x < -1e-3 && (p.y.abs() > 2.6 || p.x > -0.6) {
            let depth = sample.depth_mm.expect("known");
            assert_near("depth", depth, -p.x, 1e-6);
            beside += 1;
        }
    }
    assert!(
        behind > 20 && beside > 20,
        "{behind} behind, {beside} beside"
    );
    assert!(holed.read(&up())[0].unknown_area_mm2 > 1.5);
}
