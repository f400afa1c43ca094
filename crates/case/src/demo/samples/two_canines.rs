//! Lower canines with finished copings that lean forward, and a labial undercut.

use super::jaws::{LOWER_CANINE_X, lower};
use crate::demo::cast::Middle;
use crate::demo::coping::{Lean, Planned, PlannedWalls};
use crate::demo::make::Coverage;
use crate::demo::sample::Setup;
use crate::demo::zone::Band;
use crate::schema::v1;
use tiltbench_geometry::frame::Arch as Jaw;

/// The labial undercut is over its limit at zero tilt; lowering the posterior brings it under
/// before the copings object.
pub(in crate::demo) fn two_canines() -> Setup {
    let plan = lower(Middle::CutOut, 33_43);
    let canine = |tooth, x, tip, torque| Planned {
        tooth,
        x,
        out: 0.0,
        z: 0.0,
        lean: Lean::Tooth(tip, torque),
        widths: (5.5, 7.0),
        height: 5.0,
        tapers_deg: [6.0, 4.0, 5.0, 5.5],
        walls: PlannedWalls::Finished,
    };
    let mut case = v1::CaseFile::new("Lower canines, labial undercut", Jaw::Mandibular);
    case.copings = [
        canine("43", LOWER_CANINE_X, 4.0, 3.0),
        canine("33", -LOWER_CANINE_X, 3.5, 4.0),
    ]
    .iter()
    .map(|c| c.authored(&plan.arch))
    .collect();
    case.seat_zones = [
        Band {
            name: "labial flange",
            along: (-24.0, 24.0),
            out: (1.5, 8.5),
            z_range: (-13.0, -2.0),
            limit: v1::UndercutLimit::Depth(1.0),
            opposes: None,
        },
        Band {
            name: "lingual flange",
            along: (-24.0, 24.0),
            out: (-10.0, -1.5),
            z_range: (-10.5, -2.0),
            limit: v1::UndercutLimit::Depth(0.5),
            opposes: Some("labial flange"),
        },
    ]
    .iter()
    .map(|band| band.authored(&plan.arch))
    .collect();
    case.limits.opposing_undercut_limit_mm = Some(1.2);
    Setup {
        case,
        cast: Some((plan, Coverage::Above(-15.2))),
    }
}
