//! The cases the program is given. All invented.

use serde_json::{Value, json};
use std::fmt::Write;

/// A case with these copings.
pub(crate) fn case(title: &str, arch: &str, copings: &[Value]) -> Value {
    json!({"format": "tiltbench-case", "version": [1, 0], "title": title, "arch": arch,
           "copings": copings})
}

/// A finished coping; tapers of mesial, labial, distal and lingual wall.
pub(crate) fn coping(
    tooth: &str,
    centre: [f64; 3],
    axis: [f64; 3],
    mesial: [f64; 3],
    tapers: [f64; 4],
) -> Value {
    let [m, f, d, l] = tapers.map(|taper| json!({"taper_deg": taper}));
    json!({"tooth": tooth, "margin_centre": centre, "axis": axis, "mesial": mesial,
           "margin_widths_mm": {"mesiodistal": 5.5, "labiolingual": 7.5}, "height_mm": 5.0,
           "walls": {"mesial": m, "labial": f, "distal": d, "lingual": l}})
}

/// Two lower canines that share a draw.
pub(crate) fn two_canines() -> Value {
    case(
        "Two lower canines for the tests",
        "mandibular",
        &[
            coping(
                "43",
                [12.0, 14.0, 0.0],
                [-0.03, 0.05, 1.0],
                [-1.0, 0.4, 0.0],
                [4.0, -1.0, 4.0, 5.0],
            ),
            coping(
                "33",
                [-12.0, 14.0, 0.0],
                [0.06, 0.02, 1.0],
                [1.0, 0.4, 0.0],
                [5.0, 1.0, 4.5, 4.0],
            ),
        ],
    )
}

/// Three upper abutments leaning 10 degrees toward azimuths 0, 120 and 240, each a cone of
/// `taper_deg` all round.
///
/// Derivation: a cone of half-angle `t` releases along `d` by `t` less the angle between `d` and
/// its axis. The three axes lie on a circle of 10 degrees about +z, so +z is the best draw and its
/// least draft is `t - 10`.
pub(crate) fn three_cones(taper_deg: f64) -> Value {
    let (sin, cos) = 10_f64.to_radians().sin_cos();
    let cone = |tooth, centre, azimuth: f64, mesial| {
        let (y, x) = azimuth.to_radians().sin_cos();
        let mut made = coping(
            tooth,
            centre,
            [sin * x, sin * y, cos],
            mesial,
            [taper_deg; 4],
        );
        made["walls"]["labial"]["guides"] = true.into();
        made
    };
    let mut made = case(
        "Three upper abutments for the tests",
        "maxillary",
        &[
            cone("24", [20.0, 8.0, 0.0], 0.0, [-0.3, 1.0, 0.0]),
            cone("11", [-5.0, 22.0, 0.0], 120.0, [1.0, 0.1, 0.0]),
            cone("15", [-21.0, 2.0, 0.0], 240.0, [0.2, 1.0, 0.0]),
        ],
    );
    made["limits"] = json!({"wall_draft_max_deg": 30});
    made
}

/// The two canines, measured in part: a level and errors are stated, two tapers of 43 and the axis of 33 are not
/// measured at all.
pub(crate) fn measured_canines() -> Value {
    let mut made = two_canines();
    made["zero_plane"] = json!({"kind": "occlusal_rim", "text": "level on the rim", "se_deg": 0.1});
    for side in ["mesial", "distal"] {
        made["copings"][0]["walls"][side]["basis"] = "estimated".into();
    }
    let lingual = &mut made["copings"][0]["walls"]["lingual"];
    lingual["basis"] = "measured".into();
    lingual["taper_se_deg"] = 0.3.into();
    made["copings"][0]["axis_basis"] = "measured".into();
    made["copings"][0]["axis_se_deg"] = 0.15.into();
    made["copings"][1]["axis_basis"] = "estimated".into();
    for side in ["mesial", "distal", "lingual"] {
        made["copings"][1]["walls"][side]["taper_se_deg"] = 0.2.into();
    }
    made
}

/// One root before waxing, its axis along +z and mesial along +x.
pub(crate) fn prepared_root(margin_thickness_mm: f64) -> Value {
    let wall = json!({"taper_deg": 8.0});
    case(
        "One lower root before waxing",
        "mandibular",
        &[
            json!({"id": "front root", "tooth": "33", "margin_centre": [-12, 14, 0], "axis": [0, 0, 1],
                     "mesial": [1, 0, 0], "height_mm": 4.0,
                     "margin_widths_mm": {"mesiodistal": 5.5, "labiolingual": 7.5},
                     "prep": {"mesial": wall, "labial": wall, "distal": wall, "lingual": wall},
                     "mill_taper_deg": 6.0, "margin_thickness_mm": margin_thickness_mm,
                     "canal_axis": [0.1, 0.0, 1.0]}),
        ],
    )
}

/// Height of the ridge of [`ridge_scan`], mm, and the undercut of its labial side, degrees.
pub(crate) const RIDGE: (f64, f64) = (8.0, 12.0);

/// A straight ridge along x as OBJ text: a flat top at z = 8 from y = -6 to 0, a labial side that
/// leans in by 12 degrees down to z = 0, an upright lingual side, and the floor on both sides.
pub(crate) fn ridge_scan(inside_out: bool) -> String {
    let (height, undercut) = RIDGE;
    let foot = -height * undercut.to_radians().tan();
    let profile = [
        [-30.0, 0.0],
        [-6.0, 0.0],
        [-6.0, height],
        [0.0, height],
        [foot, 0.0],
        [20.0, 0.0],
    ];
    let mut text = String::new();
    for x in [-25.0, 25.0] {
        for [y, z] in profile {
            writeln!(text, "v {x} {y} {z}").unwrap();
        }
    }
    for i in 1..profile.len() {
        // Corners of one strip: near end, then far end.
        let (a, b, c, d) = (i, i + 1, i + 1 + profile.len(), i + profile.len());
        let facet = if inside_out {
            [a, b, c, d]
        } else {
            [d, c, b, a]
        };
        let [a, b, c, d] = facet;
        writeln!(text, "f {a} {b} {c} {d}").unwrap();
    }
    text
}

/// A ridge along x whose crest juts out 4 mm over the floor before it, as OBJ text; with a hole through
/// what juts out, 4 mm along x from -2 to 2 and 2 mm from y = 1 to 3, if asked for.
pub(crate) fn shelf_scan(with_hole: bool) -> String {
    let profile: [[f64; 2]; 12] = [
        [-30.0, 0.0],
        [-6.0, 0.0],
        [-6.0, 8.0],
        [1.0, 8.0],
        [3.0, 8.0],
        [4.0, 8.0],
        [4.0, 7.0],
        [3.0, 7.0],
        [1.0, 7.0],
        [0.0, 7.0],
        [0.0, 0.0],
        [20.0, 0.0],
    ];
    let mut text = String::new();
    for x in [-25.0, -2.0, 2.0, 25.0] {
        for [y, z] in profile {
            writeln!(text, "v {x} {y} {z}").unwrap();
        }
    }
    let count = profile.len();
    for span in 0..3 {
        for i in 1..count {
            let over_the_hole = span == 1 && (i == 4 || i == 8);
            if with_hole && over_the_hole {
                continue;
            }
            let near = span * count + i;
            let far = near + count;
            writeln!(text, "f {far} {} {} {near}", far + 1, near + 1).unwrap();
        }
    }
    text
}

/// The floor under and before the shelf as a zone, `shelf.obj` beside it: 8 mm wide, 3 of its 9 mm under
/// what juts out.
pub(crate) fn floor_under_shelf() -> Value {
    let mut made = case("A floor under a shelf for the tests", "mandibular", &[]);
    made["cast"] = json!({"scan": "shelf.obj"});
    made["seat_zones"] = json!([
        {"name": "labial flange", "outline": [[-4, 1], [4, 1], [4, 10], [-4, 10]], "z_range": [-1, 1]},
    ]);
    made
}

/// The ridge with a zone on its labial and one on its lingual side, `ridge.obj` beside it.
pub(crate) fn ridge_only() -> Value {
    let mut made = case("A straight ridge for the tests", "mandibular", &[]);
    made["cast"] = json!({"scan": "ridge.obj"});
    made["seat_zones"] = json!([
        {"name": "labial flange", "outline": [[-4, -1], [4, -1], [4, 0.5], [-4, 0.5]],
         "z_range": [4, 9], "opposes": "lingual flange"},
        {"name": "lingual flange", "outline": [[-4, -6.5], [4, -6.5], [4, -5], [-4, -5]],
         "z_range": [4, 9], "undercut_limit_mm": null},
    ]);
    made
}

/// The two canines standing on the ridge.
pub(crate) fn canines_on_ridge() -> Value {
    let mut made = ridge_only();
    made["title"] = "Two canines on a straight ridge".into();
    made["copings"] = two_canines()["copings"].clone();
    made
}
