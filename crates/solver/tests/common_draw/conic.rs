//! A thousand seeded problems against an independent conic solver.
//!
//! `max t` subject to `n_i . d >= t`, `|d| <= 1`, `|d_xy| <= tan(limit) d_z`. Where the best draft is
//! positive this is the common draw; where it is not, the answer is `d = 0`.
#![expect(clippy::expect_used, reason = "test helpers fail loudly")]

use crate::build::{angle_deg, build_all, sampled_normals, worst_by_sampling};
use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, NonnegativeConeT, SecondOrderConeT,
    SupportedConeT,
};
use nalgebra::{UnitVector3, Vector3};
use tiltbench_geometry::coping::Coping;
use tiltbench_solver::common_draw::common_draw;
use tiltbench_testkit::problems::draw_problem;

fn conic_best(normals: &[Vector3<f64>], tan_limit: f64) -> (f64, Vector3<f64>) {
    // x = (d, t); A x + s = b, s in the cones.
    let rows = normals.len();
    let mut a = vec![vec![0.0; 4]; rows + 7];
    let mut b = vec![0.0; rows + 7];
    for (row, n) in normals.iter().enumerate() {
        for k in 0..3 {
            a[row][k] = -n[k];
        }
        a[row][3] = 1.0;
    }
    b[rows] = 1.0;
    for k in 0..3 {
        a[rows + 1 + k][k] = -1.0;
    }
    a[rows + 4][2] = -tan_limit;
    a[rows + 5][0] = -1.0;
    a[rows + 6][1] = -1.0;
    let cones: [SupportedConeT<f64>; 3] = [
        NonnegativeConeT(rows),
        SecondOrderConeT(4),
        SecondOrderConeT(3),
    ];
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .tol_gap_abs(1e-10)
        .tol_gap_rel(1e-10)
        .tol_feas(1e-10)
        .build()
        .expect("settings");
    let mut solver = DefaultSolver::new(
        &CscMatrix::zeros((4, 4)),
        &[0.0, 0.0, 0.0, -1.0],
        &CscMatrix::from(&a),
        &b,
        &cones,
        settings,
    )
    .expect("a well-formed problem");
    solver.solve();
    let x = &solver.solution.x;
    (x[3], Vector3::new(x[0], x[1], x[2]))
}

/// The continuum, by feeding the conic solver the worst normal of every wall at its own answers.
fn conic_best_of_arcs(copings: &[Coping], limit_rad: f64) -> (f64, Vector3<f64>) {
    let mut normals = sampled_normals(copings, 15.0);
    let mut best = (0.0, Vector3::zeros());
    for _ in 0..12 {
        best = conic_best(&normals, limit_rad.tan());
        let (t, d) = best;
        if t <= 1e-7 {
            break;
        }
        let mut missed: f64 = 0.0;
        for coping in copings {
            for (side, wall) in coping.existing_walls() {
                let (_, n) = worst_by_sampling(coping, side.azimuth_rad(), wall, &d);
                missed = missed.max(t - n.dot(&d));
                if n.dot(&d) < t - 1e-9 {
                    normals.push(n);
                }
            }
        }
        // A millionth of the least angle that is compared.
        if missed < 1e-7 {
            break;
        }
    }
    best
}

#[test]
fn a_thousand_best_draws_agree_with_a_conic_solver() {
    let (mut positive, mut limited, mut negative) = (0, 0, 0);
    for seed in 0..1000 {
        let problem = draw_problem(seed);
        let copings = build_all(&problem);
        let limit = problem.tilt_max_deg.to_radians();
        let Some(found) = common_draw(&copings, limit) else {
            continue;
        };
        let best_deg = found.best_least_draft_rad.to_degrees();
        let (t, d) = conic_best_of_arcs(&copings, limit);
        let conic_deg = t.clamp(0.0, 1.0).asin().to_degrees();
        assert!(
            (best_deg.max(0.0) - conic_deg).abs() < 1e-3,
            "seed {seed}: best draft {best_deg}, conic {conic_deg}"
        );
        if best_deg > 0.5 {
            let other = UnitVector3::new_normalize(d);
            let apart = angle_deg(&found.direction, &other);
            assert!(apart < 0.05, "seed {seed}: draws {apart} degrees apart");
        }
        let total = angle_deg(&found.direction, &Vector3::z_axis());
        assert!(
            total <= problem.tilt_max_deg + 1e-9,
            "seed {seed}: tilt {total}"
        );
        if best_deg < 0.0 {
            negative += 1;
        } else {
            positive += 1;
            limited += i32::from(found.at_tilt_limit);
        }
    }
    println!("{positive} positive, {limited} of them at the tilt limit, {negative} negative");
    assert!(
        positive > 300 && limited > 100 && negative > 200,
        "{positive} positive, {limited} of them limited, {negative} negative"
    );
}
