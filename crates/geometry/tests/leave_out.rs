//! Surface left out of a mesh: what is left is what lies outside, and the cut opens no other seam.
#![cfg(test)]

use nalgebra::{Point3, UnitVector3, Vector3};
use std::collections::BTreeMap;
use tiltbench_geometry::leave_out::{Part, leave_out};
use tiltbench_geometry::mesh::{Mesh, check};
use tiltbench_geometry::undercut::MarginFootprint;
use tiltbench_geometry::undercut::tolerance::MARGIN_GROWTH_MM;
use tiltbench_testkit::solids::{self, Solid};

fn mesh(solid: &Solid) -> Mesh {
    Mesh {
        vertices: solid.vertices.clone(),
        triangles: solid.triangles.clone(),
    }
}

/// A closed sphere about the origin, or nearly so.
fn ball() -> Mesh {
    mesh(&solids::sphere(5.0, 0.0, 48))
}

/// Length of the edges with one facet, and how many facets meet where more than two do.
fn open_length(mesh: &Mesh) -> (f64, usize) {
    let mut uses: BTreeMap<[u32; 2], usize> = BTreeMap::new();
    for t in &mesh.triangles {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            *uses.entry([a.min(b), a.max(b)]).or_default() += 1;
        }
    }
    let at = |v: u32| mesh.vertices[v as usize];
    let open = uses.iter().filter(|(_, uses)| **uses == 1);
    let length = open.map(|([a, b], _)| (at(*a) - at(*b)).norm()).sum();
    (length, uses.values().filter(|uses| **uses > 2).count())
}

fn area_conserved(before: &Mesh, after: &Mesh, taken_mm2: f64) {
    let (all, left) = (before.area(), after.area());
    assert!(
        (all - left - taken_mm2).abs() < 1e-9 * all,
        "{all} mm² before, {left} after, {taken_mm2} taken"
    );
}

#[test]
fn a_cap_is_taken_off_along_one_level_line() {
    let before = ball();
    let around = [[-9.0, -9.0], [9.0, -9.0], [9.0, 9.0], [-9.0, 9.0]];
    let part = Part::above(&around, 3.0).unwrap();
    let (after, taken) = leave_out(before.clone(), &[part]);
    area_conserved(&before, &after, taken[0].area_mm2);
    // Archimedes: a cap of height h has 2 pi r h; the facets lie a little inside the sphere.
    let cap = std::f64::consts::TAU * 5.0 * 2.0;
    assert!((taken[0].area_mm2 / cap - 1.0).abs() < 0.01, "{taken:?}");
    assert!((taken[0].height_mm - 2.0).abs() < 0.02, "{taken:?}");
    assert!(after.vertices.iter().all(|p| p.z <= 3.0 + 1e-9));
    // The sphere was closed: what is open now is the level line, a circle of radius 4, once round.
    assert_eq!(open_length(&before), (0.0, 0));
    let health = check(&after).unwrap();
    assert_eq!((health.borders.len(), health.pieces.len()), (1, 1));
    let border = health.borders[0].length(&after);
    assert!(
        (border / (std::f64::consts::TAU * 4.0) - 1.0).abs() < 0.01,
        "{border}"
    );
    assert!(health.consistently_wound() && health.unreferenced_vertices.is_empty());
    let (open, _) = open_length(&after);
    assert!(
        (open - border).abs() < 1e-9,
        "an open edge beside the border"
    );
}

#[test]
fn a_hole_within_one_facet_leaves_the_facet_around_it() {
    let corners = [[-20.0, -20.0, 1.0], [20.0, -20.0, 1.0], [0.0, 30.0, 1.0]];
    let before = Mesh {
        vertices: corners.map(Point3::from).to_vec(),
        triangles: vec![[0, 1, 2]],
    };
    let square = [[-1.0, -1.0], [2.0, -1.0], [2.0, 2.0], [-1.0, 2.0]];
    let (after, taken) = leave_out(before.clone(), &[Part::above(&square, 0.0).unwrap()]);
    assert!((taken[0].area_mm2 - 9.0).abs() < 1e-9, "{taken:?}");
    area_conserved(&before, &after, 9.0);
    assert!(
        after
            .facets()
            .all(|c| (c[1] - c[0]).cross(&(c[2] - c[0])).z > 0.0)
    );
    let low = Part::above(&square, 1.5).unwrap();
    let (same, nothing) = leave_out(before.clone(), &[low]);
    assert!(nothing[0].is_nothing());
    assert_eq!(same, before);
}

/// Whether a point lies inside a polygon, by the angles under which its sides are seen.
fn inside(polygon: &[[f64; 2]], p: &Point3<f64>) -> bool {
    let mut turned = 0.0;
    for k in 0..polygon.len() {
        let (a, b) = (polygon[k], polygon[(k + 1) % polygon.len()]);
        let (ax, ay, bx, by) = (a[0] - p.x, a[1] - p.y, b[0] - p.x, b[1] - p.y);
        turned += (ax * by - ay * bx).atan2(ax * bx + ay * by);
    }
    turned.abs() > 3.0
}

/// Points of every facet, not on its sides.
fn points(mesh: &Mesh) -> impl Iterator<Item = (Point3<f64>, f64)> + '_ {
    mesh.facets().map(|[a, b, c]| {
        let area = 0.5 * (b - a).cross(&(c - a)).norm();
        (Point3::from((a.coords + b.coords + c.coords) / 3.0), area)
    })
}

#[test]
fn an_outline_that_is_not_convex_leaves_no_sliver_along_its_inner_sides() {
    let star: Vec<[f64; 2]> = (0..14)
        .map(|k| {
            let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 14.0 + 0.1).sin_cos();
            let r = if k % 2 == 0 { 4.3 } else { 1.7 };
            [r * cos, r * sin]
        })
        .collect();
    for solid in [
        solids::sphere(5.0, 0.0, 48),
        solids::roughen(solids::sphere(5.0, 0.0, 40), 0.03, 11),
    ] {
        let before = mesh(&solid);
        let (after, taken) = leave_out(before.clone(), &[Part::above(&star, 1.0).unwrap()]);
        area_conserved(&before, &after, taken[0].area_mm2);
        let within: f64 = points(&after)
            .filter(|(p, area)| *area > 1e-12 && p.z > 1.0 + 1e-9 && inside(&star, p))
            .map(|(_, area)| area)
            .sum();
        assert!(within < 1e-9, "{within} mm² left inside the outline");
        // One border, and nothing open beside it: no seam along the sides of the star's triangles.
        let health = check(&after).unwrap();
        assert_eq!(health.borders.len(), 1, "{:?}", health.borders.len());
        assert!(health.non_manifold_edges.is_empty() && health.consistently_wound());
    }
}

#[test]
fn a_stump_is_cut_along_its_margin_plane_inside_the_grown_ellipse() {
    let axis = UnitVector3::new_normalize(Vector3::new(0.1, -0.2, 1.0));
    let mesial = UnitVector3::new_normalize(axis.cross(&Vector3::y()));
    let margin = MarginFootprint {
        centre: Point3::new(0.4, -0.3, 2.0),
        axis,
        mesial,
        labial: UnitVector3::new_normalize(axis.cross(&mesial)),
        half_mesiodistal_mm: 2.0,
        half_labiolingual_mm: 3.0,
    };
    let before = mesh(&solids::roughen(solids::sphere(5.0, 0.0, 40), 0.02, 5));
    let (after, taken) = leave_out(before.clone(), &[Part::on_margin(&margin)]);
    area_conserved(&before, &after, taken[0].area_mm2);
    assert!(taken[0].area_mm2 > 10.0, "{taken:?}");
    // The ellipse is cut as a polygon of its area: within 0.01 mm of its border either may be.
    let of = |p: &Point3<f64>, slack: f64| {
        let offset = p - margin.centre;
        let u = mesial.dot(&offset) / (2.0 + MARGIN_GROWTH_MM + slack);
        let v = margin.labial.dot(&offset) / (3.0 + MARGIN_GROWTH_MM + slack);
        axis.dot(&offset) > 1e-9 && u * u + v * v < 1.0
    };
    for (p, area) in points(&after) {
        assert!(area < 1e-12 || !of(&p, -0.01), "left inside: {p}");
    }
    let outside: f64 = points(&before)
        .filter(|(p, _)| !of(p, 0.5))
        .map(|(_, a)| a)
        .sum();
    assert!(
        after.area() > outside,
        "more was taken than stands on the margin"
    );
    assert_eq!(check(&after).unwrap().borders.len(), 1);
}

/// Many places and sizes, on a mesh whose vertices lie on the border again and again.
#[test]
fn cuts_through_vertices_and_along_edges_open_no_seam() {
    let steps = 12_u32;
    let corner = |i: u32, j: u32| Point3::new(f64::from(i), f64::from(j), 1.0);
    let number = |i: u32, j: u32| j * (steps + 1) + i;
    let vertices = (0..=steps).flat_map(|j| (0..=steps).map(move |i| corner(i, j)));
    let cells = (0..steps).flat_map(|j| (0..steps).map(move |i| (i, j)));
    let before = Mesh {
        vertices: vertices.collect(),
        triangles: cells
            .flat_map(|(i, j)| {
                let [a, b] = [number(i, j), number(i + 1, j)];
                let [c, d] = [number(i + 1, j + 1), number(i, j + 1)];
                [[a, b, c], [a, c, d]]
            })
            .collect(),
    };
    for outline in [
        vec![[3.0, 3.0], [7.0, 3.0], [7.0, 7.0], [3.0, 7.0]],
        vec![[2.0, 2.0], [8.0, 2.0], [8.0, 8.0]],
        vec![[6.0, 1.0], [11.0, 6.0], [6.0, 11.0], [1.0, 6.0]],
        vec![
            [3.0, 3.0],
            [9.0, 3.0],
            [9.0, 5.0],
            [5.0, 5.0],
            [5.0, 9.0],
            [3.0, 9.0],
        ],
        vec![[2.5, 3.0], [7.25, 3.0], [7.25, 6.5], [2.5, 6.5]],
    ] {
        let area: f64 = (0..outline.len())
            .map(|k| {
                let ([ax, ay], [bx, by]) = (outline[k], outline[(k + 1) % outline.len()]);
                0.5 * (ax * by - ay * bx)
            })
            .sum();
        let round: f64 = (0..outline.len())
            .map(|k| {
                let ([ax, ay], [bx, by]) = (outline[k], outline[(k + 1) % outline.len()]);
                f64::hypot(bx - ax, by - ay)
            })
            .sum();
        let (after, taken) = leave_out(before.clone(), &[Part::above(&outline, 0.0).unwrap()]);
        assert!(
            (taken[0].area_mm2 - area).abs() < 1e-9,
            "{outline:?}: {taken:?}"
        );
        area_conserved(&before, &after, area);
        let (open, many) = open_length(&after);
        let rim = 4.0 * f64::from(steps);
        assert!(
            (open - rim - round).abs() < 1e-6,
            "{outline:?}: {open} mm open"
        );
        assert_eq!(many, 0);
    }
}
