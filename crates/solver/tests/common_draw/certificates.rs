//! Certificates checked by themselves: nothing but normals, weights and arithmetic.

use crate::build::{build_all, normal_at};
use nalgebra::Vector3;
use tiltbench_solver::common_draw::{CertificateKind, common_draw};
use tiltbench_testkit::problems::draw_problem;

#[test]
fn every_certificate_proves_what_it_says() {
    let (mut optimal, mut none, mut beyond, mut limited) = (0, 0, 0, 0);
    for seed in 10_000..11_000 {
        let problem = draw_problem(seed);
        let copings = build_all(&problem);
        let limit = problem.tilt_max_deg.to_radians();
        let Some(found) = common_draw(&copings, limit) else {
            continue;
        };
        let certificate = &found.certificate;
        assert!(!certificate.terms.is_empty() && certificate.terms.len() <= 4);
        let mut total = 0.0;
        let mut x = Vector3::zeros();
        for term in &certificate.terms {
            let coping = &copings[term.wall.coping];
            let wall = coping.wall(term.wall.side).unwrap();
            // The normal really belongs to the wall.
            let off = term.azimuth_rad - term.wall.side.azimuth_rad();
            assert!(off.abs() <= wall.half_sector_rad + 1e-12, "seed {seed}");
            let own = normal_at(coping, wall, term.azimuth_rad);
            assert!((own - term.normal.as_ref()).norm() < 1e-14);
            assert!(term.weight > 0.0);
            total += term.weight;
            x += own * term.weight;
        }
        assert!((total - 1.0).abs() < 1e-12, "seed {seed}: weights {total}");
        assert!((x - certificate.weighted_normal()).norm() < 1e-14);
        let best = found.best_least_draft_rad;
        match certificate.kind {
            CertificateKind::NoDrawAnywhere => {
                none += 1;
                assert!(best < 0.0);
                // The axes of these problems stand up: the normals alone prove it.
                assert!(x.norm() < 1e-9, "seed {seed}: |sum w n| = {}", x.norm());
                assert!(certificate.up_weight <= 0.0);
                assert!(certificate.residual < 1e-9);
            }
            CertificateKind::Optimal => {
                optimal += 1;
                limited += i32::from(certificate.tilt_limit_weight > 0.0);
                assert!(
                    (certificate.upper_bound(limit) - best).abs() < 1e-9,
                    "seed {seed}: proves {} of {best}",
                    certificate.upper_bound(limit)
                );
            }
            CertificateKind::OnlyBeyondTiltLimit {
                direction,
                least_draft_rad,
            } => {
                beyond += 1;
                assert!(best < 0.0 && !found.exists && least_draft_rad >= -1e-7);
                let (other, _) = crate::build::least_draft_by_sampling(&copings, &direction);
                assert!((other - least_draft_rad).abs() < 1e-9);
                let tilt = direction.x.hypot(direction.y).atan2(direction.z);
                assert!(tilt > limit, "seed {seed}");
                // Nothing within the limit draws.
                assert!(certificate.upper_bound(limit) < 0.0, "seed {seed}");
            }
        }
        if certificate.kind != CertificateKind::NoDrawAnywhere {
            assert!(
                certificate.residual < 1e-9,
                "seed {seed}: {}",
                certificate.residual
            );
            let d = found.direction.as_ref();
            let inward = (Vector3::z() - d * d.z).try_normalize(1e-9);
            let pull = inward.map_or_else(Vector3::zeros, |c| c * certificate.tilt_limit_weight);
            let identity = x + pull - d * best.sin();
            assert!(identity.norm() < 1e-8, "seed {seed}: {}", identity.norm());
            assert!(certificate.tilt_limit_weight >= 0.0);
            assert!(found.at_tilt_limit || certificate.tilt_limit_weight < 1e-12);
        }
        assert!(!found.limiting.is_empty());
    }
    println!("{optimal} optimal ({limited} on the limit), {none} none, {beyond} beyond");
    assert!(optimal > 300 && limited > 100 && none > 50 && beyond > 50);
}
