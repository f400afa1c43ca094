//! The recommended tilt under other limits, against a survey of the case file so edited.

use crate::{answer_to, case_of, read, thinned};
use tiltbench_case::demo::SampleKind;
use tiltbench_case::schema::v1::{CaseFile, UndercutLimit};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::{LaidOver, Problem, Recommendation, SurveyOptions, recommended_of};

/// Degrees. What the same allowance may differ by between two searches.
const SAME_DEG: f64 = 0.05;

fn with_flange(file: &CaseFile, limit_mm: f64) -> CaseFile {
    let mut file = file.clone();
    file.seat_zones[0].undercut_limit_mm = Some(UndercutLimit::Depth(limit_mm));
    file
}

/// The recommended tilts of edited files over the ridge of the first, and that each is what a survey of its own
/// recommends.
fn same_as_fresh(
    kind: SampleKind,
    edit: impl Fn(&CaseFile) -> Vec<CaseFile>,
) -> Vec<Option<Recommendation>> {
    let (file, cast) = thinned(kind);
    let (_, ridge) = read(&file, cast.clone());
    let edited = edit(&file);
    let cases: Vec<_> = edited.iter().map(case_of).collect();
    let laid: Vec<LaidOver<'_>> = cases
        .iter()
        .map(|case| LaidOver {
            ridge: &ridge,
            zones: case.seat_zones().to_vec(),
        })
        .collect();
    let problems: Vec<Problem<'_>> = cases
        .iter()
        .zip(&laid)
        .map(|(case, laid)| Problem {
            copings: case.copings(),
            limits: *case.limits(),
            ridge: Some(laid),
        })
        .collect();
    let found =
        recommended_of(&problems, &SurveyOptions::default(), &Quiet).expect("never cancelled");
    assert_eq!(found.len(), edited.len());
    for (file, found) in edited.iter().zip(&found) {
        let (case, ridge) = read(file, cast.clone());
        let fresh = answer_to(&case, Some(&ridge)).recommended;
        assert_eq!(found.is_some(), fresh.is_some(), "{kind:?}: {found:?}");
        let (Some(found), Some(fresh)) = (found, fresh) else {
            continue;
        };
        assert_eq!(found.tilt, fresh.evaluation.tilt, "{kind:?}");
        let off = (found.allowance_rad - fresh.allowance_rad).to_degrees();
        assert!(off.abs() < SAME_DEG, "{kind:?}: {off}");
    }
    found
}

/// Known from elsewhere: the tighter the flange, the further the posterior goes down. A fifth tighter again and
/// again, none is left; a table that may tilt further is searched further.
#[test]
fn of_two_canines() {
    let found = same_as_fresh(SampleKind::TwoCanines, |file| {
        let mut files: Vec<CaseFile> = [0.8, 1.0, 1.2, 0.1].map(|mm| with_flange(file, mm)).into();
        let mut steep = file.clone();
        steep.limits.tilt_max_deg = Some(20.0);
        files.push(steep);
        files
    });
    let total = |which: usize| found[which].map(|found| found.tilt.total_rad());
    let [tight, as_is, loose] = [0, 1, 2].map(|which| total(which).expect("a tilt"));
    assert!(tight > as_is && as_is > loose, "{tight} {as_is} {loose}");
    assert_eq!(total(3), None);
}

#[test]
fn before_waxing() {
    same_as_fresh(SampleKind::BeforeWaxing, |file| {
        let mut metal = file.clone();
        metal.limits.metal_min_mm = Some(0.4);
        vec![with_flange(file, 0.8), metal]
    });
}
