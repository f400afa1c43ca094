//! What a case means once read: frames, sides, defaults, remarks.

use crate::samples::{FULL, good, lone, parse, squeezed, with};
use serde_json::{Value, json};
use tiltbench_case::mesh_io::Unit;
use tiltbench_case::schema::v1::{self, FigureBasis};
use tiltbench_case::tooth::Tooth;
use tiltbench_case::{Remark, RemarkKind};
use tiltbench_geometry::coping::{Coping, MillPlan, Side, Wall, WallBasis};
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::work::Standing as Stands;

fn remarks_of(text: &str) -> Vec<String> {
    good(text).remarks().iter().map(Remark::to_string).collect()
}

#[test]
fn every_key_is_taken_over() {
    let case = good(FULL);
    assert_eq!(case.title(), "Two lower canines, one not waxed yet");
    assert_eq!(case.arch(), Arch::Mandibular);
    let cast = case.cast().unwrap();
    assert_eq!(cast.scan(), "scans/lower.ply");
    assert!(cast.path().ends_with("cases/scans/lower.ply"));

    let [labial, lingual] = case.seat_zones() else {
        panic!("two zones");
    };
    assert_eq!(labial.z_range, Some([-12.0, 0.0]));
    assert_eq!(labial.undercut_limit_mm, Some(0.8));
    assert_eq!((labial.opposes, lingual.opposes), (Some(1), None));
    assert_eq!(lingual.undercut_limit_mm, None, "null is no limit");
    assert_eq!(case.opposing_pairs(), [(0, 1)]);

    let [left, right] = case.measured_copings() else {
        panic!("two copings");
    };
    assert_eq!((left.id.as_str(), left.tooth.as_str()), ("left", "33"));
    assert_eq!((right.id.as_str(), right.tooth.as_str()), ("43", "43"));
    assert_eq!(
        left.wall(Side::Mesial),
        Some(&Wall {
            taper_rad: 3f64.to_radians(),
            half_sector_rad: 40f64.to_radians(),
            height_mm: 5.5,
            guides: true,
            draft_min_rad: 0.5f64.to_radians(),
            draft_max_rad: 9f64.to_radians(),
        })
    );
    assert_eq!(left.basis, WallBasis::Finished);
    assert_eq!(
        right.basis,
        WallBasis::Prep(MillPlan {
            taper_rad: 2f64.to_radians(),
            margin_thickness_mm: 0.6,
        })
    );
    assert!(right.wall(Side::Labial).is_none());
    assert!(right.canal_axis.is_some() && left.canal_axis.is_none());
    assert_eq!(
        case.limits(),
        &Limits {
            tilt_max_rad: 12f64.to_radians(),
            metal_min_mm: 0.4,
            metal_max_mm: 1.5,
            opposing_undercut_limit_mm: 1.2,
            allowance_wanted_rad: 1.5f64.to_radians(),
            setting_step_rad: 0.5f64.to_radians(),
        }
    );
}

#[test]
fn left_out_keys_take_the_defaults() {
    // The figures are written out here, not taken from the crate's own table.
    let case = good(&lone("33", [-11.0, 14.0, 0.0], [1.0, 0.3, 0.0]));
    let limits = Limits {
        tilt_max_rad: 15f64.to_radians(),
        metal_min_mm: 0.3,
        metal_max_mm: 2.0,
        opposing_undercut_limit_mm: 1.0,
        allowance_wanted_rad: 2f64.to_radians(),
        setting_step_rad: 1f64.to_radians(),
    };
    assert_eq!(case.limits(), &limits);
    let walls = Side::ALL.map(|side| {
        Some(Wall {
            taper_rad: 3f64.to_radians(),
            half_sector_rad: 45f64.to_radians(),
            height_mm: 5.0,
            guides: side != Side::Labial,
            draft_min_rad: 0.0,
            draft_max_rad: 10f64.to_radians(),
        })
    });
    assert_eq!(case.copings()[0].walls, walls);
    assert_eq!(case.copings()[0].id, "33");
    assert_eq!((case.title(), case.cast()), ("", None));

    let zone = with("/seat_zones/0/undercut_limit_mm", None);
    assert_eq!(good(&zone).seat_zones()[0].undercut_limit_mm, Some(1.0));
    // The case's own drafts reach the walls that state none.
    let lingual = good(FULL).copings()[0].walls[Side::Lingual as usize].unwrap();
    assert_eq!(
        (lingual.draft_min_rad, lingual.draft_max_rad),
        (0.25f64.to_radians(), 8f64.to_radians())
    );
    let millimetres = good(&with("/cast/scan_unit", None));
    assert_eq!(millimetres.cast().unwrap().unit(), Unit::Millimetre);
}

/// Of what nothing is said, nothing is known but that it was stated.
#[test]
fn a_figure_says_where_it_comes_from_and_how_well_it_is_known() {
    let case = good(FULL);
    let [left, right] = &case.file().copings[..] else {
        panic!("two copings");
    };
    assert_eq!(left.axis_basis(), FigureBasis::Measured);
    assert_eq!(left.axis_se_deg, Some(0.8));
    assert_eq!(
        (right.axis_basis(), right.axis_se_deg),
        (FigureBasis::Stated, None)
    );
    let known = |wall: Option<&v1::Wall>| {
        let wall = wall.unwrap();
        (wall.taper_basis(), wall.taper_se_deg)
    };
    let of = |coping: &v1::Coping, side| known(coping.basis.walls().get(side));
    assert_eq!(of(left, Side::Mesial), (FigureBasis::Measured, Some(0.5)));
    assert_eq!(of(left, Side::Distal), (FigureBasis::Stated, None));
    assert_eq!(of(right, Side::Mesial), (FigureBasis::Estimated, Some(2.0)));
    // None at all is an error that is stated, and a file of version 1.0 may have the keys.
    let exact = with("/copings/0/axis_se_deg", Some(json!(0)));
    assert_eq!(good(&exact).file().copings[0].axis_se_deg, Some(0.0));
    let old = good(&with("/version", Some(json!([1, 0]))));
    assert_eq!(old.file().copings[0].axis_se_deg, Some(0.8));
}

/// A tooth, its margin centre, its mesial direction, and about where its lip or cheek is.
type Standing = (&'static str, [f64; 3], [f64; 3], [f64; 2]);

/// Teeth all round both jaws, each with a mesial direction along the arch toward the midline, and
/// about where its lip or cheek is. Patient's right is +x on a lower cast, -x on an upper one.
const ROUND_THE_ARCHES: [Standing; 14] = [
    ("31", [-2.7, 20.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0]),
    ("33", [-12.0, 14.0, 0.0], [1.0, 0.8, 0.0], [-0.6, 0.8]),
    ("36", [-23.0, -10.0, 0.0], [0.1, 1.0, 0.0], [-1.0, 0.1]),
    ("41", [2.7, 20.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 1.0]),
    ("43", [12.0, 14.0, 0.0], [-1.0, 0.8, 0.0], [0.6, 0.8]),
    ("46", [23.0, -10.0, 0.0], [-0.1, 1.0, 0.0], [1.0, 0.1]),
    ("11", [-4.0, 22.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0]),
    ("13", [-17.0, 14.0, 0.0], [1.0, 0.8, 0.0], [-0.6, 0.8]),
    ("17", [-25.0, -20.0, 0.0], [0.1, 1.0, 0.0], [-1.0, 0.1]),
    ("23", [17.0, 14.0, 0.0], [-1.0, 0.8, 0.0], [0.6, 0.8]),
    ("25", [22.0, 0.0, 0.0], [-0.3, 1.0, 0.0], [1.0, 0.3]),
    ("53", [-15.0, 12.0, 0.0], [1.0, 0.8, 0.0], [-0.6, 0.8]),
    ("75", [-18.0, -5.0, 0.0], [0.2, 1.0, 0.0], [-1.0, 0.2]),
    ("84", [16.0, 2.0, 0.0], [-0.3, 1.0, 0.0], [1.0, 0.3]),
];

#[test]
fn the_labial_side_comes_out_toward_lip_or_cheek_all_round() {
    for (tooth, centre, mesial, lip) in ROUND_THE_ARCHES {
        let case = good(&lone(tooth, centre, mesial));
        let coping = &case.copings()[0];
        let toward = coping.labial.x * lip[0] + coping.labial.y * lip[1];
        assert!(
            toward > 0.9 * lip[0].hypot(lip[1]),
            "{tooth}: {:?}",
            coping.labial
        );
        assert!(coping.labial.dot(&coping.axis).abs() < 1e-15, "{tooth}");
        assert!(coping.labial.dot(&coping.mesial).abs() < 1e-15, "{tooth}");
        let remarks = case.remarks();
        assert_eq!(remarks.len(), 1, "{tooth}: {remarks:?}");
        assert!(
            matches!(remarks[0].kind, RemarkKind::GuidesByCustom { .. }),
            "{tooth}"
        );
    }
}

#[test]
fn a_reversed_mesial_direction_is_noticed_all_round_and_labial_overrides_it() {
    for (tooth, centre, mesial, lip) in ROUND_THE_ARCHES {
        let reversed = lone(tooth, centre, mesial.map(|x| -x));
        let case = good(&reversed);
        assert_eq!(
            case.remarks()[0].kind,
            RemarkKind::LabialTowardTongue {
                tooth: Tooth::parse(tooth).unwrap().name()
            }
        );
        assert_eq!(case.remarks()[0].path, "copings[0].mesial");
        let mut value: Value = serde_json::from_str(&reversed).unwrap();
        // Only its side counts: an upward lean and a wrong length change nothing.
        value["copings"][0]["labial"] = json!([7.0 * lip[0], 7.0 * lip[1], 3.0]);
        let given = good(&value.to_string());
        assert_eq!(given.remarks().len(), 1, "{tooth}: {:?}", given.remarks());
        assert_eq!(
            given.copings()[0].labial,
            -case.copings()[0].labial,
            "{tooth}"
        );
        assert_eq!(
            given.copings()[0].mesial,
            case.copings()[0].mesial,
            "{tooth}"
        );
    }
}

#[test]
fn orientation_remarks() {
    // The tooth of the other side: its quadrant turns the labial side round as well.
    let other_side = remarks_of(&lone("43", [-12.0, 14.0, 0.0], [1.0, 0.8, 0.0]));
    assert_eq!(
        other_side[0],
        "copings[0].margin_centre: the tooth is the lower right canine, and the margin stands on \
         the patient's left (x = -12 mm); the tooth, or the frame of the cast, is wrong"
    );
    assert!(
        other_side[1].contains("comes out toward the tongue"),
        "{other_side:?}"
    );
    // A lower central incisor on the wrong side is seen, one a little across the midline is not.
    let incisor = remarks_of(&lone("41", [-2.7, 20.0, 0.0], [1.0, 0.0, 0.0]));
    assert!(
        incisor[0].contains("on the patient's left (x = -2.7 mm)"),
        "{incisor:?}"
    );
    assert_eq!(
        remarks_of(&lone("31", [0.4, 20.0, 0.0], [1.0, 0.0, 0.0])).len(),
        1
    );
    // The other jaw.
    let upper = lone("33", [-12.0, 14.0, 0.0], [1.0, 0.8, 0.0]).replace("mandibular", "maxillary");
    let read = tiltbench_case::parse_case(&upper, std::path::Path::new(""));
    let refused = read.unwrap_err().to_string();
    assert!(
        refused.contains("this is the lower left canine, and `arch` says maxillary"),
        "{refused}"
    );
}

#[test]
fn custom_is_only_remarked_where_it_decides() {
    let all = remarks_of(FULL);
    assert_eq!(
        all,
        [
            "copings: `guides` is left to custom in left, 43: mesial, distal and lingual walls guide, \
          the labial wall does not"
        ]
    );
    let mut value: Value = serde_json::from_str(FULL).unwrap();
    for (coping, basis) in [(0, "walls"), (1, "prep")] {
        for wall in value["copings"][coping][basis]
            .as_object_mut()
            .unwrap()
            .values_mut()
        {
            wall["guides"] = json!(true);
        }
    }
    assert!(remarks_of(&value.to_string()).is_empty());
}

#[test]
fn what_no_tilt_cures_is_remarked_at_intake() {
    let on = |pointer: &str, value: Value| {
        let remarks = remarks_of(&with(pointer, Some(value)));
        remarks
            .into_iter()
            .filter(|r| !r.contains("custom"))
            .collect::<Vec<_>>()
    };
    // 8.5 exceeds the case's 8 degrees on each of the three guiding walls.
    let outside = on("/copings/1/mill_taper_deg", json!(8.5));
    assert_eq!(outside.len(), 3);
    assert_eq!(
        outside[1],
        "copings[1].mill_taper_deg: the mill taper of 8.5 degrees is outside the 0.25 to 8 degrees \
         of draft of the distal wall; no tilt cures that"
    );
    assert_eq!(
        on("/copings/1/mill_taper_deg", json!(0.2)).len(),
        3,
        "below the required draft"
    );
    assert_eq!(
        on("/copings/1/mill_taper_deg", json!(8)),
        [""; 0],
        "the bound itself is inside"
    );
    // A wall's own drafts count, and a wall that does not guide is left out.
    let own = json!({ "taper_deg": 8, "draft_max_deg": 9 });
    let mut value: Value = serde_json::from_str(FULL).unwrap();
    value["copings"][1]["prep"]["mesial"] = own;
    value["copings"][1]["prep"]["distal"]["guides"] = json!(false);
    value["copings"][1]["mill_taper_deg"] = json!(8.5);
    let left = remarks_of(&value.to_string());
    assert!(
        left[0].contains("lingual wall") && left.len() == 2,
        "{left:?}"
    );
    assert_eq!(
        on("/copings/1/margin_thickness_mm", json!(0.35)),
        [
            "copings[1].margin_thickness_mm: the metal is 0.35 mm at the margin and must not be under \
          0.4 mm; no tilt cures that"
        ]
    );
    assert!(
        on("/copings/1/margin_thickness_mm", json!(1.6))[0].contains("must not be over 1.5 mm")
    );
    assert_eq!(on("/copings/1/margin_thickness_mm", json!(0.4)), [""; 0]);
    assert_eq!(
        on("/copings/1/prep/lingual/taper_deg", json!(-1)),
        [
            "copings[1].prep.lingual.taper_deg: the prepared lingual wall is undercut against its own \
          axis (taper -1 degrees), so the casting would not seat; no tilt cures that"
        ]
    );
    // An undercut outer wall is the solver's business, not a remark at intake.
    assert_eq!(on("/copings/0/walls/lingual/taper_deg", json!(-1)), [""; 0]);
}

#[test]
fn zones_without_a_cast_and_a_byte_order_mark_are_remarked() {
    let mut without: Value = serde_json::from_str(FULL).unwrap();
    without.as_object_mut().unwrap().remove("cast");
    // What was picked on the scan says nothing without it; the words do.
    let remarks = remarks_of(&without.to_string());
    without["zero_plane"]
        .as_object_mut()
        .unwrap()
        .remove("text");
    let picked = parse(&without.to_string()).unwrap_err().to_string();
    assert!(picked.contains("the case has no `cast`"), "{picked}");
    assert!(
        remarks[0].starts_with("seat_zones: there are seat zones but no cast"),
        "{remarks:?}"
    );
    let marked = remarks_of(&format!("\u{feff}{FULL}"));
    assert!(marked[0].contains("byte order mark"), "{marked:?}");
    assert_eq!(
        squeezed(&good(&format!("\u{feff}{FULL}")).to_text()),
        squeezed(FULL)
    );
}

/// A scan that lies askew in its own axes, with points picked on it: they make the frame, in which they are level
/// and the patient's right is at +x of a lower cast.
#[test]
fn the_points_of_a_zero_plane_make_the_cast_frame() {
    let mut file: Value = serde_json::from_str(FULL).unwrap();
    file["cast"].as_object_mut().unwrap().remove("frame");
    // The scan's own z is the patient's right, its x anterior, its y occlusal, but for 10 degrees about z.
    let askew = |[right, ahead, up]: [f64; 3]| {
        let (sin, cos) = 10f64.to_radians().sin_cos();
        [cos * ahead - sin * up, sin * ahead + cos * up, right]
    };
    let picked = [[2.4, -2.0, 0.7], [-2.4, -2.0, 0.7], [0.0, 2.2, 0.7]];
    file["zero_plane"]["points"] = json!(picked.map(askew));
    let case = good(&file.to_string());
    assert!(case.establishes_level());
    let cast = case.cast().unwrap();
    for p in picked.iter().chain(&[[1.0, 2.0, -3.0]]) {
        let found = cast.point_in_cast(&askew(*p).into());
        // The scan is in centimetres, and its origin is the cast's.
        let off = (found.coords - 10.0 * nalgebra::Vector3::from(*p)).norm();
        assert!(off < 1e-9, "{p:?}: {found}");
    }
    // Beside a frame that says otherwise it is refused, and says by how much.
    file["cast"]["frame"] =
        json!({"origin": [0, 0, 0], "anterior": [1, 0, 0], "occlusal": [0, 1, 0]});
    let refused = parse(&file.to_string()).unwrap_err().to_string();
    assert!(
        refused.contains("differs from these points by 10.00 degrees"),
        "{refused}"
    );
    // What says nothing of what is level is no plane, and a stated frame does not establish level.
    let mut unsaid: Value = serde_json::from_str(FULL).unwrap();
    unsaid["zero_plane"] = json!({"kind": "mounting"});
    let refused = parse(&unsaid.to_string()).unwrap_err().to_string();
    assert!(
        refused.contains("nothing says what lies level"),
        "{refused}"
    );
    unsaid.as_object_mut().unwrap().remove("zero_plane");
    assert!(!good(&unsaid.to_string()).establishes_level());
}

#[test]
fn an_opposed_zone_that_is_not_there_yet_is_remarked() {
    let alone = with("/seat_zones/1", None);
    assert_eq!(good(&alone).seat_zones()[0].opposes, None);
    let remarks = remarks_of(&alone);
    assert!(
        remarks[0].starts_with("seat_zones[0].opposes: this case has no seat zone named"),
        "{remarks:?}"
    );
    assert_eq!(squeezed(&good(&alone).to_text()), squeezed(&alone));
}

#[test]
fn one_way_and_mutual_opposition_are_one_pair() {
    let mutual = with("/seat_zones/1/opposes", Some(json!("labial flange")));
    let case = good(&mutual);
    assert_eq!(case.seat_zones()[1].opposes, Some(0));
    assert_eq!(case.opposing_pairs(), [(0, 1)]);
    assert!(
        good(&with("/seat_zones/0/opposes", None))
            .opposing_pairs()
            .is_empty()
    );
}

#[test]
fn designations_with_and_without_the_point_are_one_tooth() {
    let case = good(FULL);
    let names: Vec<String> = case.teeth().iter().map(|tooth| tooth.name()).collect();
    assert_eq!(names, ["lower left canine", "lower right canine"]);
    assert_eq!(case.file().copings[1].tooth, "4.3", "kept as written");
    // Two copings of one tooth need an id each, however the tooth is written.
    let twice = with("/copings/0/tooth", Some(json!("43")));
    good(&twice);
    let mut value: Value = serde_json::from_str(&twice).unwrap();
    value["copings"][0]
        .as_object_mut()
        .unwrap()
        .shift_remove("id");
    let error = parse(&value.to_string()).unwrap_err();
    assert_eq!(error.problems()[0].path, "copings[1].tooth", "{error}");
}

#[test]
fn two_copings_in_one_place_are_remarked() {
    let placed = |centre: [f64; 3]| {
        let mut case: Value =
            serde_json::from_str(&lone("33", [-12.0, 14.0, 0.0], [1.0, 0.8, 0.0])).unwrap();
        let mut second = case["copings"][0].clone();
        second["id"] = json!("second");
        second["margin_centre"] = json!(centre);
        case["copings"].as_array_mut().unwrap().push(second);
        let remarks = remarks_of(&case.to_string());
        remarks
            .into_iter()
            .filter(|r| !r.contains("custom"))
            .collect::<Vec<_>>()
    };
    // The margins are 5 mm wide.
    assert_eq!(placed([-12.0, 11.5, 0.0]), [""; 0]);
    assert_eq!(
        placed([-12.0, 14.0, 1.0]),
        [
            "copings[1].margin_centre: the margins of second and 33 have their middles 1.0 mm apart, less \
             than half of what either is wide; two copings cannot stand in one place"
        ]
    );
}

#[test]
fn a_coping_without_a_wall_is_remarked() {
    let mut without: Value = serde_json::from_str(FULL).unwrap();
    without["copings"][0]["walls"] = json!({});
    without["planned"] = json!([]);
    let remarks = remarks_of(&without.to_string());
    assert!(
        remarks
            .iter()
            .any(|r| r.starts_with("copings: no wall is given for left, so nothing of it")),
        "{remarks:?}"
    );
}

#[test]
fn zones_over_each_other_are_remarked() {
    let over = with(
        "/seat_zones/1/outline",
        Some(json!([[-20, 10], [20, 10], [20, 12], [-20, 12]])),
    );
    let remarks = remarks_of(&over);
    let told = remarks
        .iter()
        .find(|r| r.starts_with("seat_zones[1]: "))
        .unwrap();
    assert!(
        told.contains("\"lingual flange\" lies over \"labial flange\" by 80.0 mm²")
            && told.contains("do not add up"),
        "{told}"
    );
}

/// What is planned or done is judged; what was measured since is history; the file keeps what was measured.
#[test]
fn planned_work_is_put_into_effect_and_what_was_measured_is_kept() {
    let case = good(FULL);
    let taper = |of: &[Coping], coping: usize, side: Side| {
        of[coping].wall(side).unwrap().taper_rad.to_degrees()
    };
    assert!(case.is_as_planned());
    assert!((taper(case.copings(), 0, Side::Mesial) - 2.5).abs() < 1e-12);
    assert!((taper(case.measured_copings(), 0, Side::Mesial) - 3.0).abs() < 1e-12);
    let kept = case.file().copings[0].basis.walls().mesial.unwrap();
    assert!((kept.taper_deg - 3.0).abs() < 1e-12);
    // Measured since: history, so the wall guides as its own figures say.
    assert!(case.copings()[1].wall(Side::Distal).unwrap().guides);
    // Of 1.3 mm, 0.4 are waxed and 0.9 stay; of 1.0, what was agreed; the zone without a plan as it is.
    let [labial, lingual] = case.seat_zones() else {
        panic!("two zones")
    };
    for (depth, left) in [(1.3, 0.9), (1.0, 0.8), (0.5, 0.5)] {
        assert!((labial.left_of_mm(depth) - left).abs() < 1e-12, "{depth}");
    }
    assert!((lingual.left_of_mm(1.3) - 1.3).abs() < 1e-12);
    assert!((labial.may_stay_mm() - 0.8).abs() < 1e-12 && lingual.may_stay_mm().abs() < 1e-12);

    let before = case.as_measured();
    assert!(!before.is_as_planned());
    assert!((taper(before.copings(), 0, Side::Mesial) - 3.0).abs() < 1e-12);
    assert!((before.seat_zones()[0].left_of_mm(1.3) - 1.3).abs() < 1e-12);
    assert_eq!(before.file(), case.file());

    // Left out or made anew, a coping limits nothing, whatever else is planned on it.
    for (kind, standing) in [("omit", Stands::Omitted), ("reprepare", Stands::Reprepared)] {
        let text = with(
            "/planned/3",
            Some(json!({"kind": kind, "where": {"coping": "left"}})),
        );
        let case = good(&text);
        assert_eq!(case.copings()[0].standing, standing);
        assert!(
            case.copings()[0]
                .existing_walls()
                .all(|(_, wall)| !wall.guides)
        );
        assert!(
            case.measured_copings()[0]
                .existing_walls()
                .any(|(_, wall)| wall.guides)
        );
    }
}

/// Taken out of the middle, a piece of planned work takes nothing of the others with it.
#[test]
fn keys_of_an_author_stay_with_the_work_they_belong_to() {
    let text = with(
        "/planned/3",
        Some(json!({"kind": "omit", "where": {"coping": "43"}, "x_why": "root"})),
    );
    let case = good(&text);
    let mut file = case.file().clone();
    file.planned.remove(1);
    let after: Value = serde_json::from_str(&case.edited(&file).unwrap().to_text()).unwrap();
    let planned = after["planned"].as_array().unwrap();
    assert_eq!(planned.len(), 3);
    assert_eq!(planned[0]["x_who"], "bench 2");
    assert_eq!(planned[1]["x_why"], Value::Null);
    assert_eq!(planned[2]["x_why"], "root");
}
