//! The limits of a case, one by one, and how a value stands against them.

use crate::problem::Problem;
use tiltbench_geometry::coping::{Side, WallBasis};
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};

/// What is limited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LimitKind {
    /// Least draft of a finished guiding wall, per wall.
    DraftMin,
    /// Centre draft of a finished guiding wall, per wall.
    DraftMax,
    /// Least metal thickness over a guiding prep wall.
    MetalMin,
    /// Greatest metal thickness over a guiding prep wall.
    MetalMax,
    /// Undercut depth of a seat zone.
    ZoneDepth,
    /// Sum of the undercut depths of two zones that oppose each other.
    OpposingDepth,
    /// Total tilt.
    TiltMax,
    /// The rim of the search window: no limit of the case, but beyond it nothing is known.
    Window,
}

/// What happens where a limit is broken. The three are never mixed in one figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LimitClass {
    /// Metal against metal: something binds, or breaks.
    Rigid,
    /// Mucosa: wax cures it, to the thickness that is agreed.
    Seat,
    /// Hold, bulk, habit: nothing binds there.
    Preference,
}

impl LimitClass {
    /// The name in machine-readable answers.
    pub fn key(self) -> &'static str {
        match self {
            Self::Rigid => "rigid",
            Self::Seat => "seat",
            Self::Preference => "preference",
        }
    }
}

/// Whether the bound is a floor or a ceiling.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// The value must not fall below the bound.
    Min,
    /// The value must not rise above the bound.
    Max,
}

impl LimitKind {
    /// Whether the bound is a floor or a ceiling.
    pub fn sense(self) -> Sense {
        match self {
            Self::DraftMin | Self::MetalMin => Sense::Min,
            _ => Sense::Max,
        }
    }

    /// Whether value and bound are angles (radians) rather than lengths (mm).
    pub fn is_angle(self) -> bool {
        matches!(
            self,
            Self::DraftMin | Self::DraftMax | Self::TiltMax | Self::Window
        )
    }

    /// What happens where it is broken.
    pub fn class(self) -> LimitClass {
        match self {
            Self::DraftMin | Self::MetalMin | Self::Window => LimitClass::Rigid,
            Self::ZoneDepth | Self::OpposingDepth => LimitClass::Seat,
            Self::DraftMax | Self::MetalMax | Self::TiltMax => LimitClass::Preference,
        }
    }

    /// Whether the limit comes from the ridge.
    pub fn is_of_ridge(self) -> bool {
        matches!(self, Self::ZoneDepth | Self::OpposingDepth)
    }
}

/// Whether some of these limits is rigid or of the seat; without one there is nothing to judge.
pub fn anything_to_judge(mut kinds: impl Iterator<Item = LimitKind>) -> bool {
    kinds.any(|kind| kind.class() != LimitClass::Preference)
}

/// Where a limit holds. Indices are into the problem's copings and zones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// One wall of one coping.
    Wall(usize, Side),
    /// One zone.
    Zone(usize),
    /// Two zones that oppose each other.
    Zones([usize; 2]),
    /// The table: no place on the cast.
    Table,
}

/// One limit of the case. The bound is in radians or mm, by kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// What is limited.
    pub kind: LimitKind,
    /// Where.
    pub place: Place,
    /// The bound.
    pub bound: f64,
}

impl Limit {
    /// How far `value` lies beyond the bound: positive when broken.
    pub fn overrun(&self, value: f64) -> f64 {
        match self.kind.sense() {
            Sense::Min => self.bound - value,
            Sense::Max => value - self.bound,
        }
    }

    /// Whether `value` meets the limit, with the tolerance in favour of met.
    pub fn is_met(&self, value: f64) -> bool {
        let tolerance = if self.kind.is_angle() {
            MET_RAD
        } else {
            MET_MM
        };
        self.overrun(value) <= tolerance
    }
}

/// A limit and what one draw makes of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitReading {
    /// The limit.
    pub limit: Limit,
    /// The value, radians or mm by the limit's kind.
    pub value: f64,
    /// Whether the value meets the bound.
    pub met: bool,
}

/// Scales that make overruns of different kinds comparable. Wax blockout is cheap, metal is not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverrunScales {
    /// Wall draft, per wall, radians.
    pub wall_draft_rad: f64,
    /// Metal thickness, mm.
    pub metal_mm: f64,
    /// Total tilt, radians.
    pub tilt_rad: f64,
    /// Undercut depth of a zone or of a pair, mm.
    pub zone_mm: f64,
}

impl Default for OverrunScales {
    /// Wall draft 1 degree, metal 0.1 mm, total tilt 2 degrees, zone 0.5 mm (project convention).
    fn default() -> Self {
        Self {
            wall_draft_rad: 1f64.to_radians(),
            metal_mm: 0.1,
            tilt_rad: 2f64.to_radians(),
            zone_mm: 0.5,
        }
    }
}

impl OverrunScales {
    /// The scale of a kind of limit.
    pub fn of(&self, kind: LimitKind) -> f64 {
        match kind {
            LimitKind::DraftMin | LimitKind::DraftMax => self.wall_draft_rad,
            LimitKind::MetalMin | LimitKind::MetalMax => self.metal_mm,
            LimitKind::ZoneDepth | LimitKind::OpposingDepth => self.zone_mm,
            LimitKind::TiltMax | LimitKind::Window => self.tilt_rad,
        }
    }
}

/// All limits of a problem: walls in coping order, then zones, pairs of zones, and the table.
pub fn limits_of(problem: &Problem<'_>) -> Vec<Limit> {
    let mut limits = Vec::new();
    for (index, coping) in problem.copings.iter().enumerate() {
        for (side, wall) in coping.existing_walls().filter(|(_, wall)| wall.guides) {
            let mut push = |kind, bound| {
                limits.push(Limit {
                    kind,
                    place: Place::Wall(index, side),
                    bound,
                });
            };
            match coping.basis {
                WallBasis::Finished => {
                    push(LimitKind::DraftMin, wall.draft_min_rad);
                    push(LimitKind::DraftMax, wall.draft_max_rad);
                }
                WallBasis::Prep(_) => {
                    push(LimitKind::MetalMin, problem.limits.metal_min_mm);
                    push(LimitKind::MetalMax, problem.limits.metal_max_mm);
                }
            }
        }
    }
    for (index, zone) in problem.zones().iter().enumerate() {
        if let Some(bound) = zone.undercut_limit_mm {
            limits.push(Limit {
                kind: LimitKind::ZoneDepth,
                place: Place::Zone(index),
                bound,
            });
        }
    }
    for pair in problem.opposing_zones() {
        limits.push(Limit {
            kind: LimitKind::OpposingDepth,
            place: Place::Zones(pair),
            bound: problem.limits.opposing_undercut_limit_mm,
        });
    }
    limits.push(Limit {
        kind: LimitKind::TiltMax,
        place: Place::Table,
        bound: problem.limits.tilt_max_rad,
    });
    limits
}
