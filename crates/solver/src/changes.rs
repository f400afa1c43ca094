//! When no tilt is acceptable: the smallest changes after which one is, with room for the hand.
//!
//! At any one draw it is plain what would have to change there: each wall whose margin falls short
//! of the wanted allowance must be retapered or stop guiding, or its coping must be made anew or left out;
//! each zone too deep near the draw must be blocked out. So draws are visited, the needs of each are listed,
//! and for every set of places the draw with the least total need is kept. Amounts are rounded up to what a
//! hand can make, applied to a copy of the case, and the copy is judged afresh: only sets that pass are
//! reported, each with the tilt that is then recommended.
//!
//! What may be missed: a set that works only on a patch of draws smaller than the visiting grid of
//! half a degree, or that the ridge's map overlooks.
//!
//! * `needs`: what has to change at a draw; `apply`: sets put into effect in a copy, and judged.

mod apply;
mod needs;

use crate::allowance::Judged;
use crate::control::Cancelled;
use crate::evaluation::Evaluation;
use crate::field::Field;
use crate::limit::OverrunScales;
use crate::most_forgiving::TIE_RAD;
use crate::ridge_map::RidgeMap;
use crate::search::Chart;
use tiltbench_geometry::coping::{Coping, Side, WallBasis};
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::work::{Blockout, Standing, Work};

pub use apply::{Changed, apply};

/// Allowance that changes must buy: 1 degree, below which a tilt is tighter than a hand sets
/// reliably.
pub(crate) const WANTED_ALLOWANCE_RAD: f64 = std::f64::consts::PI / 180.0;

/// Changes in one set at the most, unless no set so small will do.
pub const CHANGES_AT_MOST: usize = 3;

/// Sets reported at the most.
pub(crate) const SETS_AT_MOST: usize = 5;

/// What making a coping anew costs beside the amounts of the others over their scales, and what leaving it
/// out does (project convention).
const REPREPARE_COST: f64 = 20.0;
const OMIT_COST: f64 = 40.0;

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
    /// Blocks out a zone.
    Blockout {
        /// Index of the zone.
        zone: usize,
        /// How much wax, and what is left.
        blockout: Blockout,
    },
    /// Prepares a root again and makes its coping anew to the draw.
    Reprepare {
        /// Index of the coping.
        coping: usize,
    },
    /// Leaves a coping out.
    Omit {
        /// Index of the coping.
        coping: usize,
    },
}

impl Change {
    /// Amount over scale; of a coping made anew or left out, what that counts for.
    pub fn cost(&self, scales: &OverrunScales) -> f64 {
        match self {
            Self::Retaper { by_rad, .. } => by_rad.abs() / scales.wall_draft_rad,
            Self::Unguide { short_by_rad, .. } => short_by_rad / scales.wall_draft_rad,
            Self::Blockout { blockout, .. } => blockout.wax_mm / scales.zone_mm,
            Self::Reprepare { .. } => REPREPARE_COST,
            Self::Omit { .. } => OMIT_COST,
        }
    }

    /// The work that it comes to, on the copings of a case.
    pub fn work(&self, copings: &[Coping]) -> Work {
        match *self {
            Self::Retaper {
                coping,
                side,
                by_rad,
            } => {
                let wall = copings.get(coping).and_then(|coping| coping.wall(side));
                Work::Retaper {
                    coping,
                    side,
                    taper_rad: wall.map_or(0.0, |wall| wall.taper_rad) + by_rad,
                }
            }
            Self::Unguide { coping, side, .. } => Work::Unguide { coping, side },
            Self::Blockout { zone, blockout } => Work::Blockout { zone, blockout },
            Self::Reprepare { coping } => Work::Reprepare { coping },
            Self::Omit { coping } => Work::Omit { coping },
        }
    }

    /// The place that is changed; two sets are compared by these.
    fn target(&self) -> Target {
        match *self {
            Self::Retaper { coping, side, .. } => Target::Taper(coping, side),
            Self::Unguide { coping, side, .. } => Target::Guiding(coping, side),
            Self::Blockout { zone, .. } => Target::Zone(zone),
            Self::Reprepare { coping } => Target::Anew(coping),
            Self::Omit { coping } => Target::Without(coping),
        }
    }
}

/// Metal that a retaper takes at the edge of a finished wall, mm; `None` for a prep wall, or for one that
/// is not there.
///
/// Derivation: the wall turns about its foot when it gains taper and about its top when it loses some, so
/// the edge that moves inward moves by `height · |tan(new taper) - tan(old taper)|`.
pub fn metal_taken_mm(coping: &Coping, side: Side, taper_rad: f64) -> Option<f64> {
    let wall = coping.wall(side)?;
    let metal = wall.height_mm * (taper_rad.tan() - wall.taper_rad.tan()).abs();
    matches!(coping.basis, WallBasis::Finished).then_some(metal)
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Target {
    Taper(usize, Side),
    Guiding(usize, Side),
    Anew(usize),
    Without(usize),
    Zone(usize),
}

/// A set of changes and the tilt it opens.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeSet {
    /// The changes, walls in coping order, then zones.
    pub changes: Vec<Change>,
    /// The changed case at the tilt that is then recommended.
    pub result: Evaluation,
    /// Setting allowance of that tilt in the changed case.
    pub allowance_rad: f64,
    /// Setting allowance of the most forgiving tilt of the changed case.
    pub widest_rad: f64,
}

/// The coping whose removal opens most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OddCoping {
    /// Its index.
    pub coping: usize,
    /// The widest setting allowance without it, as the map of the ridge has it.
    pub allowance_rad: f64,
}

/// What would open a tilt.
#[derive(Debug, Default)]
pub(crate) struct Ways {
    pub(crate) sets: Vec<ChangeSet>,
    pub(crate) odd_coping: Option<OddCoping>,
}

/// The smallest sets of changes, fewest changes first, then least amount over scale. Sets of more than
/// [`CHANGES_AT_MOST`] only where none so small will do; then the smallest.
pub(crate) fn changes(
    field: &Field<'_>,
    map: &RidgeMap,
    scales: &OverrunScales,
    arch: Arch,
) -> Result<Ways, Cancelled> {
    let odd_coping = odd_coping(field, map)?;
    let mut sets = verified(field, map, scales, arch, CHANGES_AT_MOST)?;
    if sets.is_empty() {
        sets = verified(field, map, scales, arch, usize::MAX)?;
    }
    Ok(Ways { sets, odd_coping })
}

/// The proposals of at most so many changes that pass, without those that hold another. Of any number of
/// changes, the first that passes.
fn verified(
    field: &Field<'_>,
    map: &RidgeMap,
    scales: &OverrunScales,
    arch: Arch,
    changes_at_most: usize,
) -> Result<Vec<ChangeSet>, Cancelled> {
    let mut proposals = needs::proposals(field, map, scales, changes_at_most)?;
    // In whole units, so that rounding parts no two that are equal.
    let cost = |set: &[Change]| {
        let sum: f64 = set.iter().map(|change| change.cost(scales)).sum();
        (sum / SAME_COST).round()
    };
    proposals.sort_by(|(a, _), (b, _)| {
        let targets = |set: &[Change]| set.iter().map(Change::target).collect::<Vec<_>>();
        (a.len().cmp(&b.len()))
            .then(cost(a).total_cmp(&cost(b)))
            .then_with(|| targets(a).cmp(&targets(b)))
    });
    let sets_at_most = if changes_at_most == CHANGES_AT_MOST {
        SETS_AT_MOST
    } else {
        1
    };
    let mut sets: Vec<ChangeSet> = Vec::new();
    for (proposal, d) in proposals {
        if sets.len() >= sets_at_most {
            break;
        }
        field
            .control
            .progress("checking changes", sets.len() as f64 / sets_at_most as f64);
        let holds_another = sets.iter().any(|known| {
            known
                .changes
                .iter()
                .all(|c| proposal.iter().any(|p| p.target() == c.target()))
        });
        if holds_another {
            continue;
        }
        if let Some(set) = apply::verified(field, map, proposal, &d, arch)? {
            sets.push(set);
        }
    }
    sets.sort_by(|a, b| {
        (a.changes.len().cmp(&b.changes.len()))
            .then(cost(&a.changes).total_cmp(&cost(&b.changes)))
            .then(b.widest_rad.total_cmp(&a.widest_rad))
    });
    Ok(sets)
}

/// Amounts come in steps of half a degree and a tenth of a millimetre; sums that differ by less are equal.
const SAME_COST: f64 = 1e-6;

/// The coping without which the widest setting allowance is widest, where one stands out.
fn odd_coping(field: &Field<'_>, map: &RidgeMap) -> Result<Option<OddCoping>, Cancelled> {
    let copings = field.problem.copings;
    let mut opened: Vec<OddCoping> = Vec::new();
    let stays = |(_, coping): &(usize, &Coping)| coping.standing == Standing::Stays;
    for (coping, _) in copings.iter().enumerate().filter(stays) {
        let changed = apply(&field.problem, &[Change::Omit { coping }]);
        let after = Field::new(changed.problem(), field.control);
        // Where nothing is left to judge, nothing is opened.
        if !after.is_judged() {
            continue;
        }
        let map = map.held_against(&after);
        opened.push(OddCoping {
            coping,
            allowance_rad: Chart::default().widest(&after, &map)?.1,
        });
    }
    opened.sort_by(|a, b| b.allowance_rad.total_cmp(&a.allowance_rad));
    let next_rad = opened
        .get(1)
        .map_or(0.0, |next| next.allowance_rad.max(0.0));
    let first = opened.first().copied();
    Ok(first.filter(|odd| odd.allowance_rad > next_rad + TIE_RAD))
}

impl ChangeSet {
    fn of(changes: Vec<Change>, recommended: Judged, widest: &Judged) -> Self {
        Self {
            changes,
            result: recommended.evaluation,
            allowance_rad: recommended.allowance_rad,
            widest_rad: widest.allowance_rad,
        }
    }
}
