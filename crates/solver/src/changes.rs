//! When no tilt is acceptable: the smallest changes after which one is, with room for the hand.
//!
//! At any one draw it is plain what would have to change there: each wall whose margin falls short
//! of the wanted allowance must be retapered or stop guiding, each zone too deep near the draw must
//! be blocked out or relieved. So draws are visited, the needs of each are listed, and for every
//! set of places the draw with the least total need is kept. Amounts are rounded up to what a hand
//! can make, applied to a copy of the case, and the copy is judged afresh: only sets that pass are
//! reported.
//!
//! What may be missed: a set that works only on a patch of draws smaller than the visiting grid of
//! half a degree, or that the ridge's map overlooks.

mod apply;
mod needs;

use crate::control::Cancelled;
use crate::evaluation::Evaluation;
use crate::field::Field;
use crate::limit::OverrunScales;
use crate::ridge_map::RidgeMap;
use tiltbench_geometry::coping::Side;

pub use apply::{Changed, apply};

/// Allowance that changes must buy: 1 degree, below which a tilt is tighter than a hand sets
/// reliably.
pub(crate) const WANTED_ALLOWANCE_RAD: f64 = std::f64::consts::PI / 180.0;

/// Changes in one set at the most.
pub(crate) const CHANGES_AT_MOST: usize = 3;

/// Sets reported at the most.
pub(crate) const SETS_AT_MOST: usize = 5;

/// Metal that retapering may take at the edge of a finished wall before the coping has to be
/// remade, mm (project convention: the least thickness a coping wall is given).
pub(crate) const REMAKE_BEYOND_MM: f64 = 0.3;

/// mm. Beyond this the wax would hold the base visibly off the mucosa, and the flange is relieved
/// instead (project convention).
pub(crate) const RELIEVE_BEYOND_MM: f64 = 1.0;

/// One change. Amounts are as rounded for the hand: 0.5 degree or 0.1 mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// Gives a wall another taper.
    Retaper {
        /// Index of the coping.
        coping: usize,
        /// The wall.
        side: Side,
        /// Added taper, per wall, radians; negative takes taper away.
        by_rad: f64,
        /// Metal it takes at the edge of a finished wall, mm; `None` for a prep wall.
        metal_mm: Option<f64>,
    },
    /// Leaves a wall out of guiding.
    Unguide {
        /// Index of the coping.
        coping: usize,
        /// The wall.
        side: Side,
        /// By how much it falls short for the draw and its allowance, radians.
        short_by_rad: f64,
    },
    /// Blocks out a zone to a depth, or relieves the base over it.
    Clear {
        /// Index of the zone.
        zone: usize,
        /// Depth taken out of the undercut, mm.
        depth_mm: f64,
    },
}

impl Change {
    /// Whether a retapered finished coping had better be remade.
    pub fn is_remake(&self) -> bool {
        matches!(self, Self::Retaper { metal_mm: Some(metal), .. } if *metal > REMAKE_BEYOND_MM)
    }

    /// Whether a cleared zone is better relieved in the base than blocked out with wax.
    pub fn is_relief(&self) -> bool {
        matches!(self, Self::Clear { depth_mm, .. } if *depth_mm > RELIEVE_BEYOND_MM)
    }

    /// Amount over scale.
    pub fn cost(&self, scales: &OverrunScales) -> f64 {
        match self {
            Self::Retaper { by_rad, .. } => by_rad.abs() / scales.wall_draft_rad,
            Self::Unguide { short_by_rad, .. } => short_by_rad / scales.wall_draft_rad,
            Self::Clear { depth_mm, .. } => depth_mm / scales.zone_mm,
        }
    }

    /// The place that is changed; two sets are compared by these.
    fn target(&self) -> Target {
        match *self {
            Self::Retaper { coping, side, .. } => Target::Taper(coping, side),
            Self::Unguide { coping, side, .. } => Target::Guiding(coping, side),
            Self::Clear { zone, .. } => Target::Zone(zone),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Target {
    Taper(usize, Side),
    Guiding(usize, Side),
    Zone(usize),
}

/// A set of changes and the tilt it opens.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeSet {
    /// The changes, walls in coping order, then zones.
    pub changes: Vec<Change>,
    /// The changed case at the tilt it opens.
    pub result: Evaluation,
    /// Setting allowance of that tilt in the changed case.
    pub allowance_rad: f64,
}

/// The smallest sets of changes, fewest changes first, then least amount over scale.
pub(crate) fn changes(
    field: &Field<'_>,
    map: &RidgeMap,
    scales: &OverrunScales,
) -> Result<Vec<ChangeSet>, Cancelled> {
    let mut proposals = needs::proposals(field, map, scales)?;
    let cost = |set: &[Change]| set.iter().map(|change| change.cost(scales)).sum::<f64>();
    proposals.sort_by(|(a, _), (b, _)| {
        let targets = |set: &[Change]| set.iter().map(Change::target).collect::<Vec<_>>();
        (a.len().cmp(&b.len()))
            .then(cost(a).total_cmp(&cost(b)))
            .then_with(|| targets(a).cmp(&targets(b)))
    });
    let mut sets: Vec<ChangeSet> = Vec::new();
    for (proposal, d) in proposals {
        if sets.len() >= SETS_AT_MOST {
            break;
        }
        field
            .control
            .progress("checking changes", sets.len() as f64 / SETS_AT_MOST as f64);
        let holds_another = sets.iter().any(|known| {
            known
                .changes
                .iter()
                .all(|c| proposal.iter().any(|p| p.target() == c.target()))
        });
        if holds_another {
            continue;
        }
        if let Some(set) = apply::verified(field, proposal, &d)? {
            sets.push(set);
        }
    }
    sets.sort_by(|a, b| {
        (a.changes.len().cmp(&b.changes.len())).then(cost(&a.changes).total_cmp(&cost(&b.changes)))
    });
    Ok(sets)
}
