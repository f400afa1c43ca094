//! What is left out of the scan, what files of version 1.0 mean by that, and margins off the scan.

use crate::samples::{good, squeezed};
use serde_json::{Value, json};
use std::path::Path;
use tiltbench_case::mesh_io::write_ply;
use tiltbench_case::schema::v1::{Basis, Version};
use tiltbench_case::{Case, LeftOutOf, LoadedCast, parse_case};
use tiltbench_geometry::Point3;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge};

/// A straight ridge along x, 8 mm high, whose labial side leans in by 0.45 mm, with a crown over it
/// that reaches 0.95 mm beyond the rim of the ridge.
fn ridge_with_crown() -> Mesh {
    let profile = [
        [-30.0, 0.0],
        [-6.0, 0.0],
        [-6.0, 8.0],
        [0.0, 8.0],
        [-0.45, 0.0],
        [20.0, 0.0],
    ];
    let end = |x: f64| profile.map(|[y, z]| Point3::new(x, y, z));
    let mut vertices = [end(-25.0), end(25.0)].concat();
    let mut triangles: Vec<[u32; 3]> = (1..6)
        .flat_map(|i| [[i - 1, i + 5, i + 6], [i, i - 1, i + 6]])
        .collect();
    // The crown: a box, outward.
    let first = 12;
    let corner = |k: u32| {
        let pick = |bit: u32, low: f64, high: f64| if k >> bit & 1 == 0 { low } else { high };
        Point3::new(pick(0, -6.0, 6.0), pick(1, -6.0, 0.95), pick(2, 11.0, 16.0))
    };
    vertices.extend((0..8).map(corner));
    for [a, b, c, d] in [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ] {
        let at = |k: u32| first + k;
        triangles.extend([[at(a), at(b), at(c)], [at(a), at(c), at(d)]]);
    }
    Mesh {
        vertices,
        triangles,
    }
}

fn ridge_case() -> Value {
    json!({
        "format": "tiltbench-case", "version": [1, 1], "arch": "mandibular",
        "cast": { "scan": "ridge.ply" },
        "seat_zones": [{ "name": "labial flange", "z_range": [-1, 7.9],
                         "outline": [[-4, -1], [4, -1], [4, 4], [-4, 4]] }],
    })
}

fn load(value: &Value, mesh: &Mesh) -> (Case, LoadedCast) {
    let folder = tempfile::tempdir().unwrap();
    write_ply(&folder.path().join("ridge.ply"), mesh).unwrap();
    let case = parse_case(value.to_string(), folder.path()).unwrap();
    let loaded = case.load_cast().unwrap().unwrap();
    (case, loaded)
}

/// Undercut depth of the only zone, the anterior lowered by some degrees.
fn depth_mm(case: &Case, loaded: LoadedCast, lowered_deg: f64) -> f64 {
    let margins: Vec<MarginFootprint> = case.copings().iter().map(Into::into).collect();
    let ridge = Ridge::new(loaded.mesh.into(), case.seat_zones(), &margins).unwrap();
    ridge.read(&Tilt::from_degrees(lowered_deg, 0.0).unwrap().direction())[0].undercut_depth_mm
}

#[test]
fn a_crown_shades_the_flange_until_it_is_left_out() {
    let mut value = ridge_case();
    let (case, loaded) = load(&value, &ridge_with_crown());
    assert!(loaded.left_out.is_empty());
    // 0.95 mm beyond the rim, which stands 0.45 mm over the foot of the flank.
    let shaded = depth_mm(&case, loaded, 0.0);
    assert!((shaded - 1.40).abs() < 0.01, "{shaded}");
    let above = |z: f64| json!([{ "outline": [[-7, -7], [7, -7], [7, 2], [-7, 2]], "above_z": z }]);
    value["cast"]["leave_out"] = above(10.0);
    let (case, loaded) = load(&value, &ridge_with_crown());
    let [part] = &loaded.left_out[..] else {
        panic!("{:?}", loaded.left_out);
    };
    assert_eq!(part.of, LeftOutOf::Outline(0));
    // All six sides of the crown.
    let sides = 2.0 * (12.0 * 6.95 + 12.0 * 5.0 + 6.95 * 5.0);
    assert!((part.taken.area_mm2 - sides).abs() < 1e-3, "{part:?}");
    assert_eq!(
        part.to_string(),
        "cast.leave_out[0]: 356.3 mm² of the scan, up to 6.0 mm high"
    );
    assert!(loaded.case_remarks.is_empty(), "{:?}", loaded.case_remarks);
    let bare = depth_mm(&case, loaded, 0.0);
    assert!((bare - 0.45).abs() < 0.01, "{bare}");
    // A part that holds nothing is told.
    value["cast"]["leave_out"] = above(17.0);
    let (_, loaded) = load(&value, &ridge_with_crown());
    let told = loaded.case_remarks[0].to_string();
    assert!(
        told.starts_with("cast.leave_out[0]: no surface of the scan lies in this part"),
        "{told}"
    );
}

/// A root under the crown, its margin on the top of the ridge.
fn root(keep_stump: Option<bool>) -> Value {
    let mut root = json!({
        "tooth": "41", "margin_centre": [0, -3, 8], "axis": [0, 0, 1], "mesial": [-1, 0, 0],
        "margin_widths_mm": { "mesiodistal": 30, "labiolingual": 9.2 }, "height_mm": 4,
        "prep": { "mesial": { "taper_deg": 6 } }, "mill_taper_deg": 2, "margin_thickness_mm": 0.5,
    });
    if let Some(keep) = keep_stump {
        root["keep_stump"] = keep.into();
    }
    root
}

#[test]
fn what_stands_on_a_prepared_root_goes_by_itself() {
    let mut value = ridge_case();
    value["copings"] = json!([root(None)]);
    let (case, loaded) = load(&value, &ridge_with_crown());
    assert_eq!(loaded.left_out[0].of, LeftOutOf::Stump(0, "41".into()));
    assert!(
        (loaded.left_out[0].taken.height_mm - 8.0).abs() < 1e-6,
        "from z = 8 to 16"
    );
    let bare = depth_mm(&case, loaded, 15.0);
    value["copings"] = json!([root(Some(true))]);
    let (case, loaded) = load(&value, &ridge_with_crown());
    assert!(loaded.left_out.is_empty());
    let told: Vec<_> = case.remarks().iter().map(ToString::to_string).collect();
    assert!(
        told.iter()
            .any(|r| r.contains("margin of 41 stays in the scan (keep_stump)")),
        "{told:?}"
    );
    let shaded = depth_mm(&case, loaded, 15.0);
    // The ellipse grown by half a millimetre ends at y = 2.1, where the seat begins. From there the top
    // of the crown, 1.15 mm behind and 16 above, and the rim of the ridge, 2.1 behind and 8 above.
    let (sin, cos) = 15_f64.to_radians().sin_cos();
    assert!(
        (shaded - (16.0 * sin - 1.15 * cos)).abs() < 0.03,
        "{shaded}"
    );
    // At the ends of the zone, x = 4, the ellipse ends at 1.93.
    let least_and_most = (8.0 * sin - 2.1 * cos)..(8.0 * sin - 1.92 * cos);
    assert!(least_and_most.contains(&bare), "{bare}");
}

#[test]
fn files_of_version_1_0_keep_their_stumps_and_say_so() {
    let mut value = ridge_case();
    value["copings"] = json!([root(None), root(Some(false))]);
    value["copings"][1]["tooth"] = "42".into();
    for version in [json!([1, 0]), json!(1)] {
        value["version"] = version;
        let case = good(&value.to_string());
        let told: Vec<_> = case.remarks().iter().map(ToString::to_string).collect();
        assert!(
            told.iter().any(
                |r| r.starts_with("version: the case is of a version before 1.1")
                    && r.contains("the margin of 41 stays")
            ),
            "{told:?}"
        );
        // Keys of 1.1 are read.
        let goes: Vec<_> = case
            .parts_left_out()
            .into_iter()
            .map(|(of, _)| of)
            .collect();
        assert_eq!(goes, [LeftOutOf::Stump(1, "42".into())]);
        // Written, it is of this version and means the same.
        assert_eq!(case.file().version, Version::WRITTEN);
        let text = case.to_text();
        let squeezed = squeezed(&text);
        assert!(
            squeezed.contains("\"version\":[1,1]") && squeezed.contains("\"keep_stump\":true"),
            "{text}"
        );
        let again = good(&text);
        assert_eq!(again.file(), case.file());
        assert_eq!(again.parts_left_out(), case.parts_left_out());
        let Basis::Prep { keep_stump, .. } = again.file().copings[0].basis else {
            panic!("a root");
        };
        assert_eq!(keep_stump, Some(true));
        // A case without a cast has nothing to keep.
        let mut walls = value.clone();
        walls.as_object_mut().unwrap().remove("cast");
        walls.as_object_mut().unwrap().remove("seat_zones");
        assert!(
            good(&walls.to_string())
                .remarks()
                .iter()
                .all(|r| r.path != "version")
        );
    }
    // A draft with problems is brought forward too.
    value["copings"][0]["height_mm"] = json!(-4);
    let (draft, made) = tiltbench_case::Draft::parse(value.to_string(), Path::new("")).unwrap();
    assert!(made.is_err());
    assert_eq!(draft.file.version, Version::WRITTEN);
    assert!(matches!(
        draft.file.copings[0].basis,
        Basis::Prep {
            keep_stump: Some(true),
            ..
        }
    ));
}

#[test]
fn a_margin_off_the_scan_is_told_with_its_distance_and_side() {
    let mut value = ridge_case();
    let told = |value: &Value| -> Vec<String> {
        let (_, loaded) = load(value, &ridge_with_crown());
        loaded
            .case_remarks
            .iter()
            .map(ToString::to_string)
            .collect()
    };
    let narrow = |z: f64, x: f64| {
        let mut root = root(Some(true));
        root["margin_centre"] = json!([x, -3, z]);
        root["margin_widths_mm"] = json!({ "mesiodistal": 4, "labiolingual": 4 });
        json!([root])
    };
    value["copings"] = narrow(8.9, -20.0);
    assert_eq!(told(&value), [""; 0], "0.9 mm over the top of the ridge");
    value["copings"] = narrow(10.5, -20.0);
    let remarks = told(&value);
    assert_eq!(
        remarks,
        [
            "copings[0].margin_centre: the margin of 41 lies up to 2.5 mm off the scan, which lies below \
          there; set the margin on the scan, or look at the frame of the cast"
        ]
    );
    // Beyond the end of the ridge, at x = -25: the patient's left on a lower cast, so the scan lies
    // to the right; its ring begins 43 mm off and ends 47.
    value["copings"] = narrow(8.0, -70.0);
    let remark = told(&value).concat();
    assert!(
        remark.contains("up to 47.0 mm off") && remark.contains("toward the patient's right"),
        "{remark}"
    );
}
