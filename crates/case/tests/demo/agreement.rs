//! The scans against the numbers of their cases, read off the triangles alone.

use nalgebra::{Matrix2, Vector2};
use std::path::Path;
use tiltbench_case::Case;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_geometry::coping::{Coping, Side};
use tiltbench_geometry::frame::{Arch, PatientSide};
use tiltbench_geometry::mesh::Mesh;

fn case_of(kind: SampleKind) -> Case {
    Case::new(&kind.case(), Path::new("")).unwrap()
}

/// A wall as its patch on the scan has it.
#[derive(Debug)]
struct Fit {
    taper_deg: f64,
    /// Standard error that noise of 10 micrometres gives the taper.
    error_deg: f64,
    vertices: usize,
}

/// The taper of a wall's patch on the scan.
///
/// Each vertex near the wall is a point of one tangent plane of the wall: the one whose line at
/// the margin leaves the vertex farthest outside. How far it stands inside that line, against its
/// height, is fitted by least squares; the slope is the tangent of the taper.
fn fitted_taper(mesh: &Mesh, coping: &Coping, side: Side) -> Fit {
    let half = (
        0.5 * coping.width_mesiodistal_mm,
        0.5 * coping.width_labiolingual_mm,
    );
    let (mut normal, mut right, mut count) = (Matrix2::zeros(), Vector2::zeros(), 0);
    for p in &mesh.vertices {
        let offset = p - coping.margin_centre;
        let w = offset.dot(&coping.axis);
        // Clear of the fillets at the gum line and at the occlusal edge, and of the top.
        if !(0.7..coping.height_mm - 0.9).contains(&w) || offset.norm() > 8.0 {
            continue;
        }
        let (u, v) = (offset.dot(&coping.mesial), offset.dot(&coping.labial));
        let inside = |phi: f64| {
            let (sin, cos) = phi.sin_cos();
            (half.0 * cos).hypot(half.1 * sin) - u * cos - v * sin
        };
        // Half-degree steps over the wall's sector and a little beyond.
        let (turn, least) = (-100..=100_i32)
            .map(|i| {
                (
                    i,
                    inside(side.azimuth_rad() + f64::from(i) * 0.5_f64.to_radians()),
                )
            })
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap();
        // 22 degrees: toward its borders a wall is cut short by a neighbour that tapers more.
        if turn.abs() <= 44 && least.abs() < 1.2 {
            let row = Vector2::new(1.0, w);
            normal += row * row.transpose();
            right += row * least;
            count += 1;
        }
    }
    let inverse = normal.try_inverse().unwrap();
    Fit {
        taper_deg: (inverse * right).y.atan().to_degrees(),
        error_deg: (0.010 * inverse[(1, 1)].sqrt()).to_degrees(),
        vertices: count,
    }
}

#[test]
fn walls_on_the_scan_have_the_tapers_of_the_case() {
    let (mut sum, mut weights) = (0.0, 0.0_f64);
    for kind in [
        SampleKind::TwoCanines,
        SampleKind::ThreeNoCommonDraw,
        SampleKind::BeforeWaxing,
    ] {
        let demo = sample(kind, 60_000);
        let mesh = demo.mesh.unwrap();
        let case = Case::new(&demo.case, Path::new("")).unwrap();
        for coping in case.copings() {
            for (side, wall) in coping.existing_walls() {
                let fit = fitted_taper(&mesh, coping, side);
                let name = format!("{kind:?} {} {side:?}: {fit:?}", coping.id);
                assert!(fit.vertices >= 5, "{name}");
                let off = fit.taper_deg - wall.taper_rad.to_degrees();
                // Four standard errors of the scanner's noise, and 0.05 for the surface itself.
                assert!(off.abs() < 0.05 + 4.0 * fit.error_deg, "{name}");
                assert!(off.abs() < 0.3 || fit.error_deg > 0.1, "{name}");
                let weight = fit.error_deg.powi(-2);
                sum += weight * off;
                weights += weight;
            }
        }
    }
    // The noise averages out over the walls; a surface that is off by a little does not.
    let (mean, error) = (sum / weights, weights.powf(-0.5));
    assert!(
        error < 0.03 && mean.abs() < 0.02 + 4.0 * error,
        "{mean} ± {error}"
    );
}

#[test]
fn copings_stand_where_teeth_stand() {
    for kind in SampleKind::ALL {
        let case = case_of(kind);
        for coping in case.copings() {
            let right = matches!(coping.tooth.as_bytes()[0], b'1' | b'4');
            let lower = matches!(coping.tooth.as_bytes()[0], b'3' | b'4');
            assert_eq!(
                lower,
                case.arch() == Arch::Mandibular,
                "{kind:?} {}",
                coping.id
            );
            let plus_x_is_right = case.arch().side_of_plus_x() == PatientSide::Right;
            assert_eq!(
                coping.margin_centre.x > 0.0,
                right == plus_x_is_right,
                "{kind:?} {}",
                coping.id
            );
            // Labial points away from the middle of the arch, mesial toward the midline.
            let at = coping.margin_centre;
            assert!(coping.labial.x * at.x + coping.labial.y * (at.y + 10.0) > 0.0);
            assert!(coping.mesial.x * at.x < 0.0, "{kind:?} {}", coping.id);
        }
    }
}

#[test]
fn canines_are_as_far_apart_as_canines_are() {
    for (kind, teeth, range) in [
        (SampleKind::TwoCanines, ["43", "33"], 25.0..26.0),
        (SampleKind::UpperCompromise, ["13", "23"], 33.0..35.0),
    ] {
        let case = case_of(kind);
        let [a, b] = teeth.map(|tooth| {
            let coping = case.copings().iter().find(|c| c.tooth == tooth).unwrap();
            coping.margin_centre
        });
        assert!(
            range.contains(&(a - b).norm()),
            "{kind:?}: {}",
            (a - b).norm()
        );
    }
}

/// The planned shape shows in the scan: along the midline of the labial zone the ridge recedes
/// below its bulge and comes out again, so the surface is no height field.
#[test]
fn the_labial_ridge_overhangs() {
    for kind in [SampleKind::TwoCanines, SampleKind::UpperCompromise] {
        let mesh = sample(kind, 12_000).mesh.unwrap();
        // Greatest y of the scan in slices of height beside the frenum, x in 4..6.
        let front = |z: f64| {
            mesh.vertices
                .iter()
                .filter(|p| (4.0..7.0).contains(&p.x) && (p.z - z).abs() < 0.35)
                .filter(|p| p.y > 10.0 && p.y < 31.0)
                .map(|p| p.y)
                .fold(f64::NEG_INFINITY, f64::max)
        };
        let bulge = front(-5.0).max(front(-5.5));
        let waist = front(-8.8);
        assert!(bulge - waist > 0.5, "{kind:?}: {bulge:.2} over {waist:.2}");
        assert!(bulge - waist < 3.0, "{kind:?}: {bulge:.2} over {waist:.2}");
    }
}

#[test]
fn every_sample_is_a_case_without_warnings() {
    for kind in SampleKind::ALL {
        let case = case_of(kind);
        assert!(!kind.description().is_empty());
        for remark in case.remarks() {
            let text = remark.to_string();
            // What the file leaves to custom, and that it keeps its prepared roots, is said of each.
            let is_known = text.contains("left to custom") || text.contains("(keep_stump)");
            assert!(is_known, "{kind:?}: {text}");
        }
    }
}
