//! Sides are the patient's, in both jaws.

use crate::cases::{three_cones, two_canines};
use crate::program::Bench;

/// +x is the patient's right on a lower cast and the patient's left on an upper one.
/// Derivation: the occlusal surface of a lower cast is looked at from above, of an upper cast from
/// below.
#[test]
fn lowered_sides_are_the_patients() {
    let mut upper = three_cones(14.0);
    upper["title"] = "Upper".into();
    let bench = Bench::new()
        .with_case("lower.json", &two_canines())
        .with_case("upper.json", &upper);
    for (case, tilt, key, words) in [
        (
            "lower.json",
            "0,5",
            "patient_right",
            "Patient's right down 5.0°.",
        ),
        (
            "lower.json",
            "0,-5",
            "patient_left",
            "Patient's left down 5.0°.",
        ),
        (
            "upper.json",
            "0,5",
            "patient_left",
            "Patient's left down 5.0°.",
        ),
        (
            "upper.json",
            "0,-5",
            "patient_right",
            "Patient's right down 5.0°.",
        ),
        ("upper.json", "-3,0", "none", "Posterior down 3.0°."),
        ("lower.json", "3,0", "none", "Anterior down 3.0°."),
        ("lower.json", "0,0", "none", "Keep the cast flat."),
        (
            "lower.json",
            "4.5,-2",
            "patient_left",
            "Anterior down 4.5°, patient's left down 2.0°.",
        ),
    ] {
        let answer = bench.json(&["check", case, "--json", "--tilt", tilt]);
        assert_eq!(answer["tilt"]["lowered_side"], key, "{case} {tilt}");
        let text = bench.text(&["check", case, "--tilt", tilt]);
        assert!(text.contains(words), "{case} {tilt}: {text}");
    }
}

/// Walls are named as the trade names them; keys of scripts are not.
#[test]
fn walls_have_the_words_of_the_trade() {
    let bench = Bench::new().with_case("upper.json", &three_cones(14.0));
    let text = bench.text(&["check", "upper.json", "--tilt", "0,0"]);
    for words in [
        "buccal",
        "palatal",
        "labial",
        "buccal-palatal",
        "labial-palatal",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let (tables, _) = text.split_once("Limits the case").unwrap();
    assert!(!tables.contains("lingual"), "{text}");
    let answer = bench
        .run(&["check", "upper.json", "--tilt", "0,0", "--json"])
        .stdout;
    assert!(answer.contains("\"lingual\"") && !answer.contains("palatal\""));
}
