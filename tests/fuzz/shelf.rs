//! A small scan with all that a ridge may have, and a case on it: worked out in no time.

use std::fmt::Write;

/// Two seat zones that face each other, a part to leave out, and a coping.
pub(crate) const RIDGE_CASE: &str = r#"{"format": "tiltbench-case", "version": [1, 1], "arch": "mandibular",
 "cast": {"scan": "shelf.obj", "scan_unit": "mm",
  "frame": {"origin": [0, 0, 0], "anterior": [0, 1, 0], "occlusal": [0, 0, 1]},
  "leave_out": [{"outline": [[-9, -5], [-7, -5], [-7, -3]], "above_z": 6.0}]},
 "seat_zones": [
  {"name": "labial flange", "outline": [[-2, 1], [2, 1], [2, 5], [-2, 5]], "z_range": [-1, 2],
   "undercut_limit_mm": 1.0, "opposes": "lingual flange"},
  {"name": "lingual flange", "outline": [[-2, -7], [2, -7], [2, -5.5]], "undercut_limit_mm": null}],
 "copings": [{"tooth": "33", "margin_centre": [-12, 14, 0], "axis": [0.05, 0.1, 1], "mesial": [1, 0.3, 0],
  "margin_widths_mm": {"mesiodistal": 5.5, "labiolingual": 7.5}, "height_mm": 6,
  "walls": {"mesial": {"taper_deg": 3}, "distal": {"taper_deg": 3, "draft_min_deg": 0.5},
   "lingual": {"taper_deg": 4, "half_sector_deg": 40}, "labial": {"taper_deg": 1, "guides": false}}}],
 "limits": {"wall_draft_min_deg": 0.0, "wall_draft_max_deg": 10.0, "tilt_max_deg": 2.0}}"#;

/// A ridge along x whose crest juts out over the floor before it: 44 facets.
pub(crate) fn shelf() -> String {
    const PROFILE: [[i32; 2]; 12] = [
        [-20, 0],
        [-6, 0],
        [-6, 8],
        [1, 8],
        [3, 8],
        [4, 8],
        [4, 7],
        [3, 7],
        [1, 7],
        [0, 7],
        [0, 0],
        [20, 0],
    ];
    let mut text = String::new();
    for x in [-15, 0, 15] {
        for [y, z] in PROFILE {
            writeln!(text, "v {x} {y} {z}").expect("a string takes it");
        }
    }
    for near in [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]
        .map(|i| [i, i + 12])
        .as_flattened()
    {
        let far = near + 12;
        writeln!(text, "f {far} {} {} {near}", far + 1, near + 1).expect("a string takes it");
    }
    text
}
