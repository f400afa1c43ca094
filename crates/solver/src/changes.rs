//! When no tilt is acceptable: the smallest changes after which one is, with room for the hand.
//!
//! `needs` finds sets of places that could be changed, and by how much; `apply` applies each to a copy of the
//! case and judges the copy as a whole, over all draws. Only sets that pass are reported.

mod apply;
mod needs;

use crate::context::Context;
use crate::control::Cancelled;
use crate::evaluation::Evaluation;
use crate::limit::OverrunScales;
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
    /// Setting allowance of that tilt in the changed case, as proved.
    pub allowance_rad: f64,
    /// No draw farther than this need be asked: one at this angle breaks a limit.
    pub allowance_upper_rad: f64,
}

/// Proposals judged at the most; a bound on work for any input.
const JUDGED_AT_MOST: usize = 24;

/// The smallest sets of changes, fewest changes first, then least amount over scale.
pub(crate) fn changes(
    context: &mut Context<'_, '_, '_>,
    scales: &OverrunScales,
) -> Result<Vec<ChangeSet>, Cancelled> {
    let control = context.field.control;
    control.progress("looking for changes", 0.0);
    let mut proposals: Vec<(f64, Vec<Change>)> =
        needs::proposals(context, scales)?.into_values().collect();
    let cost = |set: &[Change]| set.iter().map(|change| change.cost(scales)).sum::<f64>();
    proposals.sort_by(|(of_a, a), (of_b, b)| {
        let targets = |set: &[Change]| set.iter().map(Change::target).collect::<Vec<_>>();
        (a.len().cmp(&b.len()))
            .then(of_a.total_cmp(of_b))
            .then_with(|| targets(a).cmp(&targets(b)))
    });
    let mut sets: Vec<ChangeSet> = Vec::new();
    let mut judged = 0;
    for (_, proposal) in proposals {
        if sets.len() >= SETS_AT_MOST || judged >= JUDGED_AT_MOST {
            break;
        }
        control.progress("checking changes", sets.len() as f64 / SETS_AT_MOST as f64);
        let holds_another = sets.iter().any(|known| {
            known
                .changes
                .iter()
                .all(|c| proposal.iter().any(|p| p.target() == c.target()))
        });
        if holds_another {
            continue;
        }
        judged += 1;
        sets.extend(apply::verified(context, proposal)?);
    }
    sets.sort_by(|a, b| {
        (a.changes.len().cmp(&b.changes.len())).then(cost(&a.changes).total_cmp(&cost(&b.changes)))
    });
    Ok(sets)
}
