//! What a case means once read: frames, sides, defaults, remarks.

use crate::samples::{FULL, good, parse, with};
use serde_json::json;
use tiltbench_case::Remark;
use tiltbench_geometry::coping::{MillPlan, Side, Wall, WallBasis};
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::limits::Limits;

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

    let [left, right] = case.copings() else {
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
        }
    );
}

#[test]
fn problems_are_listed() {
    let error = parse(&with("/copings/0/walls/mesial/taper_deg", Some(json!(75)))).unwrap_err();
    assert_eq!(error.problems().len(), 1, "{error}");
    assert_eq!(remarks_of(FULL).len(), 1);
}
