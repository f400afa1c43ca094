//! Lower copings measured by hand with an analysing rod and a gauge; no scan.

use super::jaws::{LOWER_CANINE_X, lower};
use crate::demo::cast::Middle;
use crate::demo::coping::{Lean, Planned, PlannedWalls};
use crate::demo::sample::Setup;
use crate::schema::v1;
use tiltbench_geometry::frame::Arch as Jaw;

/// Tapers in half degrees, as a hand reads them.
pub(in crate::demo) fn walls_only() -> Setup {
    let arch = lower(Middle::Filled, 0).arch;
    let coping = |tooth, x, (tip, torque), widths, height, tapers_deg| Planned {
        tooth,
        x,
        out: 0.0,
        z: 0.0,
        lean: Lean::Tooth(tip, torque),
        widths,
        height,
        tapers_deg,
        walls: PlannedWalls::Finished,
    };
    let mut case = v1::CaseFile::new("Four lower copings measured by hand", Jaw::Mandibular);
    case.copings = [
        coping(
            "44",
            17.0,
            (1.0, -2.0),
            (5.0, 6.5),
            4.0,
            [5.0, 2.0, 4.5, 5.5],
        ),
        coping(
            "43",
            LOWER_CANINE_X,
            (3.0, 2.0),
            (5.5, 7.0),
            5.0,
            [4.5, 1.0, 5.0, 5.0],
        ),
        coping(
            "33",
            -LOWER_CANINE_X,
            (2.0, 3.0),
            (5.5, 7.0),
            5.0,
            [5.0, 1.5, 5.5, 4.5],
        ),
        coping(
            "35",
            -20.0,
            (2.0, -1.0),
            (5.0, 7.0),
            4.0,
            [5.5, 3.0, 5.0, 6.0],
        ),
    ]
    .iter()
    .map(|c| c.authored(&arch))
    .collect();
    Setup { case, cast: None }
}
