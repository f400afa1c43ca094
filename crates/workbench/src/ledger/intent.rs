//! What the ledger asks for.

use crate::pointed::Pointed;
use tiltbench_geometry::coping::Side;

/// A limit of the whole case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CaseFigure {
    /// Required draft of guiding walls, degrees per wall.
    WallDraftMin,
    /// Greatest draft of guiding walls, degrees per wall.
    WallDraftMax,
    /// Greatest total tilt, degrees.
    TiltMax,
    /// Least metal, mm.
    MetalMin,
    /// Most metal, mm.
    MetalMax,
    /// Greatest sum of depths of two opposing zones, mm.
    OpposingUndercut,
}

/// A number the case owns, and what it is to be. Copings and zones by their place in the case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LedgerEdit {
    /// Taper of a wall against the coping's own axis, degrees per wall.
    Taper {
        /// The coping.
        coping: usize,
        /// The wall.
        side: Side,
        /// The taper.
        degrees: f64,
    },
    /// A wall's own required draft, degrees.
    DraftMin {
        /// The coping.
        coping: usize,
        /// The wall.
        side: Side,
        /// The draft.
        degrees: f64,
    },
    /// A wall's own greatest draft, degrees.
    DraftMax {
        /// The coping.
        coping: usize,
        /// The wall.
        side: Side,
        /// The draft.
        degrees: f64,
    },
    /// Height of a coping along its axis, mm.
    Height {
        /// The coping.
        coping: usize,
        /// The height.
        mm: f64,
    },
    /// Taper a coping will be milled with, against the draw, degrees per wall.
    MillTaper {
        /// The coping.
        coping: usize,
        /// The taper.
        degrees: f64,
    },
    /// Metal at the margin of a coping before waxing, mm.
    MarginThickness {
        /// The coping.
        coping: usize,
        /// The thickness.
        mm: f64,
    },
    /// Limit of the undercut depth of a zone, mm; `None`: it does not decide.
    ZoneLimit {
        /// The zone.
        zone: usize,
        /// The limit.
        mm: Option<f64>,
    },
    /// A limit of the whole case, in its unit.
    Case(CaseFigure, f64),
}

/// What the hand did.
#[derive(Debug, Clone, PartialEq)]
pub enum LedgerIntent {
    /// A number is being dragged; it previews until [`LedgerIntent::Release`].
    Preview(LedgerEdit),
    /// The number was let go: what was previewed last holds.
    Release,
    /// A number was typed: one step.
    Do(LedgerEdit),
    /// The pointer rests on something else now, or on nothing.
    Points(Option<Pointed>),
}
