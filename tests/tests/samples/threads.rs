//! The same bits on any number of threads.

use crate::{answer_to, read, thinned};
use tiltbench_case::demo::SampleKind;

/// Everything there is to say about a case, with every number to its last bit: `Debug` prints the
/// shortest digits that read back as the same number.
fn said_on(threads: usize, kind: SampleKind) -> String {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
    pool.expect("threads are to be had").install(|| {
        let (file, cast) = thinned(kind);
        let (case, ridge) = read(&file, cast);
        let answer = answer_to(&case, Some(&ridge));
        let tilt = answer.alternatives[0].evaluation.direction;
        format!("{answer:?}{:?}", ridge.survey_line(&tilt))
    })
}

fn is_the_same(kind: SampleKind, part: &str) {
    let one = said_on(1, kind);
    assert!(one.contains(part), "{kind:?} has {part}");
    for threads in [2, 3] {
        let more = said_on(threads, kind);
        let apart = one.bytes().zip(more.bytes()).position(|(a, b)| a != b);
        let at = apart.unwrap_or(one.len().min(more.len()));
        let near = |text: &str| {
            text[at.saturating_sub(60)..]
                .chars()
                .take(90)
                .collect::<String>()
        };
        assert!(
            one == more,
            "{kind:?} on {threads} threads:\n{}\n{}",
            near(&one),
            near(&more)
        );
    }
}

#[test]
fn a_recommended_tilt_has_the_same_bits() {
    is_the_same(SampleKind::TwoCanines, "recommended: Some");
}

#[test]
fn changes_have_the_same_bits() {
    is_the_same(SampleKind::ThreeNoCommonDraw, "changes: [ChangeSet");
}
