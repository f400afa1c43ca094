//! What a left-out key means: every default of the case file, in one table.
//!
//! | key | default | basis |
//! |---|---|---|
//! | `limits.wall_draft_min_deg` | 0 | convention |
//! | `limits.wall_draft_max_deg` | 10 | convention |
//! | `limits.tilt_max_deg` | 15 | convention |
//! | `limits.metal_min_mm` | 0.3 | published |
//! | `limits.metal_max_mm` | 2.0 | convention |
//! | `limits.opposing_undercut_limit_mm` | 1.0 | memory |
//! | `limits.allowance_wanted_deg` | 2 | convention |
//! | `limits.setting_step_deg` | 1 | convention |
//! | `seat_zones[].undercut_limit_mm` | 1.0 | memory |
//! | `copings[].walls.*.half_sector_deg` | 45 | convention |
//! | `copings[].walls.*.guides` | mesial, distal, lingual | convention |
//! | `cast.scan_unit` | mm | convention |
//!
//! A wall's own `height_mm`, `draft_min_deg` and `draft_max_deg` default to the coping's height and
//! the case's drafts, a coping's `id` to its tooth: values of the same file, not of this table.

use crate::mesh_io::Unit;
use tiltbench_geometry::coping::Side;

/// What a default rests on. Shown wherever the value decides something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// A figure in print.
    Published,
    /// Common practice, or a choice of this project.
    Convention,
    /// Recalled from the textbooks named, without a figure in print at hand.
    Memory,
}

impl Basis {
    /// As shown on screens and sheets.
    pub fn word(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::Convention => "convention",
            Self::Memory => "from memory",
        }
    }
}

/// One default.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Default {
    /// Path of the key; `[]` for any element, `*` for any wall.
    pub key: &'static str,
    /// Its value, in the file's own unit.
    pub value: f64,
    /// The unit.
    pub unit: &'static str,
    /// What it rests on.
    pub basis: Basis,
    /// Where it comes from, in a sentence.
    pub source: &'static str,
}

/// Required draft of a guiding wall.
pub const WALL_DRAFT_MIN: Default = Default {
    key: "limits.wall_draft_min_deg",
    value: 0.0,
    unit: "degrees per wall",
    basis: Basis::Convention,
    source: "a wall parallel to the draw still draws; below 0 it is undercut",
};

/// Greatest draft of a guiding wall.
pub const WALL_DRAFT_MAX: Default = Default {
    key: "limits.wall_draft_max_deg",
    value: 10.0,
    unit: "degrees per wall",
    basis: Basis::Convention,
    source: "project convention: beyond 8 degrees a conical coping is taught to support without \
             holding, and still guides",
};

/// Greatest total tilt.
pub const TILT_MAX: Default = Default {
    key: "limits.tilt_max_deg",
    value: 15.0,
    unit: "degrees",
    basis: Basis::Convention,
    source: "teaching notes on surveying: rarely more than 10 to 15 degrees from horizontal, as \
             the mouth cannot be opened wide enough; no primary source found",
};

/// Least metal thickness.
pub const METAL_MIN: Default = Default {
    key: "limits.metal_min_mm",
    value: 0.3,
    unit: "mm",
    basis: Basis::Published,
    source: "noble alloy copings of 0.3 to 0.5 mm, a figure printed for metal-ceramic copings; \
             0.5 mm is advised on axial walls",
};

/// Greatest metal thickness.
pub const METAL_MAX: Default = Default {
    key: "limits.metal_max_mm",
    value: 2.0,
    unit: "mm",
    basis: Basis::Convention,
    source: "project convention: thicker metal crowds the denture tooth",
};

/// Greatest sum of the depths of two opposing zones.
pub const OPPOSING_UNDERCUT_LIMIT: Default = Default {
    key: "limits.opposing_undercut_limit_mm",
    value: 1.0,
    unit: "mm",
    basis: Basis::Memory,
    source: "complete denture textbooks: 0.5 mm on each of two opposing sides; a convention, not \
             evidence",
};

/// Setting allowance that a recommended tilt is to have.
pub const ALLOWANCE_WANTED: Default = Default {
    key: "limits.allowance_wanted_deg",
    value: 2.0,
    unit: "degrees",
    basis: Basis::Convention,
    source: "project convention: what a careful hand may miss a protractor by, and as much again",
};

/// Step in which the hand sets the table.
pub const SETTING_STEP: Default = Default {
    key: "limits.setting_step_deg",
    value: 1.0,
    unit: "degrees",
    basis: Basis::Convention,
    source: "common practice: a protractor is read to half a degree at best",
};

/// Greatest undercut depth of a zone.
pub const ZONE_UNDERCUT_LIMIT: Default = Default {
    key: "seat_zones[].undercut_limit_mm",
    value: 1.0,
    unit: "mm",
    basis: Basis::Memory,
    source: "complete denture textbooks: about 1 mm on resilient mucosa, 0.5 mm where it is thin; \
             a convention, not evidence",
};

/// Half the width of a wall's sector.
pub const HALF_SECTOR: Default = Default {
    key: "copings[].walls.*.half_sector_deg",
    value: 45.0,
    unit: "degrees",
    basis: Basis::Convention,
    source: "four equal walls around the margin",
};

/// Every numeric default.
pub const TABLE: [Default; 10] = [
    WALL_DRAFT_MIN,
    WALL_DRAFT_MAX,
    TILT_MAX,
    METAL_MIN,
    METAL_MAX,
    OPPOSING_UNDERCUT_LIMIT,
    ALLOWANCE_WANTED,
    SETTING_STEP,
    ZONE_UNDERCUT_LIMIT,
    HALF_SECTOR,
];

/// Whether a wall guides when the file does not say. By custom the labial wall does not: it carries
/// a concavity for the denture tooth and a slightly prominent cervical contour.
pub fn guides(side: Side) -> bool {
    side != Side::Labial
}

/// Unit of a scan that states none. Common practice of dental scanners; plausibility is judged when
/// the scan is read.
pub const SCAN_UNIT: Unit = Unit::Millimetre;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_in_the_documentation_is_the_table_in_the_code() {
        let documented: Vec<&str> = include_str!("defaults.rs")
            .lines()
            .filter(|line| line.starts_with("//! | `"))
            .collect();
        // Two of the documented defaults are no numbers.
        assert_eq!(documented.len(), TABLE.len() + 2);
        for (line, default) in documented.iter().zip(TABLE) {
            let cells: Vec<&str> = line.split('|').map(str::trim).collect();
            assert_eq!(cells[1], format!("`{}`", default.key));
            assert_eq!(cells[2].parse(), Ok(default.value), "{line}");
            assert!(default.basis.word().ends_with(cells[3]), "{line}");
        }
    }
}
