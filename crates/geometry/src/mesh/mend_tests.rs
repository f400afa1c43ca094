//! A sound octahedron is spoiled in a known way, mended, and has to come back.

use super::*;
use crate::mesh::check;
use nalgebra::Point3;
use proptest::prelude::*;

/// The octahedron with the unit points as corners, outward; volume 4/3.
fn octahedron() -> Mesh {
    let vertices = [
        [1.0, 0.0, 0.0],
        [-1.0, 0.0, 0.0],
        [0.0, 1.0, 0.0],
        [0.0, -1.0, 0.0],
        [0.0, 0.0, 1.0],
        [0.0, 0.0, -1.0],
    ];
    Mesh {
        vertices: vertices.map(Point3::from).to_vec(),
        triangles: vec![
            [0, 2, 4],
            [2, 1, 4],
            [1, 3, 4],
            [3, 0, 4],
            [2, 0, 5],
            [1, 2, 5],
            [3, 1, 5],
            [0, 3, 5],
        ],
    }
}

const VOLUME: f64 = 4.0 / 3.0;

fn assert_sound(mesh: &Mesh) {
    let health = check(mesh).unwrap();
    assert!(
        health.watertight && health.consistently_wound(),
        "{health:?}"
    );
    assert!(
        (health.signed_volume.unwrap() - VOLUME).abs() < 1e-9,
        "{:?}",
        health.signed_volume
    );
    assert_eq!(health.degenerate, []);
    assert_eq!(health.duplicates, []);
}

#[test]
fn a_sound_mesh_is_left_alone() {
    let mended = mend(&octahedron(), MendOptions::default()).unwrap();
    assert_eq!(mended.mesh, octahedron());
    assert_eq!(mended.changes, []);
}

#[test]
fn each_defect_is_mended_and_listed() {
    let mut mesh = octahedron();
    mesh.vertices.insert(0, Point3::new(9.0, 9.0, 9.0));
    for vertex in mesh.triangles.iter_mut().flatten() {
        *vertex += 1;
    }
    mesh.triangles[6].swap(0, 1);
    mesh.triangles.insert(3, [1, 2, 2]);
    mesh.triangles.push([3, 1, 5]);
    let mended = mend(&mesh, MendOptions::default()).unwrap();
    assert_eq!(
        mended.changes,
        [
            Change::DroppedDegenerate { facet: 3 },
            Change::DroppedDuplicate { facet: 9, of: 0 },
            Change::Turned { facet: 7 },
            Change::DroppedVertex { vertex: 0 },
        ]
    );
    assert_sound(&mended.mesh);
}

#[test]
fn nothing_is_done_that_was_not_asked_for() {
    let mut mesh = octahedron();
    mesh.triangles[6].swap(0, 1);
    mesh.triangles.push([0, 0, 1]);
    mesh.triangles.push([0, 2, 4]);
    mesh.vertices.push(Point3::origin());
    let nothing = MendOptions {
        degenerate: false,
        duplicates: false,
        winding: Turn::Nothing,
        unreferenced: false,
    };
    let mended = mend(&mesh, nothing).unwrap();
    assert_eq!(mended.mesh, mesh);
    assert_eq!(mended.changes, []);
}

#[test]
fn a_flat_needle_is_laid_across_and_the_surface_stays_closed() {
    // A vertex on the edge between the corners 0 and 2, which only one side knows of: the usual
    // seam of a joined scan, closed by a needle.
    let mut mesh = octahedron();
    let middle = Point3::new(0.5, 0.5, 1e-7);
    mesh.vertices.push(middle);
    // Facet 0 (0, 2, 4) becomes two, and the needle fills the slit.
    mesh.triangles[0] = [0, 6, 4];
    mesh.triangles.extend([[6, 2, 4], [0, 2, 6]]);
    let before = check(&mesh).unwrap();
    assert!(before.watertight);
    assert_eq!(before.degenerate.len(), 1);
    let mended = mend(&mesh, MendOptions::default()).unwrap();
    assert_eq!(
        mended.changes,
        [Change::LaidAcross {
            facet: 9,
            neighbour: 4
        }]
    );
    let after = check(&mended.mesh).unwrap();
    assert!(after.watertight && after.consistently_wound());
    assert_eq!(after.degenerate, []);
    // The surface moved by no more than the height of the needle.
    let moved = after.signed_volume.unwrap() - before.signed_volume.unwrap();
    assert!(moved.abs() < 1e-7, "{moved}");
}

#[test]
fn a_strip_of_needles_takes_several_rounds() {
    // A square closed from below whose top edge is cut in eight by vertices only the top knows.
    let count = 8_u32;
    let mut mesh = Mesh {
        vertices: vec![Point3::new(0.0, -1.0, 0.0), Point3::new(1.0, 1.0, 0.0)],
        triangles: vec![],
    };
    for i in 0..=count {
        mesh.vertices
            .push(Point3::new(f64::from(i) / f64::from(count), 0.0, 0.0));
    }
    let last = 2 + count;
    mesh.triangles.push([0, last, 2]);
    for i in 0..count {
        mesh.triangles.push([2 + i, 3 + i, 1]);
    }
    // The slit between the long edge and the short ones is filled by a fan of needles.
    for i in 1..count {
        mesh.triangles.push([2, last - i + 1, last - i]);
    }
    let before = check(&mesh).unwrap();
    assert_eq!(before.degenerate.len(), 7);
    let mended = mend(&mesh, MendOptions::default()).unwrap();
    let after = check(&mended.mesh).unwrap();
    assert_eq!(after.degenerate, []);
    assert_eq!(after.open_edges, before.open_edges);
    assert!(after.non_manifold_edges.is_empty() && after.inconsistent_edges.is_empty());
    assert!((after.area - before.area).abs() < 1e-12);
}

#[test]
fn a_needle_is_left_where_the_edge_across_is_taken() {
    // A flat tetrahedron: corner 2 lies on the edge between 0 and 1. Every edge is there already.
    let mesh = Mesh {
        vertices: [
            [0.0, 0.0, 0.0],
            [2.0, 0.0, 0.0],
            [1.0, 1e-7, 0.0],
            [1.0, 0.0, 1.0],
        ]
        .map(Point3::from)
        .to_vec(),
        triangles: vec![[0, 1, 2], [1, 0, 3], [0, 2, 3], [2, 1, 3]],
    };
    let mended = mend(&mesh, MendOptions::default()).unwrap();
    let moved = |change: &Change| matches!(change, Change::LaidAcross { .. });
    assert!(!mended.changes.iter().any(moved), "{:?}", mended.changes);
    let health = check(&mended.mesh).unwrap();
    assert_eq!(health.degenerate.len(), 1);
    assert!(health.watertight);
}

#[test]
fn the_fewer_facets_are_turned() {
    // An open piece has no outside to go by, so the majority decides, also against facet 0.
    let mut cup = octahedron();
    cup.triangles.pop();
    for triangle in &mut cup.triangles[..2] {
        triangle.swap(0, 1);
    }
    let mended = mend(&cup, MendOptions::default()).unwrap();
    assert_eq!(
        mended.changes,
        [Change::Turned { facet: 0 }, Change::Turned { facet: 1 }]
    );
}

#[test]
fn open_pieces_are_turned_only_when_asked() {
    let mut cup = octahedron();
    cup.triangles.pop();
    for triangle in &mut cup.triangles {
        triangle.swap(0, 1);
    }
    assert_eq!(mend(&cup, MendOptions::default()).unwrap().changes, []);
    let too = MendOptions {
        winding: Turn::OpenPiecesToo,
        ..MendOptions::default()
    };
    let mended = mend(&cup, too).unwrap();
    assert_eq!(mended.changes.len(), 7);
    assert_eq!(
        check(&mended.mesh).unwrap().pieces[0].facing,
        Facing::LikelyOutward
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Whichever facets are turned, the octahedron comes back, and what is listed as turned is what
    /// differs.
    #[test]
    fn any_turned_facets_are_turned_back(turn in prop::array::uniform8(any::<bool>())) {
        let mut mesh = octahedron();
        for (triangle, _) in mesh.triangles.iter_mut().zip(turn).filter(|(_, turn)| *turn) {
            triangle.swap(1, 2);
        }
        let mended = mend(&mesh, MendOptions::default()).unwrap();
        prop_assert_eq!(&mended.mesh, &octahedron());
        let expected: Vec<Change> = (0..8).filter(|&f| turn[f]).map(|facet| Change::Turned { facet }).collect();
        prop_assert_eq!(mended.changes, expected);
    }

    /// On arbitrary heaps: no panic, nothing left that was asked away, and mending again does nothing.
    #[test]
    fn heaps_are_mended_once_and_for_all(
        triangles in prop::collection::vec(prop::array::uniform3(0_u32..9), 0..30),
    ) {
        let vertices = (0..9_i32)
            .map(|i| Point3::new(f64::from(i), f64::from(i * i), f64::from(i * i * i % 7)))
            .collect();
        let mesh = Mesh { vertices, triangles };
        let mended = mend(&mesh, MendOptions::default()).unwrap();
        let health = check(&mended.mesh).unwrap();
        prop_assert_eq!(health.duplicates.len(), 0);
        prop_assert_eq!(health.unreferenced_vertices.len(), 0);
        let wrong = health.pieces.iter().any(|p| p.facing == Facing::InsideOut);
        prop_assert!(!wrong);
        let again = mend(&mended.mesh, MendOptions::default()).unwrap();
        prop_assert_eq!(again.changes, []);
    }
}
