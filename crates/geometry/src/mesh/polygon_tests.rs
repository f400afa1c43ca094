//! Cuts are checked against the polygon's own area (shoelace) and against each other.

use super::*;
use proptest::prelude::*;

fn lift(flat: &[[f64; 2]]) -> Vec<Point3<f64>> {
    flat.iter()
        .map(|&[x, y]| Point3::new(x, y, 0.25 * x - 0.5 * y))
        .collect()
}

fn shoelace(flat: &[[f64; 2]]) -> f64 {
    let mut twice = 0.0;
    for (i, a) in flat.iter().enumerate() {
        let b = flat[(i + 1) % flat.len()];
        twice += a[0] * b[1] - b[0] * a[1];
    }
    0.5 * twice
}

/// Signed area, seen along z, of each triangle.
fn areas(flat: &[[f64; 2]], triangles: &[[usize; 3]]) -> Vec<f64> {
    triangles
        .iter()
        .map(|t| shoelace(&t.map(|i| flat[i])))
        .collect()
}

fn assert_cut(flat: &[[f64; 2]]) {
    let triangles = triangulate(&lift(flat)).unwrap().triangles;
    assert_eq!(triangles.len(), flat.len() - 2);
    let whole = shoelace(flat);
    let parts = areas(flat, &triangles);
    assert!(parts.iter().all(|part| part * whole > 0.0), "{parts:?}");
    let sum: f64 = parts.iter().sum();
    assert!(
        (sum - whole).abs() < 1e-12 * whole.abs().max(1.0),
        "{sum} {whole}"
    );
}

const ARROW: [[f64; 2]; 4] = [[0.0, 0.0], [4.0, -3.0], [1.0, 0.0], [4.0, 3.0]];

#[test]
fn concave_polygons_are_covered_exactly_once() {
    assert_cut(&ARROW);
    // The notch first: a fan from corner 0 would be right here, one from corner 1 would not.
    assert_cut(&[[1.0, 0.0], [4.0, 3.0], [0.0, 0.0], [4.0, -3.0]]);
    let comb = [
        [0.0, 0.0],
        [7.0, 0.0],
        [7.0, 5.0],
        [6.0, 5.0],
        [6.0, 1.0],
        [5.0, 1.0],
        [5.0, 5.0],
        [4.0, 5.0],
        [4.0, 1.0],
        [3.0, 1.0],
        [3.0, 5.0],
        [0.0, 5.0],
    ];
    assert_cut(&comb);
    let mut clockwise = comb;
    clockwise.reverse();
    assert_cut(&clockwise);
}

#[test]
fn a_corner_on_a_straight_edge_leaves_no_flat_triangle() {
    assert_cut(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [1.0, 2.0]]);
    assert_cut(&[
        [0.0, 0.0],
        [1.0, 0.0],
        [2.0, 0.0],
        [2.0, 1.0],
        [2.0, 2.0],
        [0.0, 2.0],
        [0.0, 1.0],
    ]);
}

#[test]
fn a_hole_joined_by_a_bridge_is_left_out() {
    let rim_and_hole = [
        [0.0, 0.0],
        [4.0, 0.0],
        [4.0, 4.0],
        [0.0, 4.0],
        [0.0, 0.0],
        [1.0, 1.0],
        [1.0, 3.0],
        [3.0, 3.0],
        [3.0, 1.0],
        [1.0, 1.0],
    ];
    assert!((shoelace(&rim_and_hole) - 12.0).abs() < 1e-15);
    assert_cut(&rim_and_hole);
}

#[test]
fn outlines_that_bound_no_surface_are_refused() {
    let bow_tie = [[0.0, 0.0], [3.0, 2.0], [3.0, 0.0], [0.0, 1.0]];
    assert_eq!(
        triangulate(&lift(&bow_tie)),
        Err(PolygonError::Crossing(0, 2))
    );
    // Symmetric: its signed area is exactly zero.
    let even_bow_tie = [[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]];
    assert_eq!(triangulate(&lift(&even_bow_tie)), Err(PolygonError::NoArea));
    // Twice around: all ears are positive, only the edges tell.
    let pentagram: Vec<[f64; 2]> = (0..5)
        .map(|i| (f64::from(i) * 0.8 * std::f64::consts::PI).sin_cos())
        .map(|(s, c)| [c, s])
        .collect();
    assert!(matches!(
        triangulate(&lift(&pentagram)),
        Err(PolygonError::Crossing(..))
    ));
    assert_eq!(
        triangulate(&lift(&ARROW[..2])),
        Err(PolygonError::TooFew(2))
    );
    let many = vec![Point3::origin(); MAX_CORNERS + 1];
    assert_eq!(
        triangulate(&many),
        Err(PolygonError::TooMany(MAX_CORNERS + 1))
    );
}

#[test]
fn a_warped_quad_is_read() {
    let quad = [
        [0.0, 0.0, 0.0],
        [1.0, 0.0, 0.1],
        [1.0, 1.0, 0.0],
        [0.0, 1.0, 0.1],
    ]
    .map(Point3::from);
    let cut = triangulate(&quad).unwrap();
    assert_eq!(cut.triangles.len(), 2);
    assert!(cut.is_flat());
    let tent = [
        [0.0, 0.0, 0.0],
        [1.0, 0.0, 1.0],
        [1.0, 1.0, 0.0],
        [0.0, 1.0, 1.0],
    ]
    .map(Point3::from);
    let cut = triangulate(&tent).unwrap();
    assert_eq!(cut.triangles.len(), 2);
    // The corners stand half off the plane between them, over a quarter of four diagonals.
    assert!((cut.off_plane - 0.5 / 2_f64.sqrt()).abs() < 1e-12 && !cut.is_flat());
}

#[test]
fn polygons_without_area_keep_every_corner() {
    let line = [0.0, 1.0, 2.0, 3.0].map(|x| Point3::new(x, 2.0 * x, 0.0));
    assert_eq!(
        triangulate(&line).unwrap().triangles,
        [[0, 1, 2], [0, 2, 3]]
    );
    let repeated = [[0.0, 0.0], [1.0, 0.0], [1.0, 0.0], [0.0, 1.0]];
    let triangles = triangulate(&lift(&repeated)).unwrap().triangles;
    assert_eq!(triangles.len(), 2);
    assert_eq!(
        areas(&repeated, &triangles)
            .iter()
            .filter(|a| **a == 0.0)
            .count(),
        1
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    /// Star-shaped outlines are simple whatever their radii.
    #[test]
    fn star_shaped_outlines_are_covered(radii in prop::collection::vec(0.2..3.0_f64, 4..60)) {
        let step = std::f64::consts::TAU / radii.len() as f64;
        let flat: Vec<[f64; 2]> = radii
            .iter()
            .enumerate()
            .map(|(i, r)| {
                let (s, c) = (i as f64 * step).sin_cos();
                [r * c, r * s]
            })
            .collect();
        // Up to a half turn between corners the outline is star-shaped; four corners always are.
        assert_cut(&flat);
    }

    #[test]
    fn no_outline_panics(
        points in prop::collection::vec(prop::array::uniform3(-1_i8..=1), 0..12),
    ) {
        let corners: Vec<_> = points.iter().map(|p| Point3::from(p.map(f64::from))).collect();
        if let Ok(cut) = triangulate(&corners) {
            prop_assert_eq!(cut.triangles.len(), corners.len() - 2);
        }
    }
}
