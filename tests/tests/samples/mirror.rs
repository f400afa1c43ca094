//! A case seen in a mirror has the answer seen in the mirror.

use crate::{answer_to, read, thinned};
use tiltbench_case::demo::SampleKind;
use tiltbench_case::schema::v1::CaseFile;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::control::Quiet;
use tiltbench_solver::evaluation::evaluate;
use tiltbench_solver::{AlternativeName, Survey, check};
use tiltbench_tests::problem_of;

/// The tooth on the other side: quadrants 1 and 2, and 3 and 4, change places.
fn other_side(tooth: &str) -> String {
    let quadrant = match &tooth[..1] {
        "1" => "2",
        "2" => "1",
        "3" => "4",
        "4" => "3",
        other => panic!("quadrant {other}"),
    };
    format!("{quadrant}{}", &tooth[1..])
}

fn mirrored(file: &CaseFile, cast: &Mesh) -> (CaseFile, Mesh) {
    let mut file = file.clone();
    for zone in &mut file.seat_zones {
        for point in &mut zone.outline {
            point[0] = -point[0];
        }
    }
    for coping in &mut file.copings {
        coping.tooth = other_side(&coping.tooth);
        let directions = [
            &mut coping.axis,
            &mut coping.mesial,
            &mut coping.margin_centre,
        ];
        let given = [&mut coping.labial, &mut coping.canal_axis]
            .into_iter()
            .flatten();
        for vector in directions.into_iter().chain(given) {
            vector[0] = -vector[0];
        }
    }
    let mut cast = cast.clone();
    for vertex in &mut cast.vertices {
        vertex.x = -vertex.x;
    }
    for triangle in &mut cast.triangles {
        triangle.swap(1, 2);
    }
    (file, cast)
}

fn mirror_image(d: &UnitVector3<f64>) -> Tilt {
    let tilt = Tilt::from_direction(d).expect("within the table's reach");
    Tilt::new(tilt.anterior_rad(), -tilt.lateral_rad()).expect("within the table's reach")
}

fn is_mirrored(kind: SampleKind) {
    let (file, cast) = thinned(kind);
    let (other_file, other_cast) = mirrored(&file, &cast);
    let (case, ridge) = read(&file, cast);
    let (other_case, other_ridge) = read(&other_file, other_cast);
    let answer = answer_to(&case, Some(&ridge));
    let other = answer_to(&other_case, Some(&other_ridge));

    let most_forgiving = |survey: &Survey| {
        let most = survey.alternative(AlternativeName::MostForgiving);
        most.expect("a tilt is acceptable").clone()
    };
    let total = |survey: &Survey| {
        let best = survey.recommended.as_ref().expect("a tilt is acceptable");
        best.evaluation.tilt.total_rad()
    };
    // In whole degrees the image is as easily set.
    assert!((total(&answer) - total(&other)).abs() < 1e-9, "{kind:?}");
    let (best, other_best) = (most_forgiving(&answer), most_forgiving(&other));
    let lateral = best.evaluation.tilt.lateral_rad().to_degrees();
    assert!(lateral.abs() > 0.1, "{kind:?}: {lateral} shows no mirror");
    // Ties go to the flatter tilt, and each search ends within a tolerance of its own.
    let off = (best.allowance_rad - other_best.allowance_rad).to_degrees();
    assert!(off.abs() < 0.06, "{kind:?}: allowances differ by {off}");
    let image = mirror_image(&best.evaluation.direction);
    let cosine = image.direction().dot(&other_best.evaluation.direction);
    let apart = cosine.min(1.0).acos().to_degrees();
    assert!(
        apart < 0.2,
        "{kind:?}: {:?} and {:?}",
        best.evaluation.tilt,
        other_best.evaluation.tilt
    );
    // The allowance of the very image of the tilt knows no ties.
    let other_problem = problem_of(&other_case, Some(&other_ridge));
    let (_, there) = check(other_problem, image, &Quiet).expect("never cancelled");
    let off = (best.allowance_rad - there).to_degrees();
    assert!(off.abs() < 0.02, "{kind:?}: allowances differ by {off}");
    let names = |survey: &[tiltbench_solver::survey::Alternative]| {
        survey
            .iter()
            .map(|a| (a.name, a.evaluation.acceptable))
            .collect::<Vec<_>>()
    };
    assert_eq!(names(&answer.alternatives), names(&other.alternatives));

    // At the very image of the tilt every figure is the same but for rounding, and for facets that
    // are cut into samples from another corner.
    let there = evaluate(&other_problem, image);
    for (one, two) in best.evaluation.walls.iter().zip(&there.walls) {
        assert_eq!((one.side, one.guides), (two.side, two.guides));
        assert!((one.draft.least_rad - two.draft.least_rad).abs() < 1e-12);
        assert!((one.draft.centre_rad - two.draft.centre_rad).abs() < 1e-12);
    }
    assert_eq!(best.evaluation.walls.len(), there.walls.len());
    for (one, two) in best.evaluation.zones.iter().zip(&there.zones) {
        assert!((one.area_mm2 - two.area_mm2).abs() < 1e-6 * one.area_mm2);
        let off = (one.undercut_depth_mm - two.undercut_depth_mm).abs();
        assert!(off < 0.01, "{kind:?}: {one:?} {two:?}");
        let off = (one.undercut_area_mm2 - two.undercut_area_mm2).abs();
        assert!(off < 2e-3 * one.area_mm2, "{kind:?}: {one:?} {two:?}");
    }
    for (one, two) in best.evaluation.limits.iter().zip(&there.limits) {
        assert_eq!(
            (one.limit.kind, one.limit.place),
            (two.limit.kind, two.limit.place)
        );
    }
}

#[test]
fn two_canines_are_mirrored() {
    is_mirrored(SampleKind::TwoCanines);
}

#[test]
fn the_upper_compromise_is_mirrored() {
    is_mirrored(SampleKind::UpperCompromise);
}
