//! Negative best draws against brute force.

use crate::build::{build_all, least_draft_by_sampling, unit};
use nalgebra::{UnitVector3, Vector3};
use tiltbench_geometry::coping::Coping;
use tiltbench_solver::common_draw::common_draw;
use tiltbench_testkit::problems::draw_problem;

/// The best draw within the cap by a grid, refined around its best nodes. The least draft is
/// 1-Lipschitz in the angle of the draw, so every node within the grid's reach of the best is kept.
fn brute_force(copings: &[Coping], limit_rad: f64) -> f64 {
    let value = |d: &UnitVector3<f64>| least_draft_by_sampling(copings, d).0;
    let at = |x: f64, y: f64| {
        // Equidistant chart: neighbours in it are no farther apart on the sphere.
        let total = x.hypot(y).min(limit_rad);
        let (sin, cos) = total.sin_cos();
        let way = if x.hypot(y) > 0.0 {
            (x / x.hypot(y), y / x.hypot(y))
        } else {
            (1.0, 0.0)
        };
        unit(sin * way.0, sin * way.1, cos)
    };
    let mut step = limit_rad / 8.0;
    let mut cells = vec![(0.0, 0.0, f64::INFINITY)];
    for i in -9..=9 {
        for j in -9..=9 {
            let (x, y) = (f64::from(i) * step, f64::from(j) * step);
            if x.hypot(y) <= limit_rad + step {
                cells.push((x, y, f64::INFINITY));
            }
        }
    }
    let mut best = f64::NEG_INFINITY;
    while step > 1e-7 {
        let mut found: Vec<(f64, f64, f64)> = cells
            .iter()
            .map(|&(x, y, _)| (x, y, value(&at(x, y))))
            .collect();
        best = found.iter().map(|cell| cell.2).fold(best, f64::max);
        // Nothing in a cell beats its node by more than half its diagonal.
        found.retain(|cell| cell.2 >= best - step * 0.75);
        found.sort_by(|a, b| b.2.total_cmp(&a.2));
        // On flat tops that is a great many; there the best ones do.
        found.truncate(40);
        step /= 2.0;
        cells = found
            .iter()
            .flat_map(|&(x, y, _)| {
                [
                    (-0.5, -0.5),
                    (-0.5, 0.5),
                    (0.5, -0.5),
                    (0.5, 0.5),
                    (0.0, 0.0),
                ]
                .map(|(i, j)| (x + i * step, y + j * step, 0.0))
            })
            .collect();
    }
    best
}

#[test]
fn the_best_of_no_draws_is_the_one_brute_force_finds() {
    let mut compared = 0;
    let mut seed = 5000;
    while compared < 12 {
        seed += 1;
        let problem = draw_problem(seed);
        if problem.copings.len() > 4 {
            continue;
        }
        let copings = build_all(&problem);
        let limit = problem.tilt_max_deg.to_radians();
        let Some(found) = common_draw(&copings, limit) else {
            continue;
        };
        if found.best_least_draft_rad >= 0.0 {
            continue;
        }
        compared += 1;
        let brute = brute_force(&copings, limit);
        assert!(
            brute <= found.best_least_draft_rad + found.bound_rad + 1e-12,
            "seed {seed}: brute force finds {brute}, above {} + {}",
            found.best_least_draft_rad,
            found.bound_rad
        );
        assert!(
            found.best_least_draft_rad - brute < 1e-5,
            "seed {seed}: brute force only finds {brute} of {}",
            found.best_least_draft_rad
        );
        assert!(found.bound_rad < 1e-9, "seed {seed}: {}", found.bound_rad);
    }
}

/// A table of extremes: axes far apart, strongly undercut walls, a wide limit. The least draft is
/// far from quasi-concave here.
#[test]
fn strongly_undercut_walls_are_still_solved_globally() {
    use crate::build::cone;
    use tiltbench_testkit::problems::Draws;
    let mut draws = Draws::new(77);
    for case in 0..6 {
        let copings: Vec<Coping> = (0..3)
            .map(|_| {
                let axis = unit(draws.range(-1.2, 1.2), draws.range(-1.2, 1.2), 1.0);
                cone(axis, draws.range(-40.0, 5.0))
            })
            .collect();
        let limit = draws.range(40.0, 80.0).to_radians();
        let found = common_draw(&copings, limit).unwrap();
        let brute = brute_force(&copings, limit);
        assert!(
            brute <= found.best_least_draft_rad + found.bound_rad + 1e-12,
            "case {case}: brute force finds {brute}, above {}",
            found.best_least_draft_rad
        );
        assert!(
            found.best_least_draft_rad - brute < 1e-5,
            "case {case}: brute force only finds {brute} of {}",
            found.best_least_draft_rad
        );
        assert!(found.best_least_draft_rad < 0.0);
        let upright = common_draw(&copings, 0.0).unwrap();
        let flat = least_draft_by_sampling(&copings, &Vector3::z()).0;
        assert!((upright.best_least_draft_rad - flat).abs() < 1e-10);
    }
}
