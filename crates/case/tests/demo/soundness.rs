//! Every scan is one even, manifold, outward surface; open ones have one border.

use tiltbench_case::demo::{SampleKind, demo_mesh, sample};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::mesh::check::{Facing, MeshHealth, check};

fn sound(mesh: &Mesh, closed: bool, name: &str) -> MeshHealth {
    let health = check(mesh).unwrap();
    assert_eq!(health.pieces.len(), 1, "{name}");
    assert!(health.non_manifold_edges.is_empty(), "{name}");
    assert!(health.inconsistent_edges.is_empty(), "{name}");
    assert!(
        health.degenerate.is_empty(),
        "{name}: {:?}",
        health.degenerate
    );
    assert!(health.duplicates.is_empty(), "{name}");
    assert!(health.unreferenced_vertices.is_empty(), "{name}");
    let facing = if closed {
        Facing::Outward
    } else {
        Facing::LikelyOutward
    };
    assert_eq!(health.pieces[0].facing, facing, "{name}");
    assert_eq!(health.watertight, closed, "{name}");
    let borders = usize::from(!closed);
    assert_eq!(health.borders.len(), borders, "{name}: holes in the scan");
    // One piece without handles: V − E + F = 2, less one for each border. Every edge that is not
    // open has two facets.
    let sides = 3 * mesh.triangles.len() + health.open_edges.len();
    assert_eq!(
        2 * (mesh.vertices.len() + mesh.triangles.len() + borders),
        sides + 4,
        "{name}: a handle"
    );
    health
}

fn lengths(mesh: &Mesh) -> Vec<f64> {
    let mut lengths: Vec<f64> = (0..mesh.triangles.len())
        .flat_map(|t| {
            let [a, b, c] = mesh.corners(t);
            [(b - a).norm(), (c - b).norm(), (a - c).norm()]
        })
        .collect();
    lengths.sort_by(f64::total_cmp);
    lengths
}

#[test]
fn every_sample_is_sound_and_even_at_a_working_resolution() {
    for kind in SampleKind::ALL {
        let demo = sample(kind, 24_000);
        assert_eq!(demo.mesh.is_some(), kind.triangles() > 0, "{kind:?}");
        let Some(mesh) = demo.mesh else { continue };
        let health = sound(&mesh, kind == SampleKind::BeforeWaxing, demo.file_stem);
        let off = mesh.triangles.len() as f64 / 24_000.0 - 1.0;
        assert!(
            off.abs() < 0.05,
            "{kind:?}: {} triangles",
            mesh.triangles.len()
        );
        let lengths = lengths(&mesh);
        let at = |percent: usize| lengths[(lengths.len() - 1) * percent / 100];
        // The edge of an equilateral mesh of this area and count.
        let even = (health.area / mesh.triangles.len() as f64 * 4.0 / 3.0_f64.sqrt()).sqrt();
        assert!(
            at(1) > 0.5 * even,
            "{kind:?}: 1 % are under {:.3} of {even:.3}",
            at(1)
        );
        assert!(
            at(99) < 1.7 * even,
            "{kind:?}: 1 % are over {:.3} of {even:.3}",
            at(99)
        );
        let extent = health.extent.unwrap().size();
        assert!((70.0..95.0).contains(&extent.x), "{kind:?}: {extent}");
        assert!((50.0..80.0).contains(&extent.y), "{kind:?}: {extent}");
        assert!((12.0..30.0).contains(&extent.z), "{kind:?}: {extent}");
    }
}

#[test]
fn the_bench_cast_is_sound_from_coarse_to_fine() {
    for triangles in [3_000, 8_000, 60_000] {
        sound(
            &demo_mesh(triangles),
            false,
            &format!("{triangles} triangles"),
        );
    }
}

#[test]
fn the_same_call_gives_the_same_bits() {
    for kind in [SampleKind::UpperCompromise, SampleKind::BeforeWaxing] {
        assert_eq!(sample(kind, 5_000), sample(kind, 5_000));
    }
}

#[test]
fn nonsense_counts_do_not_panic() {
    for triangles in [0, 1, 50] {
        let mesh = demo_mesh(triangles);
        assert!(mesh.triangles.len() < 20_000, "{triangles}");
    }
}
