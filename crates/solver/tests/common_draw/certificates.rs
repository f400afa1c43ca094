//! Certificates checked by themselves: nothing but normals, weights and arithmetic.
#![expect(clippy::unwrap_used, reason = "test helpers fail loudly")]

use crate::build::{build_all, least_draft_by_sampling, normal_at};
use nalgebra::Vector3;
use tiltbench_geometry::coping::Coping;
use tiltbench_solver::common_draw::{CertificateKind, CommonDraw, common_draw};
use tiltbench_testkit::problems::draw_problem;

/// The weighted sum of normals that really belong to the walls, weights above 0 with sum 1.
fn weighted_sum(copings: &[Coping], found: &CommonDraw) -> Vector3<f64> {
    let terms = &found.certificate.terms;
    assert!(!terms.is_empty() && terms.len() <= 4);
    let mut total = 0.0;
    let mut x = Vector3::zeros();
    for term in terms {
        let coping = &copings[term.wall.coping];
        let wall = coping.wall(term.wall.side).unwrap();
        let off = term.azimuth_rad - term.wall.side.azimuth_rad();
        assert!(off.abs() <= wall.half_sector_rad + 1e-12);
        let own = normal_at(coping, wall, term.azimuth_rad);
        assert!((own - term.normal.as_ref()).norm() < 1e-14);
        assert!(term.weight > 0.0);
        total += term.weight;
        x += own * term.weight;
    }
    assert!((total - 1.0).abs() < 1e-12, "weights sum to {total}");
    assert!((x - found.certificate.weighted_normal()).norm() < 1e-14);
    x
}

/// `x + mu c = sin(best) d`.
fn assert_balanced(found: &CommonDraw, x: Vector3<f64>, label: &str) {
    let certificate = &found.certificate;
    assert!(certificate.residual < 1e-9, "{label}: {certificate:?}");
    let d = found.direction.as_ref();
    let inward = (Vector3::z() - d * d.z).try_normalize(1e-9);
    let pull = inward.map_or_else(Vector3::zeros, |c| c * certificate.tilt_limit_weight);
    let identity = x + pull - d * found.best_least_draft_rad.sin();
    assert!(identity.norm() < 1e-9, "{label}: {}", identity.norm());
    assert!(certificate.tilt_limit_weight >= 0.0);
    assert!(found.at_tilt_limit || certificate.tilt_limit_weight < 1e-12);
}

#[test]
fn every_certificate_proves_what_it_says() {
    let (mut optimal, mut none, mut beyond, mut limited) = (0, 0, 0, 0);
    for seed in 10_000..11_000 {
        let label = format!("seed {seed}");
        let problem = draw_problem(seed);
        let copings = build_all(&problem);
        let limit = problem.tilt_max_deg.to_radians();
        let Some(found) = common_draw(&copings, limit) else {
            continue;
        };
        let x = weighted_sum(&copings, &found);
        let best = found.best_least_draft_rad;
        let proved = found.certificate.upper_bound(limit);
        assert!(!found.limiting.is_empty());
        match found.certificate.kind {
            CertificateKind::NoDrawAnywhere => {
                none += 1;
                assert!(best < 0.0 && !found.exists, "{label}");
                // The axes of these problems stand up: the normals alone prove it.
                assert!(x.norm() < 1e-9, "{label}: |sum w n| = {}", x.norm());
                assert!(found.certificate.up_weight <= 0.0);
                assert!(found.certificate.residual < 1e-9);
            }
            CertificateKind::Optimal => {
                optimal += 1;
                limited += i32::from(found.certificate.tilt_limit_weight > 0.0);
                assert!(best >= -1e-8, "{label}");
                assert!((proved - best).abs() < 1e-9, "{label}: {proved} of {best}");
                assert_balanced(&found, x, &label);
            }
            CertificateKind::OnlyBeyondTiltLimit {
                direction,
                least_draft_rad,
            } => {
                beyond += 1;
                assert!(best < 0.0 && !found.exists && least_draft_rad >= -1e-7);
                let (other, _) = least_draft_by_sampling(&copings, &direction);
                assert!((other - least_draft_rad).abs() < 1e-9);
                let tilt = direction.x.hypot(direction.y).atan2(direction.z);
                assert!(tilt > limit && direction.z > 0.0, "{label}");
                // Nothing within the limit draws.
                assert!(proved < 0.0, "{label}");
                assert_balanced(&found, x, &label);
            }
        }
    }
    println!("{optimal} optimal ({limited} on the limit), {none} none, {beyond} beyond");
    assert!(optimal > 300 && limited > 100 && none > 50 && beyond > 50);
}
