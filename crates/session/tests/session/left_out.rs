//! What will not be there when the denture seats: left out of what is read, and told where it is not.

use crate::support::{Desk, hold};
use serde_json::{Value, json};
use std::path::Path;
use tiltbench_case::mesh_io::write_ply;
use tiltbench_case::schema::v1::Frame;
use tiltbench_case::{Case, parse_case};
use tiltbench_geometry::Point3;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge, ZoneReading};
use tiltbench_session::report::column_remarks;
use tiltbench_session::{
    Carry, CaseCommand, CastCommand, Command, IfUnsaved, Precision, Session, ZoneCommand,
};
use tiltbench_solver::Problem;
use tiltbench_solver::evaluation::evaluate;

/// A straight ridge along x, 8 mm high, whose labial side leans in by 0.45 mm, with a crown over it
/// that reaches from y = -6 to `to`, and from 3 to 8 mm above the ridge.
fn ridge_with_crown(to: f64) -> Mesh {
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
    let pick = |k: u32, bit: u32, low: f64, high: f64| if k >> bit & 1 == 0 { low } else { high };
    let corner = |k| {
        Point3::new(
            pick(k, 0, -6.0, 6.0),
            pick(k, 1, -6.0, to),
            pick(k, 2, 11.0, 16.0),
        )
    };
    vertices.extend((0..8).map(corner));
    for side in [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ] {
        let [a, b, c, d] = side.map(|k: u32| 12 + k);
        triangles.extend([[a, b, c], [a, c, d]]);
    }
    Mesh {
        vertices,
        triangles,
    }
}

fn case() -> Value {
    json!({
        "format": "tiltbench-case", "version": [1, 1], "arch": "mandibular",
        "cast": { "scan": "ridge.ply" },
        "seat_zones": [{ "name": "labial flange", "z_range": [-1, 7.9],
                         "outline": [[-4, -1], [4, -1], [4, 4], [-4, 4]] }],
    })
}

/// The case, what stands over the ridge to be cut away.
fn case_without_crown() -> Value {
    let mut value = case();
    value["cast"]["leave_out"] =
        json!([{ "outline": [[-7, -7], [7, -7], [7, 2], [-7, 2]], "above_z": 10.0 }]);
    value
}

/// A root under the crown, its margin on the top of the ridge, its stump kept in the scan.
fn case_with_stump() -> Value {
    let mut value = case();
    value["copings"] = json!([{
        "tooth": "41", "margin_centre": [0, -3, 8], "axis": [0, 0, 1], "mesial": [-1, 0, 0],
        "margin_widths_mm": { "mesiodistal": 30, "labiolingual": 9.2 }, "height_mm": 4,
        "prep": { "mesial": { "taper_deg": 6 } }, "mill_taper_deg": 2, "margin_thickness_mm": 0.5,
        "keep_stump": true,
    }]);
    value
}

/// A case in a folder with its scan.
fn in_folder(folder: &Path, value: &Value, mesh: &Mesh) -> Case {
    write_ply(&folder.join("ridge.ply"), mesh).unwrap();
    std::fs::write(folder.join("ridge.json"), value.to_string()).unwrap();
    parse_case(value.to_string(), folder).unwrap()
}

fn ridge_of(case: &Case, mesh: Mesh) -> Ridge {
    let margins: Vec<MarginFootprint> = case.copings().iter().map(Into::into).collect();
    Ridge::new(mesh.into(), case.seat_zones(), &margins).unwrap()
}

/// The zone and what is said of columns, the anterior lowered by some degrees.
fn told(value: &Value, mesh: &Mesh, lowered_deg: f64) -> (ZoneReading, Vec<String>) {
    let folder = tempfile::tempdir().unwrap();
    let case = in_folder(folder.path(), value, mesh);
    let cast = case.load_cast().unwrap().unwrap().mesh;
    let ridge = ridge_of(&case, cast.clone());
    let problem = Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: Some(&ridge),
    };
    let evaluation = evaluate(&problem, Tilt::from_degrees(lowered_deg, 0.0).unwrap());
    let remarks = column_remarks(&case, &cast, &ridge, &evaluation);
    (evaluation.zones[0], remarks)
}

#[test]
fn depth_that_a_crown_causes_is_told_and_other_depth_is_not() {
    // The seat begins at y = 2.1, half a millimetre off the margin; at the ends of the zone at 1.92. The
    // top of the crown is 1.15 mm behind that and 16 above, the rim of the ridge 8 above.
    let at = |deg: f64, back: f64, up: f64| {
        let (sin, cos) = deg.to_radians().sin_cos();
        up * sin - back * cos
    };
    let ridge_at = |deg: f64| [at(deg, 2.1, 8.0), at(deg, 1.92, 8.0)];
    let (zone, remarks) = told(&case_with_stump(), &ridge_with_crown(0.95), 15.0);
    let with = at(15.0, 1.15, 16.0);
    assert!((zone.undercut_depth_mm - with).abs() < 0.03, "{zone:?}");
    let [remark] = &remarks[..] else {
        panic!("{remarks:?}");
    };
    let words = remark.split_once(" mm of its depth of 3.05 mm come from");
    let (more, of) = words.unwrap_or_else(|| panic!("{remark}"));
    let more: f64 = more.rsplit(' ').next().unwrap().parse().unwrap();
    let [least, most] = ridge_at(15.0);
    // Said to a twentieth of a millimetre.
    assert!(
        more > with - most - 0.05 && more < with - least + 0.05,
        "{remark}"
    );
    assert!(
        of.contains("above the margin of 41;") && remark.contains("labial flange"),
        "{remark}"
    );
    // A crown that ends behind the rim overhangs nothing: what is left is the ridge's own.
    let (zone, remarks) = told(&case_with_stump(), &ridge_with_crown(-4.0), 18.0);
    let [least, most] = ridge_at(18.0);
    assert!(
        zone.undercut_depth_mm > least && zone.undercut_depth_mm < most,
        "{zone:?}"
    );
    assert_eq!(remarks, [""; 0]);
    // A crown that no coping is under is none of their business.
    let (zone, remarks) = told(&case(), &ridge_with_crown(0.95), 15.0);
    assert!(zone.undercut_depth_mm > 3.0, "{zone:?}");
    assert_eq!(remarks, [""; 0]);
}

fn read_exactly(session: &Session) -> bool {
    let zones = session.derived().zones.as_ref();
    zones.is_some_and(|z| !z.is_stale() && z.value.precision == Precision::Exact)
}

fn exact(desk: &mut Desk) -> ZoneReading {
    desk.until("the zones are read exactly", read_exactly);
    let zones = desk.session.derived().zones.as_ref().unwrap();
    zones.value.zones[0].exact.unwrap()
}

#[test]
fn a_session_reads_the_cast_without_what_is_left_out() {
    let mut desk = Desk::quiet();
    let whole = ridge_with_crown(0.95);
    let case = in_folder(desk.folder.path(), &case_without_crown(), &whole);
    let path = desk.path("ridge.json");
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    // The flank leans in by 0.45 mm; with the crown over it the depth would be 1.40.
    let read = exact(&mut desk);
    assert!((read.undercut_depth_mm - 0.45).abs() < 0.01, "{read:?}");
    // What the command line reads, to the bit.
    let alone = ridge_of(&case, case.load_cast().unwrap().unwrap().mesh);
    let flat = Tilt::from_degrees(0.0, 0.0).unwrap();
    assert_eq!(read, alone.read(&flat.direction())[0]);
    let derived = desk.session.derived();
    assert!(
        derived.ridge_remarks[0]
            .starts_with("left out: cast.leave_out[0]: 356.3 mm² of the scan, up to 6.0 mm high"),
        "{:?}",
        derived.ridge_remarks
    );
    // The cast that is shown is the whole one, and what is left out stays in the file.
    let shown = &derived.cast.as_ref().unwrap().mesh;
    assert_eq!(shown.triangles.len(), whole.triangles.len());
    desk.apply(&Command::Case(CaseCommand::Notes(
        "crown goes first".into(),
    )));
    desk.apply(&Command::Zone(ZoneCommand::ZRange {
        zone: 0,
        range: Some([-1.0, 7.5]),
    }));
    let read = exact(&mut desk);
    assert!(
        read.undercut_depth_mm < 0.46,
        "cut anew without it: {read:?}"
    );
    let again: Value = serde_json::from_str(&desk.text()).unwrap();
    assert_eq!(
        again["cast"]["leave_out"],
        case_without_crown()["cast"]["leave_out"]
    );
}

/// What is left out comes first in the scan, so that every facet behind it has another number without it.
#[test]
fn marks_lie_on_the_facets_of_the_whole_cast_that_they_name() {
    let mut desk = Desk::quiet();
    let mut whole = ridge_with_crown(0.95);
    whole.triangles.reverse();
    in_folder(desk.folder.path(), &case_without_crown(), &whole);
    let path = desk.path("ridge.json");
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    desk.until("there are marks", |s| s.derived().marks.is_some());
    let derived = desk.session.derived();
    let mesh = &derived.cast.as_ref().unwrap().mesh;
    let marks = &derived.marks.as_ref().unwrap().value;
    assert!(std::sync::Arc::ptr_eq(&marks.cast, mesh));
    let samples = &marks.samples[0];
    assert!(!samples.is_empty());
    for sample in samples {
        let [a, b, c] = mesh.corners(sample.facet as usize);
        let normal = (b - a).cross(&(c - a));
        let off = (sample.position - a).dot(&normal) / normal.norm();
        assert!(off.abs() < 1e-9, "{sample:?} is {off} mm off its facet");
    }
}

/// Turned about the vertical and moved, what is left out is the same piece of the scan.
#[test]
fn what_is_left_out_moves_with_the_cast() {
    let mut desk = Desk::quiet();
    in_folder(
        desk.folder.path(),
        &case_without_crown(),
        &ridge_with_crown(0.95),
    );
    let path = desk.path("ridge.json");
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    let before = exact(&mut desk);
    let taken = desk.session.derived().ridge_remarks[0].clone();
    desk.apply(&Command::Cast(CastCommand::Frame {
        frame: Some(Frame {
            origin: [1.0, 2.0, -2.0],
            anterior: [1.0, 0.0, 0.0],
            occlusal: [0.0, 0.0, 1.0],
        }),
        carry: Carry::WithCast,
    }));
    let after = exact(&mut desk);
    let off = after.undercut_depth_mm - before.undercut_depth_mm;
    assert!(off.abs() < 0.01, "{before:?} {after:?}");
    assert_eq!(desk.session.derived().ridge_remarks[0], taken);
    let written: Value = serde_json::from_str(&desk.text()).unwrap();
    let part = &written["cast"]["leave_out"][0];
    // Anterior is the scan's x now, and +x of the cast its -y.
    let near = |value: &Value, expected: f64| {
        let value = value.as_f64().unwrap();
        assert!((value - expected).abs() < 1e-9, "{value} for {expected}");
    };
    near(&part["above_z"], 12.0);
    near(&part["outline"][0][0], 9.0);
    near(&part["outline"][0][1], -8.0);
}

#[test]
fn a_kept_stump_shades_the_seat_and_one_that_goes_does_not() {
    let depth = |keep: bool| {
        let mut desk = Desk::quiet();
        let mut value = case_with_stump();
        value["copings"][0]["keep_stump"] = keep.into();
        in_folder(desk.folder.path(), &value, &ridge_with_crown(0.95));
        let path = desk.path("ridge.json");
        desk.session.open(&path, IfUnsaved::Refuse).unwrap();
        desk.apply(&hold(15.0, 0.0));
        let depth = exact(&mut desk).undercut_depth_mm;
        let remarks = desk.session.derived().ridge_remarks.join("\n");
        assert_eq!(remarks.contains("left out: "), !keep, "{remarks}");
        depth
    };
    assert!((depth(true) - 3.03).abs() < 0.03);
    assert!(depth(false) < 0.25);
}

/// A box of 10 mm a side on its open bottom: which way it faces is beyond doubt.
fn bottomless_box() -> Mesh {
    let corner = |k: u32| {
        let at = |bit: u32| f64::from(k >> bit & 1) * 10.0;
        Point3::new(at(0) - 5.0, at(1) - 5.0, at(2))
    };
    let sides = [
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    Mesh {
        vertices: (0..8).map(corner).collect(),
        triangles: sides
            .iter()
            .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]])
            .collect(),
    }
}

#[test]
fn an_occlusal_direction_into_the_cast_is_told_as_that() {
    let mut desk = Desk::quiet();
    let mut value = case();
    value["seat_zones"][0]["z_range"] = json!([9, 11]);
    in_folder(desk.folder.path(), &value, &bottomless_box());
    let path = desk.path("ridge.json");
    desk.session.open(&path, IfUnsaved::Refuse).unwrap();
    exact(&mut desk);
    assert_eq!(desk.session.derived().ridge_problem, None);
    desk.apply(&Command::Cast(CastCommand::Frame {
        frame: Some(Frame {
            origin: [0.0; 3],
            anterior: [0.0, 1.0, 0.0],
            occlusal: [0.0, 0.0, -1.0],
        }),
        carry: Carry::WithFrame,
    }));
    desk.until("it is refused", |s| s.derived().ridge_problem.is_some());
    let told = desk.session.derived().ridge_problem.clone().unwrap();
    assert!(
        told.starts_with("the occlusal direction points into the cast")
            && told.contains("orient the cast again, the scan needs no mending"),
        "{told}"
    );
    assert!(desk.session.undo());
    exact(&mut desk);
    assert_eq!(desk.session.derived().ridge_problem, None);
}
