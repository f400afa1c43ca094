//! Sound files that inputs are made from: small, so that many are tried and each is judged hard.

#[path = "../../crates/case/tests/scan_support/mod.rs"]
mod scan_support;

use crate::shelf::{RIDGE_CASE, shelf};
use scan_support::{box_ascii, box_obj, box_ply, box_ply_ascii, box_stl, gzip};

/// Scans of a box in each format, and cases of each kind.
pub(crate) fn scan(number: u64) -> Vec<u8> {
    match number % 10 {
        0 => box_stl(),
        1 => box_ascii().into_bytes(),
        2 => box_ply_ascii().into_bytes(),
        3 => box_ply(false),
        4 => box_ply(true),
        5 => box_obj().into_bytes(),
        6 => gzip(box_obj().as_bytes()),
        7 => POLYGONS.into(),
        8 => ODD_PLY.into(),
        _ => shelf().into_bytes(),
    }
}

/// Polygons of several corners, relative numbers, groups, continued lines.
const POLYGONS: &str = "# a roof\no roof\nv 0 0 0\nv 40 0 0\nv 40 30 0\nv 0 30 0\nv 20 15 12.5\n\
    vt 0 0\nvn 0 0 1\ng base\nf 4/1/1 3/1/1 2/1/1 1/1/1\ng sides\nf -5 -4 \\\n-1\nf 2//1 3//1 5//1\n\
    f 3 4 5\nf 4 1 5\n";

/// More properties and elements than are used, a list before the corners.
const ODD_PLY: &str = "ply\nformat ascii 1.0\ncomment made by hand\nelement vertex 4\nproperty float x\n\
    property double y\nproperty float z\nproperty uchar red\nelement note 1\nproperty list uchar int words\n\
    element face 4\nproperty list uchar float uv\nproperty list uint8 int32 vertex_index\nend_header\n\
    0 0 0 9\n30 0 0 9\n0 30 0 9\n0 0 30 9\n2 7 8\n1 0.5 3 0 2 1\n0 3 0 1 3\n0 3 0 3 2\n0 3 1 2 3\n";

pub(crate) fn case(number: u64) -> Vec<u8> {
    let text: &str = match number % 8 {
        0 => include_str!("../../sample-cases/two-canines.json"),
        1 => include_str!("../../sample-cases/before-waxing.json"),
        2 => include_str!("../../sample-cases/ridge-only.json"),
        3 => include_str!("../../sample-cases/three-no-common-draw.json"),
        4 => include_str!("../../sample-cases/upper-compromise.json"),
        5 => include_str!("../../sample-cases/walls-only.json"),
        6 => RIDGE_CASE,
        _ => ROOT_CASE,
    };
    text.into()
}

/// A case and its scan.
pub(crate) fn pair(number: u64) -> (Vec<u8>, Vec<u8>) {
    let case = if number.is_multiple_of(2) {
        RIDGE_CASE
    } else {
        ROOT_CASE
    };
    (case.into(), shelf().into_bytes())
}

const ROOT_CASE: &str = r#"{"format": "tiltbench-case", "version": [1, 1], "arch": "mandibular",
 "cast": {"scan": "shelf.obj"},
 "seat_zones": [{"name": "floor", "outline": [[-3, 2], [3, 2], [3, 7], [0, 4], [-3, 7]],
  "undercut_limit_mm": 2.5}],
 "copings": [{"id": "front", "tooth": "41", "margin_centre": [0, -3, 8], "axis": [0, 0, 1], "mesial": [-1, 0, 0],
  "margin_widths_mm": {"mesiodistal": 5, "labiolingual": 4}, "height_mm": 4, "canal_axis": [0.1, 0, 1],
  "prep": {"mesial": {"taper_deg": 8}, "labial": {"taper_deg": 6}, "distal": {"taper_deg": 8}},
  "mill_taper_deg": 2, "margin_thickness_mm": 0.6, "keep_stump": false}],
 "limits": {"metal_min_mm": 0.3, "metal_max_mm": 2.0, "tilt_max_deg": 1.5, "opposing_undercut_limit_mm": 1.0}}"#;
