//! Upper canines and premolars; the labial undercut wants the posterior lowered, the tuberosities
//! resist it.

use super::jaws::{UPPER_CANINE_X, upper};
use crate::demo::coping::{Lean, Planned, PlannedWalls};
use crate::demo::make::Coverage;
use crate::demo::sample::Setup;
use crate::demo::zone::Band;
use crate::schema::v1;
use tiltbench_geometry::frame::Arch as Jaw;

/// Acceptable tilts exist, in a narrow run.
pub(in crate::demo) fn upper_compromise() -> Setup {
    let plan = upper(13_23);
    let coping = |tooth, x, tip, torque, widths| Planned {
        tooth,
        x,
        out: 0.0,
        z: 0.0,
        lean: Lean::Tooth(tip, torque),
        widths,
        height: 5.0,
        tapers_deg: [5.0, 3.0, 6.5, 5.0],
        walls: PlannedWalls::Finished,
    };
    let mut case = v1::CaseFile::new("Upper canines and premolars, a compromise", Jaw::Maxillary);
    case.copings = [
        coping("13", -UPPER_CANINE_X, 3.0, 3.0, (5.5, 7.0)),
        coping("15", -22.0, 2.0, 0.0, (5.0, 8.0)),
        coping("23", UPPER_CANINE_X, 2.0, 4.0, (5.5, 7.0)),
        coping("24", 20.5, 2.0, 0.0, (5.0, 8.0)),
    ]
    .iter()
    .map(|c| c.authored(&plan.arch))
    .collect();
    let tuberosity = |name, along, opposes| Band {
        name,
        along,
        out: (-2.0, 11.0),
        z_range: (-12.5, -4.0),
        limit: v1::UndercutLimit::Depth(1.2),
        opposes,
    };
    case.seat_zones = [
        Band {
            name: "labial flange",
            along: (-24.0, 24.0),
            out: (1.5, 9.0),
            z_range: (-13.0, -2.0),
            limit: v1::UndercutLimit::Depth(1.0),
            opposes: None,
        },
        tuberosity("tuberosity right", (-62.0, -40.0), None),
        tuberosity("tuberosity left", (40.0, 62.0), Some("tuberosity right")),
    ]
    .iter()
    .map(|band| band.authored(&plan.arch))
    .collect();
    case.limits.opposing_undercut_limit_mm = Some(2.4);
    Setup {
        case,
        cast: Some((plan, Coverage::Above(-14.5))),
    }
}
