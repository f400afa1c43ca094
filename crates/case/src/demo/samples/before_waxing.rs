//! Four prepared lower roots before waxing, with a metal budget.

use super::jaws::{LOWER_CANINE_X, lower};
use crate::demo::cast::Middle;
use crate::demo::coping::{Lean, Planned, PlannedWalls};
use crate::demo::make::Coverage;
use crate::demo::sample::Setup;
use crate::demo::zone::Band;
use crate::schema::v1;
use tiltbench_geometry::frame::Arch as Jaw;

/// The labial undercut asks for a tilt, and the metal over the cores limits it.
pub(in crate::demo) fn before_waxing() -> Setup {
    let mut plan = lower(Middle::CutOut, 34_44);
    plan.ridge.labial_recess = &[
        (0.0, 1.8),
        (7.0, 1.8),
        (15.0, 1.0),
        (24.0, 0.6),
        (34.0, 0.0),
    ];
    let root = |tooth, x, tip, torque, widths| Planned {
        tooth,
        x,
        out: 0.0,
        z: 0.0,
        lean: Lean::Tooth(tip, torque),
        widths,
        height: 4.0,
        tapers_deg: [8.0, 8.0, 8.0, 8.0],
        walls: PlannedWalls::Prep(6.0, 0.6),
    };
    let mut case = v1::CaseFile::new("Lower canines and premolars before waxing", Jaw::Mandibular);
    case.copings = [
        root("44", 17.0, 2.0, -1.0, (4.4, 6.0)),
        root("43", LOWER_CANINE_X, 2.0, 2.0, (4.8, 6.4)),
        root("33", -LOWER_CANINE_X, 3.0, 1.0, (4.8, 6.4)),
        root("34", -17.0, 1.0, 0.0, (4.4, 6.0)),
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
    case.limits.metal_min_mm = Some(0.3);
    case.limits.metal_max_mm = Some(1.2);
    Setup {
        case,
        cast: Some((plan, Coverage::Whole)),
    }
}
