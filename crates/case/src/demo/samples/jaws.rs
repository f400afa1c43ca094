//! The lower and the upper ridge the samples start from.
//!
//! Arches pass through the canines and the first molars at the widths usual for tooth positions:
//! lower canine tips 25-26 mm apart, upper 33-35, first molars 45-50 (common figures of dental
//! anatomy, from memory).

use crate::demo::arch::Arch;
use crate::demo::cast::{CastPlan, Middle, Palate, RidgePlan, Tuberosity};
use nalgebra::Vector3;

/// x of the crest at the lower canine, mm: tips 25.5 apart.
pub(super) const LOWER_CANINE_X: f64 = 12.75;
/// x of the crest at the upper canine, mm: tips 34 apart.
pub(super) const UPPER_CANINE_X: f64 = 17.0;

/// A resorbed lower ridge: high at the canines, low behind, rising to the retromolar pads.
pub(super) fn lower(middle: Middle, seed: u64) -> CastPlan {
    CastPlan {
        arch: Arch::through(20.0, (LOWER_CANINE_X, 5.5), (24.0, 28.0)),
        ridge: RidgePlan {
            crest: &[(0.0, -2.4), (14.5, -1.2), (36.0, -4.0), (55.0, 0.5)],
            labial: &[
                (0.0, 3.8),
                (15.0, 5.2),
                (24.0, 5.0),
                (40.0, 5.0),
                (53.0, 6.0),
            ],
            lingual: &[
                (0.0, 3.6),
                (15.0, 4.8),
                (24.0, 4.8),
                (40.0, 4.6),
                (53.0, 5.2),
            ],
            labial_recess: &[
                (0.0, 1.95),
                (7.0, 1.95),
                (16.0, 1.3),
                (24.0, 0.6),
                (34.0, 0.0),
            ],
            lingual_recess: &[(24.0, 0.0), (36.0, 2.3), (50.0, 2.3), (58.0, 1.0)],
            lingual_flare: 0.22,
            sulcus: &[(0.0, -13.5), (20.0, -12.5), (40.0, -10.5), (55.0, -8.0)],
            floor: &[(0.0, -11.0), (22.0, -11.0), (40.0, -13.5), (60.0, -13.0)],
        },
        middle,
        tuberosity: None,
        heel_y: -30.0,
        bottom_z: -19.0,
        seed,
    }
}

/// An upper ridge with its palate and the tuberosities bulging at its ends.
pub(super) fn upper(seed: u64) -> CastPlan {
    CastPlan {
        arch: Arch::through(24.0, (UPPER_CANINE_X, 9.0), (24.5, 30.0)),
        ridge: RidgePlan {
            crest: &[
                (0.0, -2.2),
                (21.0, -1.2),
                (28.0, -1.4),
                (41.0, -3.0),
                (57.0, -11.5),
            ],
            labial: &[
                (0.0, 4.2),
                (20.0, 5.4),
                (28.0, 5.8),
                (42.0, 5.2),
                (50.0, 5.4),
            ],
            lingual: &[(0.0, 4.2), (20.0, 5.4), (28.0, 5.8), (42.0, 4.6)],
            labial_recess: &[
                (0.0, 1.86),
                (11.0, 1.86),
                (21.0, 1.2),
                (30.0, 0.5),
                (40.0, 0.3),
            ],
            lingual_recess: &[],
            lingual_flare: 0.55,
            sulcus: &[(0.0, -13.5), (20.0, -13.5), (38.0, -12.0), (60.0, -11.5)],
            floor: &[],
        },
        middle: Middle::Palate(Palate {
            vault: &[(-28.0, -11.5), (-10.0, -13.5), (6.0, -11.0), (18.0, -6.0)],
            rugae: 0.35,
        }),
        tuberosity: Some(Tuberosity {
            along: 49.0,
            out: 0.3,
            z: -6.6,
            radii: Vector3::new(8.6, 6.2, 4.8),
            plus_x_larger: 0.02,
        }),
        heel_y: -28.0,
        bottom_z: -22.0,
        seed,
    }
}
