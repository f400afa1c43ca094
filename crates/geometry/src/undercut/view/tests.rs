//! No leak: nothing passes between facets that share an edge or a vertex.

use super::*;
use crate::mesh::Mesh;
use crate::undercut::surface::Surface;
use nalgebra::Vector3;
use std::sync::Arc;
use tiltbench_testkit::solids;

fn ball() -> Surface {
    let solid = solids::sphere(3.0, 3.0, 24);
    Surface::new(Arc::new(Mesh {
        vertices: solid.vertices,
        triangles: solid.triangles,
    }))
}

/// Places inside the ball, as sharp as they come: under vertices, under middles of edges, under
/// points of edges that are not exact, and in between.
fn places(view: &View<'_>) -> Vec<Plan> {
    let mut places = Vec::new();
    for edge in &view.surface.edges {
        let [a, b] = edge.ends.map(|v| view.points[v as usize]);
        for t in [0.0, 0.5, 0.3, 1.0 / 7.0] {
            places.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
        }
    }
    for i in 0..4000 {
        let (sin, cos) = (f64::from(i) * 2.399_963).sin_cos();
        let r = 2.9 * (f64::from(i) / 4000.0).sqrt();
        let centre = view.see_point(&Point3::new(0.0, 0.0, 3.0)).0;
        places.push([centre[0] + r * cos, centre[1] + r * sin]);
    }
    places
}

#[test]
fn no_line_along_the_draw_leaves_a_closed_ball_unseen() {
    let ball = ball();
    for up in [Vector3::z(), Vector3::new(0.3, -0.2, 0.9), Vector3::x()] {
        let view = View::new(&ball, Axes::along(up / up.norm()), None);
        let (centre, middle) = view.see_point(&Point3::new(0.0, 0.0, 3.0));
        let mut inside = 0;
        for x in places(&view) {
            // Within the shortest chord's distance the ball has an inside on every line.
            if (x[0] - centre[0]).hypot(x[1] - centre[1]) > 2.97 {
                continue;
            }
            inside += 1;
            assert!(view.covered(x, middle, None), "{x:?} leaks upward");
            assert!(view.top(x, f64::INFINITY) > middle);
            let below = view.next_below(x, middle, u32::MAX);
            assert!(below < middle && below.is_finite(), "{x:?} leaks downward");
        }
        assert!(inside > 7000, "{inside}");
        assert!(!view.covered([centre[0] + 3.01, centre[1]], middle, None));
    }
}

#[test]
fn no_line_across_the_draw_leaves_a_closed_ball_unseen() {
    let ball = ball();
    let up = Vector3::new(0.3, -0.2, 0.9);
    for up in [Vector3::z(), up / up.norm()] {
        let view = View::new(&ball, Axes::along(up), None);
        let (centre, middle) = view.see_point(&Point3::new(0.0, 0.0, 3.0));
        // At the heights of vertices, and between them.
        let mut heights: Vec<f64> = view.points.iter().map(|p| p[2]).collect();
        heights.extend((-20..=20).map(|i| middle + 0.137 * f64::from(i)));
        for height in heights {
            if (height - middle).abs() > 2.8 {
                continue;
            }
            for i in 0..24 {
                // 15 degrees apart: for the upright ball, toward its vertices.
                let (sin, cos) = (f64::from(i) * 15_f64.to_radians()).sin_cos();
                let to = [centre[0] + 5.0 * cos, centre[1] + 5.0 * sin];
                let met = view.first_across(centre, to, height, |_| true);
                let met = met.unwrap_or_else(|| panic!("leaks at {height} toward {to:?}"));
                let expected = (9.0 - (height - middle).powi(2)).sqrt();
                assert!(
                    (met.share * 5.0 - expected).abs() < 0.08,
                    "{met:?} {expected}"
                );
            }
        }
    }
}
