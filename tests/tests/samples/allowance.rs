//! The setting allowance; that the most forgiving tilt has the largest one, and that the recommended one is
//! the least that a hand can set for what it leaves.

use crate::brute::Brute;
use crate::{answer_to, read, thinned};
use tiltbench_case::demo::SampleKind;
use tiltbench_solver::AlternativeName;

/// Degrees. What an allowance may be off by.
const OFF_DEG: f64 = 0.1;

/// Degrees. Allowances nearer than this are a tie, which the flatter tilt wins.
const TIE_DEG: f64 = 0.05;

fn agrees_with_brute_force(kind: SampleKind) {
    let (file, cast) = thinned(kind);
    let (case, ridge) = read(&file, cast);
    let answer = answer_to(&case, Some(&ridge));
    let brute = Brute::search(&case, &ridge);
    let Some(best) = &answer.recommended else {
        assert!(
            !brute.finds_any(),
            "{kind:?}: a tilt is acceptable after all"
        );
        return;
    };
    let reported = best.allowance_rad.to_degrees();
    let found = brute.allowance_deg(&best.evaluation.direction);
    assert!(
        (reported - found).abs() < OFF_DEG,
        "{kind:?}: an allowance of {reported} at the recommended tilt, and {found} by brute force"
    );
    let largest = brute.largest_allowance_deg(&case);
    let most = answer.alternative(AlternativeName::MostForgiving);
    let most = most
        .expect("a tilt is acceptable")
        .allowance_rad
        .to_degrees();
    assert!(
        most < largest + OFF_DEG && most > largest - TIE_DEG - OFF_DEG,
        "{kind:?}: {most} is the most forgiving, and the largest by brute force is {largest}"
    );
    let settable = brute.settable_deg(&case, &ridge);
    let widest = settable
        .iter()
        .map(|(_, allowance)| *allowance)
        .fold(0.0, f64::max);
    let wanted = if widest >= 2.0 { 2.0 } else { widest - 0.5 };
    let least = |wanted: f64| {
        let enough = settable
            .iter()
            .filter(|(_, allowance)| *allowance >= wanted);
        enough
            .map(|(total, _)| *total)
            .fold(f64::INFINITY, f64::min)
    };
    let total = best.evaluation.tilt.total_rad().to_degrees();
    assert!(
        total > least(wanted - OFF_DEG) - 1e-6 && total < least(wanted + OFF_DEG) + 1e-6,
        "{kind:?}: {total} for {wanted} of {widest}"
    );
    for alternative in answer.alternatives.iter().filter(|a| a.evaluation.holds()) {
        let reported = alternative.allowance_rad.to_degrees();
        let found = brute.allowance_deg(&alternative.evaluation.direction);
        assert!(
            (reported - found).abs() < OFF_DEG,
            "{kind:?}: an allowance of {reported} for {:?}, and {found} by brute force",
            alternative.name
        );
    }
}

#[test]
fn of_two_canines() {
    agrees_with_brute_force(SampleKind::TwoCanines);
}

#[test]
fn of_the_upper_compromise() {
    agrees_with_brute_force(SampleKind::UpperCompromise);
}

#[test]
fn before_waxing() {
    agrees_with_brute_force(SampleKind::BeforeWaxing);
}

#[test]
fn of_nothing_where_there_is_no_common_draw() {
    agrees_with_brute_force(SampleKind::ThreeNoCommonDraw);
}
