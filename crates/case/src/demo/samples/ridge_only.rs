//! A lower ridge without copings.

use super::jaws::lower;
use crate::demo::cast::Middle;
use crate::demo::make::Coverage;
use crate::demo::sample::Setup;
use crate::demo::zone::Band;
use crate::schema::v1;
use tiltbench_geometry::frame::Arch as Jaw;

/// Only the ridge speaks: labial in front, lingual under the mylohyoid ridge on both sides.
pub(in crate::demo) fn ridge_only() -> Setup {
    let plan = lower(Middle::Filled, 70_07);
    let lingual = |name, along, opposes| Band {
        name,
        along,
        out: (-11.5, -1.5),
        z_range: (-14.0, -3.5),
        limit: v1::UndercutLimit::Depth(1.0),
        opposes,
    };
    let mut case = v1::CaseFile::new("Lower ridge without copings", Jaw::Mandibular);
    case.seat_zones = [
        Band {
            name: "labial flange",
            along: (-22.0, 22.0),
            out: (1.0, 8.5),
            z_range: (-13.0, -2.5),
            limit: v1::UndercutLimit::Depth(1.0),
            opposes: None,
        },
        lingual("lingual right", (26.0, 52.0), None),
        lingual("lingual left", (-52.0, -26.0), Some("lingual right")),
    ]
    .iter()
    .map(|band| band.authored(&plan.arch))
    .collect();
    case.limits.opposing_undercut_limit_mm = Some(1.8);
    Setup {
        case,
        cast: Some((plan, Coverage::Above(-15.0))),
    }
}
