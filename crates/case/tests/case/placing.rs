//! The scan brought into the cast frame.

use crate::samples::{FULL, good, with};
use nalgebra::{Point3, Rotation3, Vector3};
use serde_json::{Value, json};
use tiltbench_case::mesh_io::write_ply;
use tiltbench_case::{Cast, parse_case};
use tiltbench_geometry::mesh::Mesh;

fn cast_with(unit: &str, frame: Option<Value>) -> Cast {
    let mut case: Value =
        serde_json::from_str(&with("/cast/scan_unit", Some(json!(unit)))).unwrap();
    // Its points are those of the frame that is taken away.
    case.as_object_mut().unwrap().remove("zero_plane");
    match frame {
        Some(frame) => case["cast"]["frame"] = frame,
        None => drop(case["cast"].as_object_mut().unwrap().shift_remove("frame")),
    }
    good(&case.to_string()).cast().unwrap().clone()
}

#[test]
fn units_are_what_they_are() {
    // Source: the international inch is 25.4 mm exactly; the others are powers of ten.
    for (unit, mm) in [
        ("mm", 1.0),
        ("m", 1000.0),
        ("cm", 10.0),
        ("um", 0.001),
        ("in", 25.4),
    ] {
        let placed = cast_with(unit, None).point_in_cast(&Point3::new(1.0, -2.0, 3.0));
        let expected = Point3::new(mm, -2.0 * mm, 3.0 * mm);
        assert!((placed - expected).norm() < 1e-12 * mm, "{unit}: {placed}");
    }
}

#[test]
fn the_origin_is_taken_off_before_the_unit_is_converted() {
    // The scan has the anterior along -x and the occlusal direction along +y.
    let frame = json!({ "origin": [1, 2, 3], "anterior": [-2, 0, 0], "occlusal": [0, 5, 0] });
    let cast = cast_with("in", Some(frame));
    let at = |x, y, z| cast.point_in_cast(&Point3::new(x, y, z)).coords;
    assert!(at(1.0, 2.0, 3.0).norm() < 1e-12);
    assert!(
        (at(0.0, 2.0, 3.0) - Vector3::new(0.0, 25.4, 0.0)).norm() < 1e-12,
        "anterior is +y"
    );
    assert!(
        (at(1.0, 3.0, 3.0) - Vector3::new(0.0, 0.0, 25.4)).norm() < 1e-12,
        "occlusal is +z"
    );
    // x = y cross z: (-x) cross (+y) of the scan is -z of the scan.
    assert!((at(1.0, 2.0, 2.0) - Vector3::new(25.4, 0.0, 0.0)).norm() < 1e-12);
}

#[test]
fn placing_undoes_the_motion_that_hid_the_frame() {
    // A point known in the cast frame, moved by a known rigid motion and measured in centimetres.
    let turn = Rotation3::from_euler_angles(0.3, -1.1, 2.2);
    let origin = Vector3::new(4.0, -7.0, 9.0);
    let anterior = turn * Vector3::y();
    let occlusal = turn * Vector3::z();
    // A sloppy anterior, off by a part of the occlusal direction, is made perpendicular again.
    let sloppy: Vector3<f64> = 3.0 * anterior + 0.8 * occlusal;
    let frame = json!({
        "origin": origin.as_slice(), "anterior": sloppy.as_slice(), "occlusal": occlusal.as_slice(),
    });
    let cast = cast_with("cm", Some(frame));
    for known in [Vector3::new(10.0, 20.0, 30.0), Vector3::new(-1.0, 0.5, 4.0)] {
        let in_scan = origin + turn * known / 10.0;
        let placed = cast.point_in_cast(&Point3::from(in_scan)).coords;
        assert!((placed - known).norm() < 1e-12 * 40.0, "{placed}");
    }
}

/// Six times the signed volume of the first corner of a mesh.
fn handedness(mesh: &Mesh) -> f64 {
    let [a, b, c] = mesh.corners(0);
    let d = mesh
        .vertices
        .iter()
        .find(|v| ![a, b, c].contains(v))
        .unwrap();
    (b - a).cross(&(c - a)).dot(&(d - a))
}

#[test]
fn a_scan_is_loaded_placed_and_never_mirrored() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("scans")).unwrap();
    let tetrahedron = Mesh {
        vertices: vec![
            Point3::new(0.0, 0.0, 0.0),
            Point3::new(1.0, 0.0, 0.0),
            Point3::new(0.0, 1.0, 0.0),
            Point3::new(0.0, 0.0, 1.0),
        ],
        triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]],
    };
    write_ply(&folder.path().join("scans/lower.ply"), &tetrahedron).unwrap();
    let case = parse_case(FULL, folder.path()).unwrap();
    let loaded = case.load_cast().unwrap().unwrap();
    assert_eq!(loaded.mesh.triangles, tetrahedron.triangles);
    for (placed, scanned) in loaded.mesh.vertices.iter().zip(&tetrahedron.vertices) {
        assert_eq!(*placed, case.cast().unwrap().point_in_cast(scanned));
    }
    let grown = handedness(&loaded.mesh) / handedness(&tetrahedron);
    assert!(
        (grown - 1000.0).abs() < 1e-9,
        "centimetres cubed, the same way round: {grown}"
    );

    // One centimetre across is no cast, and the remark says so in terms of the case's unit.
    assert_eq!(loaded.remarks.len(), 1, "{:?}", loaded.remarks);
    assert!(
        loaded.remarks[0].contains("scan_unit"),
        "{:?}",
        loaded.remarks
    );

    assert_eq!(good(&with("/cast", None)).load_cast().unwrap(), None);
    let missing = parse_case(with("/cast/scan", Some(json!("no.ply"))), folder.path()).unwrap();
    let error = missing.load_cast().unwrap_err().to_string();
    assert!(error.contains("no.ply"), "{error}");
}
