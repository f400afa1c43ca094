//! The survey line of solids whose contour is known.

use crate::build::{assert_near, assert_share, built, leaning, mesh, up};
use std::f64::consts::TAU;
use tiltbench_geometry::Point3;
use tiltbench_geometry::undercut::Ridge;
use tiltbench_testkit::solids::{self, Solid};

fn lines(solid: Solid, d: &tiltbench_geometry::UnitVector3<f64>) -> Vec<Vec<Point3<f64>>> {
    built(Ridge::new(mesh(solid), &[], &[])).survey_line(d)
}

fn length(line: &[Point3<f64>]) -> f64 {
    line.windows(2).map(|w| (w[1] - w[0]).norm()).sum()
}

fn is_closed(line: &[Point3<f64>]) -> bool {
    line.first() == line.last()
}

#[test]
fn sphere_has_one_loop_around_its_equator_across_the_draw() {
    let r = 3.0;
    let mut errors = Vec::new();
    for steps in [20, 40, 80] {
        let mut worst = 0.0_f64;
        for d in [up(), leaning(13.0, 77.0), leaning(31.0, 200.0)] {
            let found = lines(solids::sphere(r, r, steps), &d);
            assert_eq!(found.len(), 1, "{} lines", found.len());
            assert!(is_closed(&found[0]));
            worst = worst.max((length(&found[0]) / (TAU * r) - 1.0).abs());
            for p in &found[0] {
                let off = (p - Point3::new(0.0, 0.0, r)).dot(&d).abs();
                assert!(off < 0.02, "{p} is {off} off the equator");
            }
        }
        errors.push(worst);
    }
    assert!(errors[2] < 0.002, "{errors:?}");
    assert!(errors[2] < errors[0] / 8.0, "second order: {errors:?}");
}

#[test]
fn torus_has_an_outer_and_an_inner_loop() {
    let found = lines(solids::torus(5.0, 1.0, 40, 200), &up());
    let mut lengths: Vec<f64> = found.iter().map(|l| length(l)).collect();
    lengths.sort_by(f64::total_cmp);
    assert_eq!(lengths.len(), 2);
    assert_share("inner", lengths[0], TAU * 4.0, 0.002);
    assert_share("outer", lengths[1], TAU * 6.0, 0.002);
}

#[test]
fn sharp_rim_is_followed_along_its_edge() {
    let (cap, stem, height) = (4.0, 2.0, 5.0);
    // Along z the rim of the cap is parallel, so only its lower edge turns away.
    let found = lines(solids::mushroom(cap, stem, height, 8.0, 120, 0.4), &up());
    assert_eq!(found.len(), 1);
    assert!(is_closed(&found[0]));
    assert_share("rim", length(&found[0]), TAU * cap, 0.001);
    assert!(found[0].iter().all(|p| (p.z - height).abs() < 1e-12));
    // A frustum that widens upward turns away at its top edge.
    let solid = solids::reverse_frustum(3.5, 4.0, 0.1, 6.0, 120, 0.4);
    let found = lines(solid, &up());
    assert_eq!(found.len(), 1);
    assert_share("top edge", length(&found[0]), TAU * 3.5, 0.001);
}

#[test]
fn parts_hidden_along_the_draw_are_left_out() {
    // A ball under a roof that covers its half x > 0.
    let ball = solids::sphere(3.0, 3.0, 60);
    let roof = solids::extrude(&[[9.0, 8.0], [0.0, 8.0]], 20.0, 20);
    let found = lines(ball.with(&roof), &up());
    // Half of the equator is left; the roof's own border carries no line.
    let total: f64 = found.iter().map(|l| length(l)).sum();
    assert_near("half an equator", total, 0.5 * TAU * 3.0, 0.2);
    assert!(found.iter().flatten().all(|p| p.x < 0.2));
}
