//! Three abutments of which any two share a draw and all three do not.

use super::jaws::upper;
use crate::demo::coping::{Lean, Planned, PlannedWalls};
use crate::demo::make::Coverage;
use crate::demo::sample::Setup;
use crate::demo::zone::Band;
use crate::schema::v1;
use tiltbench_geometry::frame::Arch as Jaw;

/// Axes lean 10 degrees apart from the vertical toward three sides, every wall tapers 9.
///
/// Derivation: two such axes diverge by 17.298 degrees, less than 2 × 9; the cap that holds all
/// three has a radius of 10, more than 9. The best draw is the vertical, 1 degree undercut.
pub(in crate::demo) fn three_no_common_draw() -> Setup {
    let plan = upper(11_15);
    let coping = |tooth, x, azimuth, widths| Planned {
        tooth,
        x,
        out: 0.0,
        z: 0.2,
        lean: Lean::Toward(10.0, azimuth),
        widths,
        height: 5.0,
        tapers_deg: [9.0; 4],
        walls: PlannedWalls::AllGuide,
    };
    let mut case = v1::CaseFile::new(
        "Three upper abutments without a common draw",
        Jaw::Maxillary,
    );
    case.copings = [
        coping("15", -22.0, 210.0, (5.0, 8.0)),
        coping("21", 4.2, 90.0, (7.0, 6.0)),
        coping("25", 22.0, 330.0, (5.0, 8.0)),
    ]
    .iter()
    .map(|c| c.authored(&plan.arch))
    .collect();
    case.seat_zones = vec![
        Band {
            name: "labial flange",
            along: (-22.0, 22.0),
            out: (1.5, 9.0),
            z_range: (-13.0, -2.0),
            limit: v1::UndercutLimit::Unlimited,
            opposes: None,
        }
        .authored(&plan.arch),
    ];
    // Opposing walls taper 18 in all, so no draw keeps them all under the usual 10.
    case.limits.wall_draft_max_deg = Some(20.0);
    Setup {
        case,
        cast: Some((plan, Coverage::Above(-14.5))),
    }
}
