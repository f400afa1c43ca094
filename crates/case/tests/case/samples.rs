//! Whole cases the other tests start from.

use serde_json::{Value, json};
use std::path::Path;
use std::sync::LazyLock;
use tiltbench_case::{Case, CaseErrors, parse_case};

/// Every key the format has, with values that differ from the defaults.
pub(crate) const FULL: &str = r#"{
  "format": "tiltbench-case",
  "version": [1, 1],
  "title": "Two lower canines, one not waxed yet",
  "arch": "mandibular", "zero_plane": { "kind": "landmarks", "points": [[2.4, -2, 0], [-2.4, -2, 0], [0, 2.2, 0]], "text": "retromolar pads and the front of the ridge", "se_deg": 0.5 },
  "cast": {
    "scan": "scans/lower.ply",
    "scan_unit": "cm",
    "frame": { "origin": [1.0, 2.0, 3.0], "anterior": [0, 1, 0.1], "occlusal": [0, 0, 2] },
    "leave_out": [{ "outline": [[-8, 10], [-3, 10], [-3, 16]], "above_z": 1.50 }]
  },
  "seat_zones": [
    {
      "name": "labial flange",
      "outline": [[-20, 10], [20, 10], [20, 25], [-20, 25]],
      "z_range": [-12, 0],
      "undercut_limit_mm": 0.8,
      "opposes": "lingual flange"
    },
    {
      "name": "lingual flange",
      "outline": [[-20, 0], [20, 0], [20, 9], [-20, 9]],
      "undercut_limit_mm": null
    }
  ],
  "copings": [
    {
      "id": "left",
      "tooth": "33",
      "margin_centre": [-11.0, 14.0, 0.0],
      "axis": [0.05, 0.1, 1.0], "axis_basis": "measured", "axis_se_deg": 0.80,
      "mesial": [1.0, 0.3, 0.0],
      "labial": [0, 1, 0],
      "margin_widths_mm": { "mesiodistal": 5.5, "labiolingual": 7.5 },
      "height_mm": 6.0,
      "walls": {
        "mesial": {
          "taper_deg": 3.0, "basis": "measured", "taper_se_deg": 0.5, "guides": true, "half_sector_deg": 40,
          "height_mm": 5.5, "draft_min_deg": 0.5, "draft_max_deg": 9
        },
        "labial": { "taper_deg": 1.0, "guides": false },
        "distal": { "taper_deg": 3.10 },
        "lingual": { "taper_deg": 3.0 }
      }
    },
    {
      "tooth": "4.3",
      "margin_centre": [11.0, 14.0, 0.5],
      "axis": [0, 0, 1],
      "mesial": [-1.0, 0.3, 0.0],
      "margin_widths_mm": { "mesiodistal": 5.5, "labiolingual": 7.0 },
      "height_mm": 4,
      "prep": {
        "mesial": { "taper_deg": 8.0, "basis": "estimated", "taper_se_deg": 2 }, "distal": { "taper_deg": 7.0 },
        "lingual": { "taper_deg": 6.0 }
      },
      "mill_taper_deg": 2.0,
      "margin_thickness_mm": 0.6,
      "keep_stump": false,
      "canal_axis": [0.1, 0, 1]
    }
  ],
  "limits": {
    "wall_draft_min_deg": 0.25,
    "wall_draft_max_deg": 8,
    "tilt_max_deg": 12,
    "metal_min_mm": 0.4,
    "metal_max_mm": 1.5,
    "opposing_undercut_limit_mm": 1.2, "allowance_wanted_deg": 1.5, "setting_step_deg": 0.5
  },
  "planned": [{ "kind": "retaper", "where": { "coping": "left", "side": "mesial" }, "to": 2.50, "state": "done", "x_who": "bench 2" }, { "kind": "blockout", "where": { "zone": "labial flange" }, "wax_mm": 0.4, "left_mm": 0.8 }, { "kind": "unguide", "where": { "coping": "43", "side": "distal" }, "state": "measured" }], "notes": { "z": "Übung", "a": [1.50, 12345678901234567890123, "\u00e9"] },
  "held_tilts": [ { "name": "flat" } ],
  "record": null,
  "view": { "camera": [0.1, 0.30000000000000004] },
  "x_lab": { "shelf": 7 }
}"#;

/// The sample with one value put in, by JSON pointer; `None` removes it.
pub(crate) fn with(pointer: &str, value: Option<Value>) -> String {
    let mut case: Value = serde_json::from_str(FULL).unwrap();
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    let parent = case
        .pointer_mut(parent)
        .unwrap_or_else(|| panic!("no {parent}"));
    match (parent, value) {
        (Value::Object(members), Some(value)) => {
            members.insert(key.to_owned(), value);
        }
        (Value::Object(members), None) => {
            members
                .shift_remove(key)
                .unwrap_or_else(|| panic!("no {pointer}"));
        }
        (Value::Array(elements), Some(value)) => {
            let index: usize = key.parse().unwrap();
            if index == elements.len() {
                elements.push(value);
            } else {
                elements[index] = value;
            }
        }
        (Value::Array(elements), None) => {
            elements.remove(key.parse().unwrap());
        }
        (other, _) => panic!("{pointer} is in {other}"),
    }
    serde_json::to_string_pretty(&case).unwrap()
}

/// The schema that ships with the project.
pub(crate) fn schema() -> Value {
    serde_json::from_str(include_str!("../../../../assets/case.schema.json")).unwrap()
}

/// Whether an independent validator accepts a text by that schema.
pub(crate) fn schema_accepts(text: &str) -> bool {
    static VALIDATOR: LazyLock<jsonschema::Validator> =
        LazyLock::new(|| jsonschema::draft202012::new(&schema()).unwrap());
    serde_json::from_str(text).is_ok_and(|value: Value| VALIDATOR.is_valid(&value))
}

/// Reads a text as a case in the folder `cases`.
pub(crate) fn parse(text: &str) -> Result<Case, CaseErrors> {
    parse_case(text, Path::new("cases"))
}

/// Reads a text that is a case.
pub(crate) fn good(text: &str) -> Case {
    parse(text).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

/// A text without the white space between its tokens.
pub(crate) fn squeezed(text: &str) -> String {
    let (mut inside, mut escaped) = (false, false);
    text.chars()
        .filter(|c| {
            let keep = inside || !c.is_ascii_whitespace();
            if escaped {
                escaped = false;
            } else if *c == '\\' {
                escaped = true;
            } else if *c == '"' {
                inside = !inside;
            }
            keep
        })
        .collect()
}

/// A lower case with one coping and nothing optional.
pub(crate) fn lone(tooth: &str, centre: [f64; 3], mesial: [f64; 3]) -> String {
    json!({
        "format": "tiltbench-case", "version": [1, 0],
        "arch": if "1256".contains(&tooth[..1]) { "maxillary" } else { "mandibular" },
        "copings": [{
            "tooth": tooth, "margin_centre": centre, "axis": [0, 0, 1], "mesial": mesial,
            "margin_widths_mm": { "mesiodistal": 5, "labiolingual": 7 }, "height_mm": 5,
            "walls": {
                "mesial": { "taper_deg": 3 }, "labial": { "taper_deg": 3 },
                "distal": { "taper_deg": 3 }, "lingual": { "taper_deg": 3 },
            },
        }],
    })
    .to_string()
}
