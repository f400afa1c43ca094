//! The limits of the whole case.

use tiltbench_case::defaults::{self, Default};
use tiltbench_case::schema::v1::{CaseFile, Limits};

/// One of the case's limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CaseLimit {
    /// Required draft of guiding walls that state none, degrees per wall.
    WallDraftMin,
    /// Greatest draft of guiding walls that state none, degrees per wall.
    WallDraftMax,
    /// Greatest total tilt, degrees.
    TiltMax,
    /// Least metal thickness, mm.
    MetalMin,
    /// Greatest metal thickness, mm.
    MetalMax,
    /// Greatest sum of the depths of two opposing zones, mm.
    OpposingUndercut,
}

impl CaseLimit {
    /// All of them, in the order of the file.
    pub const ALL: [Self; 6] = [
        Self::WallDraftMin,
        Self::WallDraftMax,
        Self::TiltMax,
        Self::MetalMin,
        Self::MetalMax,
        Self::OpposingUndercut,
    ];

    /// In words, as after "Change".
    pub fn words(self) -> &'static str {
        match self {
            Self::WallDraftMin => "required draft per wall",
            Self::WallDraftMax => "greatest draft per wall",
            Self::TiltMax => "greatest total tilt",
            Self::MetalMin => "least metal thickness",
            Self::MetalMax => "greatest metal thickness",
            Self::OpposingUndercut => "limit of opposing undercuts",
        }
    }

    /// Its value as the case states it; none where it is left to the default.
    pub fn of(self, limits: &Limits) -> Option<f64> {
        match self {
            Self::WallDraftMin => limits.wall_draft_min_deg,
            Self::WallDraftMax => limits.wall_draft_max_deg,
            Self::TiltMax => limits.tilt_max_deg,
            Self::MetalMin => limits.metal_min_mm,
            Self::MetalMax => limits.metal_max_mm,
            Self::OpposingUndercut => limits.opposing_undercut_limit_mm,
        }
    }

    /// What it is where the case leaves it out, with its key in the file.
    pub fn default(self) -> Default {
        match self {
            Self::WallDraftMin => defaults::WALL_DRAFT_MIN,
            Self::WallDraftMax => defaults::WALL_DRAFT_MAX,
            Self::TiltMax => defaults::TILT_MAX,
            Self::MetalMin => defaults::METAL_MIN,
            Self::MetalMax => defaults::METAL_MAX,
            Self::OpposingUndercut => defaults::OPPOSING_UNDERCUT_LIMIT,
        }
    }

    pub(crate) fn place(self, limits: &mut Limits) -> &mut Option<f64> {
        match self {
            Self::WallDraftMin => &mut limits.wall_draft_min_deg,
            Self::WallDraftMax => &mut limits.wall_draft_max_deg,
            Self::TiltMax => &mut limits.tilt_max_deg,
            Self::MetalMin => &mut limits.metal_min_mm,
            Self::MetalMax => &mut limits.metal_max_mm,
            Self::OpposingUndercut => &mut limits.opposing_undercut_limit_mm,
        }
    }
}

/// Sets one limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitCommand {
    /// Which.
    pub limit: CaseLimit,
    /// Its value in degrees or mm; `None` leaves it to the default.
    pub value: Option<f64>,
}

impl LimitCommand {
    pub(crate) fn name(self) -> String {
        format!("Change {}", self.limit.words())
    }
}

pub(super) fn apply(command: LimitCommand, file: &mut CaseFile) {
    *command.limit.place(&mut file.limits) = command.value;
}
