//! `scan`, and mending on request.

use crate::program::Bench;

/// A tetrahedron of 5 cm, with one facet repeated and one turned over.
pub(crate) const SPOILED: &str = "v 0 0 0\nv 5 0 0\nv 0 5 0\nv 0 0 5\n\
    f 1 3 2\nf 1 2 4\nf 1 3 4\nf 2 3 4\nf 2 3 4\n";

#[test]
fn mending_writes_a_copy_and_lists_what_it_did() {
    let bench = Bench::new().with("jaw.obj", SPOILED);
    let before = bench.json(&["scan", "jaw.obj", "--json", "--unit", "cm"]);
    assert_eq!(before["duplicate_facets"], 1);
    assert_eq!(before["watertight"], false);
    let answer = bench.json(&[
        "scan", "jaw.obj", "--json", "--unit", "cm", "--mend", "out.ply",
    ]);
    // What is said of the scan is said of the scan as it is.
    assert_eq!(answer["duplicate_facets"], 1);
    let mended = &answer["mended"];
    let changes = mended["changes"].as_array().unwrap();
    assert_eq!(changes.len(), 2, "{changes:?}");
    assert!(
        changes[0]
            .as_str()
            .unwrap()
            .contains("dropped facet 4, which repeats facet 3")
    );
    assert!(changes[1].as_str().unwrap().contains("turned facet 2"));
    assert_eq!(mended["watertight"], true);
    assert_eq!(
        std::fs::read_to_string(bench.path("jaw.obj")).unwrap(),
        SPOILED
    );
    // The copy keeps the scan's own unit, so it takes the scan's place in a case.
    let after = bench.json(&["scan", "out.ply", "--json", "--unit", "cm"]);
    assert_eq!(after["format"], "ply-binary-little-endian");
    assert_eq!(after["extent_mm"], serde_json::json!([50.0, 50.0, 50.0]));
    // A corner of a cube of 50 mm: 50³ / 6.
    let volume = after["volume_mm3"].as_f64().unwrap();
    assert!((volume - 125_000.0 / 6.0).abs() < 0.1, "{volume}");
    let text = bench.text(&["scan", "jaw.obj", "--unit", "cm", "--mend", "out.ply"]);
    assert!(text.contains("turned facet 2 over"), "{text}");
}

/// A box of 50 mm without its lid, all facets facing inward.
const CUP: &str = "v 0 0 0\nv 50 0 0\nv 50 50 0\nv 0 50 0\nv 0 0 50\nv 50 0 50\nv 50 50 50\nv 0 50 50\n\
    f 1 2 3 4\nf 5 6 2 1\nf 6 7 3 2\nf 7 8 4 3\nf 8 5 1 4\n";

#[test]
fn open_pieces_are_turned_only_when_told() {
    let bench = Bench::new().with("cup.obj", CUP);
    let quiet = bench.json(&["scan", "cup.obj", "--json", "--mend", "out.ply"]);
    assert_eq!(quiet["inside_out_components"], 1);
    assert_eq!(quiet["mended"]["changes"], serde_json::json!([]));
    let told = [
        "scan",
        "cup.obj",
        "--json",
        "--mend",
        "out.ply",
        "--turn-open",
    ];
    let turned = bench.json(&told);
    assert_eq!(turned["mended"]["changes"].as_array().unwrap().len(), 10);
    assert_eq!(turned["mended"]["inside_out_components"], 0);
}

#[test]
fn a_scan_in_another_unit_is_named() {
    let metres =
        "v 0 0 0\nv 0.06 0 0\nv 0 0.05 0\nv 0 0 0.02\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n";
    let bench = Bench::new().with("jaw.obj", metres);
    let answer = bench.json(&["scan", "jaw.obj", "--json"]);
    assert_eq!(answer["likely_unit"], "m");
    assert!(answer["remarks"].to_string().contains("scan_unit"));
    let answer = bench.json(&["scan", "jaw.obj", "--json", "--unit", "m"]);
    assert!((answer["extent_mm"][0].as_f64().unwrap() - 60.0).abs() < 1e-9);
    assert_eq!(answer["remarks"], serde_json::json!([]));
}

#[test]
fn a_scan_in_micrometres_has_an_extent_in_digits_that_show() {
    let bench = Bench::new().with("tiny.obj", CUP);
    let text = bench.text(&["scan", "tiny.obj", "--unit", "um"]);
    assert!(text.contains("0.0500 x 0.0500 x 0.0500 mm"), "{text}");
}
