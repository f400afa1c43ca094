//! No leak: nothing passes between facets that share an edge or a vertex.

use super::*;
use crate::mesh::Mesh;
use crate::undercut::surface::Surface;
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
fn places(view: &Sight<'_>) -> Vec<Plan> {
    let mut places = Vec::new();
    for edge in &view.surface.edges {
        let [a, b] = edge.ends.map(|v| view.point(v));
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
    let tree = Tree::new(&ball);
    for up in [Vector3::z(), Vector3::new(0.3, -0.2, 0.9), Vector3::x()] {
        let view = Sight::new(&ball, &tree, Axes::along(up / up.norm()));
        let (centre, middle) = view.see_point(&Point3::new(0.0, 0.0, 3.0));
        let mut inside = 0;
        for x in places(&view) {
            // Within the shortest chord's distance the ball has an inside on every line.
            if (x[0] - centre[0]).hypot(x[1] - centre[1]) > 2.97 {
                continue;
            }
            inside += 1;
            assert!(view.covered(x, middle, None), "{x:?} leaks upward");
            assert!(
                view.next_above(x, middle, u32::MAX)
                    .is_some_and(|(_, h)| h > middle)
            );
            let below = view.next_below(x, middle, u32::MAX);
            assert!(below < middle && below.is_finite(), "{x:?} leaks downward");
        }
        assert!(inside > 7000, "{inside}");
        assert!(!view.covered([centre[0] + 3.01, centre[1]], middle, None));
    }
}
