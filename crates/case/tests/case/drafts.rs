//! Drafts: what is entered is kept, right or wrong, and the strict reader says what is wrong.

use crate::samples::{FULL, good, squeezed};
use serde_json::json;
use std::path::Path;
use tiltbench_case::schema::v1::{CaseFile, UndercutLimit, Version};
use tiltbench_case::{Cast, Draft, read_case, read_draft, write_draft};
use tiltbench_geometry::Point3;
use tiltbench_geometry::frame::Arch;

fn paths(draft: &Draft) -> Vec<String> {
    let errors = draft.check(Path::new("")).unwrap_err();
    let listed = errors.problems().iter();
    listed.map(|problem| problem.path.clone()).collect()
}

/// Decoding asks for less than the reader and must not understand anything else.
#[test]
fn decoding_and_reading_agree() {
    let case = good(FULL);
    let decoded: CaseFile = serde_json::from_str(FULL).unwrap();
    assert_eq!(&decoded, case.file());
    let major: CaseFile = serde_json::from_str(
        r#"{ "format": "tiltbench-case", "version": 1, "arch": "maxillary" }"#,
    )
    .unwrap();
    assert_eq!(
        (major.version, major.arch),
        (Version { major: 1, minor: 0 }, Arch::Maxillary)
    );
    for text in [
        r#"{ "format": "x", "version": 1, "arch": "maxillary" }"#,
        r#"{ "format": "tiltbench-case", "version": 1, "arch": "upper" }"#,
        r#"{ "format": "tiltbench-case", "version": 1 }"#,
    ] {
        assert!(serde_json::from_str::<CaseFile>(text).is_err(), "{text}");
    }
}

#[test]
fn a_draft_that_is_a_case_checks_as_one_and_keeps_every_token() {
    let case = good(FULL);
    let draft = Draft::of(&case);
    assert_eq!(squeezed(&draft.to_text().unwrap()), squeezed(FULL));
    assert_eq!(&draft.check(case.folder()).unwrap(), &good(&case.to_text()));
}

#[test]
fn a_draft_with_problems_lists_them_and_is_written_and_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("draft.json");
    let mut draft = Draft::of(&good(FULL));
    draft.file.copings[0].height_mm = -2.0;
    draft.file.title = Some(String::new());
    draft.file.seat_zones[0].outline.truncate(2);
    draft.file.seat_zones[0].undercut_limit_mm = Some(UndercutLimit::Unlimited);
    draft.file.notes = Some(json!(null));
    let problems = paths(&draft);
    for path in ["title", "seat_zones[0].outline", "copings[0].height_mm"] {
        assert!(problems.iter().any(|found| found == path), "{problems:?}");
    }
    write_draft(&draft, &path).unwrap();
    assert!(read_case(&path).is_err(), "the strict reader is the gate");
    let (read, case) = read_draft(&path).unwrap();
    assert_eq!(read.file, draft.file);
    assert_eq!(case.unwrap_err().problems().len(), problems.len());
    assert_eq!(read.to_text().unwrap(), draft.to_text().unwrap());
    // Mended, it is a case, and what no table knows is still there.
    let mut mended = read.file.clone();
    mended.title = None;
    mended.copings[0].height_mm = 5.0;
    mended.seat_zones[0].outline = good(FULL).file().seat_zones[0].outline.clone();
    let mended = read.with(mended);
    assert!(mended.check(folder.path()).is_ok());
    let kept = |text: &str| text.matches("\"x_").count();
    assert!(kept(FULL) > 0);
    assert_eq!(kept(&mended.to_text().unwrap()), kept(FULL));
}

#[test]
fn what_cannot_be_decoded_is_refused_in_the_reader_s_words() {
    let text = FULL.replacen("\"height_mm\": ", "\"height_mm\": \"tall\", \"x_was\": ", 1);
    assert_ne!(text, FULL);
    let errors = Draft::parse(&text, Path::new("")).unwrap_err();
    let problems = errors.problems();
    assert!(problems[0].path.ends_with("height_mm"), "{problems:?}");
    for text in [
        "",
        "{",
        "solid x",
        "[]",
        r#"{ "format": "tiltbench-case", "version": [2, 0] }"#,
    ] {
        assert!(Draft::parse(text, Path::new("")).is_err(), "{text}");
    }
}

#[test]
fn a_number_that_is_none_is_a_problem_with_its_path() {
    let mut draft = Draft::of(&good(FULL));
    draft.file.copings[0].margin_centre[1] = f64::NAN;
    assert_eq!(paths(&draft), ["copings[0].margin_centre[1]"]);
}

#[test]
fn a_point_goes_into_the_cast_frame_and_back() {
    let case = good(FULL);
    let cast = Cast::of_file(case.file(), Path::new("")).unwrap().unwrap();
    for p in [Point3::new(1.0, -2.0, 30.0), Point3::origin()] {
        let back = cast.point_in_cast(&cast.point_in_scan(&p));
        assert!((back - p).norm() < 1e-12, "{back}");
        let there = case.cast().unwrap().point_in_cast(&p);
        assert_eq!(cast.point_in_cast(&p), there);
    }
}
