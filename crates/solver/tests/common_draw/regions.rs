//! The ring of the common draw region.

use crate::build::{angle_deg, assert_near, build_all, cone, leaning, least_draft_by_sampling};
use nalgebra::{UnitVector3, Vector2, Vector3};
use tiltbench_geometry::coping::Coping;
use tiltbench_solver::common_draw::{Region, RegionLimit, common_draw};
use tiltbench_testkit::problems::{Draws, draw_problem};

/// (lambda, alpha) in radians.
fn chart(d: &UnitVector3<f64>) -> Vector2<f64> {
    Vector2::new((-d.x).atan2(d.z), (-d.y).atan2(d.z))
}

/// Solid angle of the ring, by fans of spherical triangles (Van Oosterom and Strackee 1983).
fn solid_angle(region: &Region) -> f64 {
    let ring: Vec<Vector3<f64>> = region
        .points
        .iter()
        .map(|point| point.direction.into_inner())
        .collect();
    (1..ring.len().saturating_sub(1))
        .map(|i| {
            let (a, b, c) = (ring[0], ring[i], ring[i + 1]);
            let volume = a.dot(&b.cross(&c));
            let scale = 1.0 + a.dot(&b) + b.dot(&c) + c.dot(&a);
            2.0 * volume.atan2(scale)
        })
        .sum()
}

fn signed_area(region: &Region) -> f64 {
    let ring: Vec<Vector2<f64>> = region.points.iter().map(|p| chart(&p.direction)).collect();
    (0..ring.len())
        .map(|i| 0.5 * ring[i].perp(&ring[(i + 1) % ring.len()]))
        .sum()
}

/// Derivation: the cap of half-angle 6 has a solid angle of 2 pi (1 - cos 6) = 0.034420 sr.
#[test]
fn the_region_of_a_cone_is_the_cap_about_its_axis() {
    for axis in [leaning(0.0, 0.0), leaning(13.0, 70.0)] {
        let found = common_draw(&[cone(axis, 6.0)], 1.0).unwrap();
        let region = found.region.unwrap();
        assert_near(solid_angle(&region), 0.034_420, 3e-5, "solid angle");
        for point in &region.points {
            assert_near(angle_deg(&point.direction, &axis), 6.0, 1e-7, "radius");
            assert!(!point.corner, "a smooth border");
        }
        assert!(region.points.len() < 200);
    }
}

/// Source: planar lens of two equal circles, share (2/pi)(acos x - x sqrt(1 - x²)), x = D / 2a;
/// figures for half-angle 6 at divergences of 0, 6, 10 and 12 degrees.
#[test]
fn the_shared_region_of_two_cones_shrinks_with_their_divergence() {
    let whole = 0.034_420;
    for (divergence, share) in [(0.0, 1.000), (6.0, 0.391), (10.0, 0.080)] {
        let axes = [
            leaning(0.5 * divergence, 20.0),
            leaning(0.5 * divergence, 200.0),
        ];
        let found = common_draw(&axes.map(|axis| cone(axis, 6.0)), 1.0).unwrap();
        let region = found.region.unwrap();
        assert_near(solid_angle(&region) / whole, share, 0.003, "share");
        let corners = region.points.iter().filter(|point| point.corner).count();
        assert_eq!(corners, if divergence > 0.0 { 2 } else { 0 });
    }
    let axes = [leaning(6.0, 20.0), leaning(6.0, 200.0)];
    let found = common_draw(&axes.map(|axis| cone(axis, 6.0)), 1.0).unwrap();
    assert!(found.exists, "they touch");
    assert_eq!(found.region.unwrap().points.len(), 1);
}

/// Everything a ring promises, against the sampled least draft.
fn check_ring(copings: &[Coping], limit_rad: f64, region: &Region, label: &str) {
    let margin = |d: &UnitVector3<f64>| {
        let mut least = limit_rad - d.x.hypot(d.y).atan2(d.z);
        for coping in copings {
            for (_, wall) in coping.existing_walls() {
                let mut alone = coping.clone();
                for other in &mut alone.walls {
                    if other.as_ref() != Some(wall) {
                        *other = None;
                    }
                }
                let (draft, _) = least_draft_by_sampling(&[alone], d);
                least = least.min(draft - wall.draft_min_rad);
            }
        }
        least
    };
    let ring = &region.points;
    assert!(ring.len() >= 3, "{label}: {} points", ring.len());
    for (i, point) in ring.iter().enumerate() {
        let found = margin(&point.direction);
        assert!(
            found.abs() < 2e-9,
            "{label}: point {i} is off the border by {found}"
        );
        if let RegionLimit::Wall(name) = point.limit {
            assert!(copings[name.coping].wall(name.side).is_some());
        }
    }
    assert!(signed_area(region) > 0.0, "{label}: clockwise");
    // The chords stay within 0.01 degree of the border, and turn left only, at the border's own
    // resolution.
    let reach = 0.01_f64.to_radians();
    for i in 0..ring.len() {
        let (p, q) = (&ring[i].direction, &ring[(i + 1) % ring.len()].direction);
        for part in [0.25, 0.5, 0.75] {
            let spot = chart(p) * (1.0 - part) + chart(q) * part;
            let d = UnitVector3::new_normalize(Vector3::new(-spot.x.tan(), -spot.y.tan(), 1.0));
            let found = margin(&d);
            assert!(
                found.abs() < reach,
                "{label}: chord {i} strays {} degrees",
                found.to_degrees()
            );
        }
    }
}

#[test]
fn every_ring_is_the_border_and_nothing_but_the_border() {
    let (mut rings, mut limits, mut corners) = (0, 0, 0);
    for seed in 20_000..20_150 {
        let problem = draw_problem(seed);
        let mut copings = build_all(&problem);
        let mut draws = Draws::new(seed);
        if draws.unit() < 0.5 {
            for wall in copings
                .iter_mut()
                .flat_map(|coping| coping.walls.iter_mut().flatten())
            {
                wall.draft_min_rad = draws.range(0.0, 3.0).to_radians();
            }
        }
        let limit = problem.tilt_max_deg.to_radians();
        let Some(found) = common_draw(&copings, limit) else {
            continue;
        };
        assert_eq!(found.exists, found.region.is_some());
        let Some(region) = found.region else { continue };
        if region.points.len() < 3 {
            continue;
        }
        rings += 1;
        check_ring(&copings, limit, &region, &format!("seed {seed}"));
        corners += region.points.iter().filter(|point| point.corner).count();
        limits += region
            .points
            .iter()
            .filter(|point| point.limit == RegionLimit::TiltMax)
            .count();
    }
    println!("{rings} rings, {corners} corners, {limits} points on the tilt limit");
    assert!(rings > 40 && limits > 100 && corners > 100);
}

/// Independent membership: a draw is inside the ring iff it meets every limit.
#[test]
fn random_draws_are_inside_the_ring_exactly_when_they_draw() {
    let mut draws = Draws::new(4);
    let (mut inside, mut outside) = (0, 0);
    for seed in 21_000..21_100 {
        let problem = draw_problem(seed);
        let copings = build_all(&problem);
        let limit = problem.tilt_max_deg.to_radians();
        let Some(region) = common_draw(&copings, limit).and_then(|found| found.region) else {
            continue;
        };
        let ring: Vec<Vector2<f64>> = region.points.iter().map(|p| chart(&p.direction)).collect();
        for _ in 0..60 {
            let d = leaning(
                problem.tilt_max_deg * 1.1 * draws.unit().sqrt(),
                draws.range(0.0, 360.0),
            );
            let (draft, _) = least_draft_by_sampling(&copings, &d);
            let margin = draft.min(limit - d.x.hypot(d.y).atan2(d.z));
            if margin.abs() < 0.02_f64.to_radians() {
                continue;
            }
            let at = chart(&d);
            // Even-odd rule.
            let crossed = (0..ring.len())
                .filter(|&i| {
                    let (p, q) = (ring[i], ring[(i + 1) % ring.len()]);
                    (p.y > at.y) != (q.y > at.y)
                        && at.x < p.x + (q.x - p.x) * (at.y - p.y) / (q.y - p.y)
                })
                .count();
            assert_eq!(
                crossed % 2 == 1,
                margin > 0.0,
                "seed {seed}: margin {margin} at {at}"
            );
            if margin > 0.0 {
                inside += 1;
            } else {
                outside += 1;
            }
        }
    }
    assert!(inside > 200 && outside > 500, "{inside} in, {outside} out");
}

/// Required drafts shrink the region and may empty it while the best draft stays.
#[test]
fn a_required_draft_shrinks_the_cap_and_may_empty_it() {
    for (required, radius) in [(2.0, 4.0), (5.5, 0.5)] {
        let mut coping = cone(leaning(3.0, 100.0), 6.0);
        for wall in coping.walls.iter_mut().flatten() {
            wall.draft_min_rad = f64::to_radians(required);
        }
        let found = common_draw(&[coping.clone()], 1.0).unwrap();
        for point in &found.region.unwrap().points {
            assert_near(
                angle_deg(&point.direction, &coping.axis),
                radius,
                1e-7,
                "radius",
            );
        }
    }
    for (required, exists) in [(6.0, true), (6.001, false)] {
        let mut coping = cone(leaning(3.0, 100.0), 6.0);
        for wall in coping.walls.iter_mut().flatten() {
            wall.draft_min_rad = f64::to_radians(required);
        }
        let found = common_draw(&[coping], 1.0).unwrap();
        assert_eq!(found.exists, exists, "required {required}");
        assert_near(found.best_least_draft_rad.to_degrees(), 6.0, 1e-9, "best");
    }
}

/// Tilt limit inside the cap: the region is the whole of what the table may do.
#[test]
fn a_wide_cone_leaves_the_tilt_limit_as_the_border() {
    let found = common_draw(&[cone(leaning(2.0, 5.0), 20.0)], 10_f64.to_radians()).unwrap();
    for point in &found.region.unwrap().points {
        assert_eq!(point.limit, RegionLimit::TiltMax);
        assert_near(
            angle_deg(&point.direction, &Vector3::z_axis()),
            10.0,
            1e-9,
            "tilt",
        );
    }
}

/// Two wide cones a little apart, whose walls' poles nearly coincide: once the places where their circles
/// cross lost so many digits that corners of the ring were missed.
#[test]
fn the_ring_closes_where_poles_nearly_coincide() {
    for step in 0..400 {
        let step = f64::from(step);
        let lean_deg = 3.0 * (0.618 * step).fract();
        let half_angle_deg = 5.0 + 6.0 * (0.414 * step).fract();
        let copings = [
            cone(leaning(lean_deg, 137.5 * step), half_angle_deg),
            cone(leaning(lean_deg, 137.5 * step + 180.0), half_angle_deg),
        ];
        let found = common_draw(&copings, 15f64.to_radians()).unwrap();
        let region = found.region.unwrap();
        // Every corner is allowed, and lies on what limits it: the least draft there is 0.
        for point in &region.points {
            let (least, _) = least_draft_by_sampling(&copings, &point.direction);
            assert!(least > -1e-6, "{step}: {least}");
        }
    }
}
