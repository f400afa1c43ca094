//! Health of closed-form solids, whole and spoiled in known ways.

use super::Facing::{Cavity, InsideOut, Outward};
use super::*;
use crate::mesh::{Mesh, weld_exact};
use nalgebra::{Point3, Rotation3, Vector3};
use proptest::prelude::*;

/// A box from `low` to `high`, two facets a side, outward.
fn cuboid(low: [f64; 3], high: [f64; 3]) -> Mesh {
    let vertices = (0..8_usize)
        .map(|i| {
            let pick = |axis: usize| {
                if i >> axis & 1 == 1 {
                    high[axis]
                } else {
                    low[axis]
                }
            };
            Point3::new(pick(0), pick(1), pick(2))
        })
        .collect();
    let triangles = vec![
        [0, 2, 1],
        [1, 2, 3],
        [4, 5, 6],
        [5, 7, 6],
        [0, 1, 4],
        [1, 5, 4],
        [2, 6, 3],
        [3, 6, 7],
        [0, 4, 2],
        [2, 4, 6],
        [1, 3, 5],
        [3, 7, 5],
    ];
    Mesh {
        vertices,
        triangles,
    }
}

fn joined(parts: &[Mesh]) -> Mesh {
    let mut all = Mesh::default();
    for part in parts {
        let first = u32::try_from(all.vertices.len()).unwrap();
        all.vertices.extend(&part.vertices);
        all.triangles
            .extend(part.triangles.iter().map(|t| t.map(|v| v + first)));
    }
    all
}

fn turned(mut mesh: Mesh) -> Mesh {
    for triangle in &mut mesh.triangles {
        triangle.swap(1, 2);
    }
    mesh
}

/// A strip of `count` quads bent into a ring and, if `twist`, given a half turn.
fn ring(count: u32, twist: bool) -> Mesh {
    let mut mesh = Mesh::default();
    for i in 0..count {
        let angle = f64::from(i) / f64::from(count) * std::f64::consts::TAU;
        let lean = if twist { angle / 2.0 } else { 0.0 };
        for side in [-0.3, 0.3] {
            let reach = 2.0 + side * lean.sin();
            mesh.vertices.push(Point3::new(
                reach * angle.cos(),
                reach * angle.sin(),
                side * lean.cos(),
            ));
        }
        let [a, b] = [2 * i, 2 * i + 1];
        let [c, d] = if i + 1 < count {
            [2 * i + 2, 2 * i + 3]
        } else if twist {
            [1, 0]
        } else {
            [0, 1]
        };
        mesh.triangles.extend([[a, c, b], [b, c, d]]);
    }
    mesh
}

#[test]
fn a_box_is_sound() {
    let health = check(&cuboid([0.0; 3], [2.0, 3.0, 4.0])).unwrap();
    assert!(health.watertight && health.consistently_wound());
    assert_eq!(health.pieces.len(), 1);
    assert!((health.area - 52.0).abs() < 1e-12);
    assert!((health.signed_volume.unwrap() - 24.0).abs() < 1e-12);
    assert_eq!(health.pieces[0].facing, Outward);
    assert_eq!(health.extent.unwrap().size(), Vector3::new(2.0, 3.0, 4.0));
    assert_eq!(health.inside_out().count(), 0);
    let lists = [
        health.open_edges.len(),
        health.borders.len(),
        health.non_manifold_edges.len(),
        health.inconsistent_edges.len(),
        health.degenerate.len(),
        health.duplicates.len(),
        health.unreferenced_vertices.len(),
    ];
    assert_eq!(lists, [0; 7]);
}

#[test]
fn a_box_turned_inside_out_has_a_negative_volume() {
    let health = check(&turned(cuboid([0.0; 3], [2.0, 3.0, 4.0]))).unwrap();
    assert!((health.signed_volume.unwrap() + 24.0).abs() < 1e-12);
    assert_eq!(health.pieces[0].facing, InsideOut);
    assert_eq!(health.inside_out().count(), 1);
}

#[test]
fn an_open_cup_is_likely_inside_out() {
    // Without its lid a box still has an inside: closed by a fan it has the whole volume.
    let mut cup = cuboid([0.0; 3], [2.0, 3.0, 4.0]);
    cup.triangles.drain(2..4);
    for (mesh, sign, facing) in [
        (cup.clone(), 1.0, Facing::LikelyOutward),
        (turned(cup), -1.0, Facing::LikelyInsideOut),
    ] {
        let health = check(&mesh).unwrap();
        assert!(!health.watertight);
        assert_eq!(health.signed_volume, None);
        assert_eq!(health.open_edges.len(), 4);
        let piece = health.pieces[0];
        assert_eq!(piece.facing, facing);
        assert!((piece.volume.unwrap() - sign * 24.0).abs() < 1e-12);
        assert_eq!(health.borders.len(), 1);
        assert!(health.borders[0].closed);
        assert!((health.borders[0].length(&mesh) - 10.0).abs() < 1e-12);
    }
}

#[test]
fn a_flat_patch_has_no_outside() {
    let mut patch = cuboid([0.0; 3], [2.0, 3.0, 4.0]);
    patch.triangles.truncate(2);
    assert_eq!(check(&patch).unwrap().pieces[0].facing, Facing::Unknown);
}

#[test]
fn one_turned_facet_is_found_and_counted() {
    let mut mesh = cuboid([0.0; 3], [1.0; 3]);
    mesh.triangles[7].swap(0, 1);
    let health = check(&mesh).unwrap();
    assert_eq!(health.inconsistent_edges.len(), 3);
    assert!(health.watertight);
    assert_eq!(health.signed_volume, None);
    assert_eq!(
        health.pieces[0].winding,
        Winding::Inconsistent { facets_to_turn: 1 }
    );
    assert_eq!(health.pieces[0].facing, Facing::Unknown);
}

#[test]
fn a_one_sided_strip_is_told_from_a_ring() {
    let health = check(&ring(12, false)).unwrap();
    assert_eq!(health.pieces[0].winding, Winding::Consistent);
    assert_eq!(health.borders.len(), 2);
    let health = check(&ring(12, true)).unwrap();
    assert_eq!(health.pieces[0].winding, Winding::OneSided);
    assert_eq!(health.borders.len(), 1, "a one-sided strip has one border");
    assert_eq!(health.borders[0].vertices.len(), 24);
    assert_eq!(health.pieces[0].volume, None);
}

#[test]
fn hollow_solids_and_pearls_are_told_from_inside_out_ones() {
    let outer = || cuboid([0.0; 3], [10.0; 3]);
    let inner = || cuboid([2.0; 3], [6.0; 3]);
    let pearl = || cuboid([3.0; 3], [4.0; 3]);
    let beside = || cuboid([8.0; 3], [9.0; 3]);
    let facings = |parts: &[Mesh]| -> Vec<Facing> {
        let health = check(&joined(parts)).unwrap();
        health.pieces.iter().map(|piece| piece.facing).collect()
    };
    assert_eq!(facings(&[outer(), turned(inner())]), [Outward, Cavity]);
    assert_eq!(facings(&[outer(), inner()]), [Outward, Outward]);
    assert_eq!(
        facings(&[pearl(), outer(), turned(inner()), turned(beside())]),
        [Outward, Outward, Cavity, Cavity]
    );
    // The whole hollow solid is inside out: both walls are to be turned.
    assert_eq!(facings(&[turned(outer()), inner()]), [InsideOut, InsideOut]);
    // The box of one holds the other, but the other is not inside.
    let ell = joined(&[outer(), turned(cuboid([20.0; 3], [21.0; 3]))]);
    assert_eq!(facings(&[ell]), [Outward, InsideOut]);
}

#[test]
fn a_piece_in_the_box_but_not_inside_is_no_cavity() {
    // A tetrahedron fills a sixth of its box; the far corner is outside.
    let big = Mesh {
        vertices: [[0.0; 3], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0], [0.0, 0.0, 9.0]]
            .map(Point3::from)
            .to_vec(),
        triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
    };
    for (at, facing) in [(7.0, InsideOut), (1.0, Cavity)] {
        let small = turned(cuboid([at; 3], [at + 1.0; 3]));
        let pieces = check(&joined(&[big.clone(), small])).unwrap().pieces;
        assert_eq!(pieces[1].facing, facing, "at {at}");
    }
}

#[test]
fn three_facets_on_an_edge_are_non_manifold() {
    let mut mesh = cuboid([0.0; 3], [1.0; 3]);
    mesh.vertices.push(Point3::new(2.0, 2.0, 2.0));
    mesh.triangles.push([0, 1, 8]);
    let health = check(&mesh).unwrap();
    assert_eq!(
        health.non_manifold_edges,
        [NonManifoldEdge {
            ends: [0, 1],
            facets: 3
        }]
    );
    assert_eq!(health.open_edges, [[0, 8], [1, 8]]);
    assert!(!health.watertight);
    assert_eq!(health.pieces.len(), 1);
    // The fin's border ends at the edge of three facets on both sides.
    assert_eq!(health.borders.len(), 1);
    assert!(!health.borders[0].closed);
    assert_eq!(health.borders[0].vertices.len(), 3);
    // A fin does not hide which way the rest faces, only the volume.
    assert_eq!(health.pieces[0].volume, None);
    assert_eq!(health.pieces[0].facing, Facing::LikelyOutward);
    let facing = check(&turned(mesh)).unwrap().pieces[0].facing;
    assert_eq!(facing, Facing::LikelyInsideOut);
}

#[test]
fn duplicates_are_found_whichever_way_they_are_written() {
    let mut mesh = cuboid([0.0; 3], [1.0; 3]);
    let [a, b, c] = mesh.triangles[4];
    mesh.triangles.extend([[b, c, a], [c, b, a]]);
    let health = check(&mesh).unwrap();
    assert_eq!(
        health.duplicates,
        [
            Duplicate {
                facet: 12,
                of: 4,
                reversed: false
            },
            Duplicate {
                facet: 13,
                of: 4,
                reversed: true
            },
        ]
    );
    assert_eq!(health.non_manifold_edges.len(), 3);
}

#[test]
fn degenerate_facets_are_found_at_any_size() {
    for scale in [1e-6, 1.0, 1e6] {
        let at = |x: f64, y: f64| Point3::new(x, y, 0.5) * scale;
        let mesh = Mesh {
            vertices: vec![
                at(0.0, 0.0),
                at(1.0, 0.0),
                at(0.5, 0.9e-5),
                at(0.5, 1.1e-5),
                at(2.0, 0.0),
            ],
            triangles: vec![[0, 1, 2], [0, 1, 3], [0, 1, 1], [0, 1, 4]],
        };
        let found = check(&mesh).unwrap().degenerate;
        let facets: Vec<usize> = found.iter().map(|d| d.facet).collect();
        assert_eq!(facets, [0, 2, 3], "scale {scale}");
        assert_eq!(found[1].kind, DegenerateKind::RepeatedVertex);
    }
}

#[test]
fn borders_that_touch_in_a_vertex_stay_two() {
    // Two triangles with one vertex in common, then the same fan turned over.
    let mesh = Mesh {
        vertices: [
            [0.0, 0.0],
            [1.0, 0.0],
            [1.0, 1.0],
            [-1.0, 0.0],
            [-1.0, -1.0],
        ]
        .map(|[x, y]| Point3::new(x, y, 0.0))
        .to_vec(),
        triangles: vec![[0, 1, 2], [0, 3, 4]],
    };
    let health = check(&mesh).unwrap();
    assert_eq!(health.pieces.len(), 2);
    assert_eq!(health.borders.len(), 2);
    assert!(
        health
            .borders
            .iter()
            .all(|border| border.closed && border.vertices.len() == 3)
    );
    assert_eq!(health.unreferenced_vertices, [0_u32; 0]);
}

#[test]
fn what_is_no_mesh_is_refused_with_the_place() {
    let mut mesh = cuboid([0.0; 3], [1.0; 3]);
    mesh.triangles[3][1] = 8;
    let fault = check(&mesh).unwrap_err();
    assert_eq!(
        fault,
        MeshFault::Index {
            facet: 3,
            index: 8,
            vertices: 8
        }
    );
    let mut mesh = cuboid([0.0; 3], [1.0; 3]);
    mesh.vertices[5].y = f64::INFINITY;
    let fault = check(&mesh).unwrap_err();
    assert_eq!(
        fault,
        MeshFault::NotFinite {
            vertex: 5,
            value: f64::INFINITY
        }
    );
    let health = check(&Mesh::default()).unwrap();
    assert!(!health.watertight);
    assert_eq!(health.extent, None);
}

/// Counts by brute force over all pairs of facets: open, three or more, run the same way.
fn brute_force(mesh: &Mesh) -> (usize, usize, usize, usize) {
    let mut runs: Vec<([u32; 2], bool)> = vec![];
    let mut sets: Vec<[u32; 3]> = vec![];
    let mut duplicates = 0;
    for &[a, b, c] in &mesh.triangles {
        if a == b || b == c || c == a {
            continue;
        }
        for [from, to] in [[a, b], [b, c], [c, a]] {
            runs.push(([from.min(to), from.max(to)], from < to));
        }
        let mut set = [a, b, c];
        set.sort_unstable();
        duplicates += usize::from(sets.contains(&set));
        sets.push(set);
    }
    let mut edges: Vec<[u32; 2]> = runs.iter().map(|run| run.0).collect();
    edges.sort_unstable();
    edges.dedup();
    let (mut open, mut many, mut same) = (0, 0, 0);
    for edge in edges {
        let ways: Vec<bool> = runs
            .iter()
            .filter(|run| run.0 == edge)
            .map(|run| run.1)
            .collect();
        match ways[..] {
            [_] => open += 1,
            [a, b] => same += usize::from(a == b),
            _ => many += 1,
        }
    }
    (open, many, same, duplicates)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Arbitrary heaps of facets over few vertices: everything goes wrong at once.
    #[test]
    fn counts_equal_brute_force(
        triangles in prop::collection::vec(prop::array::uniform3(0_u32..9), 0..40),
    ) {
        let vertices = (0..9_i32)
            .map(|i| Point3::new(f64::from(i), f64::from(i * i), f64::from(i * i * i % 7)))
            .collect();
        let mesh = Mesh { vertices, triangles };
        let health = check(&mesh).unwrap();
        let found = (
            health.open_edges.len(),
            health.non_manifold_edges.len(),
            health.inconsistent_edges.len(),
            health.duplicates.len(),
        );
        prop_assert_eq!(found, brute_force(&mesh));
        let counted: usize = health.pieces.iter().map(|piece| piece.triangles).sum();
        let repeated = health.degenerate.iter().filter(|d| d.kind == DegenerateKind::RepeatedVertex);
        prop_assert_eq!(counted + repeated.count(), mesh.triangles.len());
        // Every open edge is on exactly one border.
        let on_borders: usize = health
            .borders
            .iter()
            .map(|border| border.vertices.len() - usize::from(!border.closed))
            .sum();
        prop_assert_eq!(on_borders, health.open_edges.len());
    }

    /// Moving, scaling and renumbering change nothing but what they must.
    #[test]
    fn health_moves_with_the_mesh(
        angle in prop::array::uniform3(-3.0..3.0_f64),
        shift in prop::array::uniform3(-50.0..50.0_f64),
        scale in 0.01..100.0_f64,
        first in 0_usize..20,
    ) {
        let mut mesh = joined(&[cuboid([0.0; 3], [2.0, 3.0, 4.0]), turned(cuboid([1.0; 3], [1.5; 3]))]);
        mesh.triangles.drain(2..4);
        let before = check(&mesh).unwrap();
        let turn = Rotation3::from_euler_angles(angle[0], angle[1], angle[2]);
        for vertex in &mut mesh.vertices {
            *vertex = turn * (*vertex * scale) + Vector3::from(shift);
        }
        mesh.triangles.rotate_left(first);
        let renumbered = weld_exact(&Mesh {
            vertices: mesh.facets().flatten().collect(),
            triangles: (0..).map(|t| [3 * t, 3 * t + 1, 3 * t + 2]).take(mesh.triangles.len()).collect(),
        });
        let after = check(&renumbered.mesh).unwrap();
        prop_assert!((after.area / before.area / scale.powi(2) - 1.0).abs() < 1e-9);
        prop_assert_eq!(after.open_edges.len(), before.open_edges.len());
        let sorted = |health: &MeshHealth| {
            let mut pieces: Vec<_> = health
                .pieces
                .iter()
                .map(|piece| (piece.triangles, format!("{:?} {:?}", piece.facing, piece.winding)))
                .collect();
            pieces.sort();
            pieces
        };
        prop_assert_eq!(sorted(&after), sorted(&before));
    }
}
