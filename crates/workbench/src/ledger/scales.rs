//! The values at the ends of the ledger's bars: one scale for all walls, one for all metal, one for all
//! zones, so that bars of a kind compare and no figure is drawn where it is not.

use super::scene::{CopingRow, PairRow, ZoneRow};
use tiltbench_geometry::limits::Limits;

/// The ends of the scales.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LedgerScales {
    /// Drafts of finished walls, degrees per wall.
    pub drafts_deg: [f64; 2],
    /// Metal before waxing, mm.
    pub metal_mm: [f64; 2],
    /// Depths of zones and sums of two, mm.
    pub depths_mm: [f64; 2],
}

/// Degrees. A scale of drafts is never shorter: ordinary walls fit, and it rests while a tilt is
/// dragged.
const DRAFTS_DEG: [f64; 2] = [-6.0, 14.0];
/// Degrees. It is never longer: beyond, an arrowhead says that a value goes on. Wide enough for every
/// limit that can be entered.
const DRAFTS_FARTHEST_DEG: [f64; 2] = [-30.0, 62.0];
/// Degrees. It grows in steps, so that it does not breathe with every tenth of a degree.
const STEP_DEG: f64 = 2.0;
/// mm. The same of metal: least and farthest end below, and farthest above.
const METAL_FARTHEST_MM: [f64; 2] = [-1.0, 6.0];
/// mm. It grows in such steps.
const METAL_STEP_MM: f64 = 0.5;
/// mm. A scale of depths is never shorter, and, where no limit asks for it, never longer.
const DEPTHS_MM: [f64; 2] = [1.5, 3.0];

/// Which end a value lies beyond.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Beyond {
    /// It is less than the least.
    Low,
    /// It is more than the most.
    High,
}

/// The ends that a range goes on beyond.
pub(super) fn beyond(range: [f64; 2], ends: [f64; 2]) -> impl Iterator<Item = Beyond> {
    let low = (range[0] < ends[0]).then_some(Beyond::Low);
    let high = (range[1] > ends[1]).then_some(Beyond::High);
    low.into_iter().chain(high)
}

impl LedgerScales {
    /// For all rows of a ledger.
    pub(super) fn new(
        copings: &[CopingRow],
        zones: &[ZoneRow],
        pairs: &[PairRow],
        limits: &Limits,
    ) -> Self {
        Self {
            drafts_deg: drafts_deg(copings),
            metal_mm: metal_mm(copings, limits),
            depths_mm: [0.0, deepest_mm(zones, pairs)],
        }
    }
}

/// Ends that hold some values, in whole steps.
fn spread(
    from: [f64; 2],
    values: impl Iterator<Item = [f64; 2]>,
    step: f64,
    farthest: [f64; 2],
) -> [f64; 2] {
    let [low, high] = values.fold(from, |[low, high], [least, most]| {
        [low.min(least), high.max(most)]
    });
    [
        ((low / step).floor() * step).max(farthest[0]),
        ((high / step).ceil() * step).min(farthest[1]),
    ]
}

fn drafts_deg(copings: &[CopingRow]) -> [f64; 2] {
    let cells = copings.iter().flat_map(|row| &row.cells);
    let finished = cells
        .filter_map(|(_, cell)| cell.as_ref())
        .filter(|cell| cell.metal.is_none());
    let values = finished.map(|cell| {
        let least = cell.draft.least_rad.to_degrees() - 1.0;
        let most = cell.draft.most_rad.to_degrees() + 1.0;
        let [_, bound] = cell.bounds_rad.map(f64::to_degrees);
        let bound = if cell.guides { bound + 2.0 } else { most };
        [least, most.max(bound)]
    });
    spread(DRAFTS_DEG, values, STEP_DEG, DRAFTS_FARTHEST_DEG)
}

fn metal_mm(copings: &[CopingRow], limits: &Limits) -> [f64; 2] {
    let cells = copings.iter().flat_map(|row| &row.cells);
    let metal = cells.filter_map(|(_, cell)| cell.as_ref()?.metal);
    let values = metal.map(|metal| [metal.least_mm, metal.most_mm]);
    let from = [0.0, 1.25 * limits.metal_max_mm];
    spread(from, values, METAL_STEP_MM, METAL_FARTHEST_MM)
}

fn deepest_mm(zones: &[ZoneRow], pairs: &[PairRow]) -> f64 {
    let limits = zones
        .iter()
        .filter_map(|zone| zone.limit_mm)
        .chain(pairs.iter().map(|pair| pair.judged.limit.bound));
    let depths = zones
        .iter()
        .filter_map(|zone| Some(zone.read?.depth_mm))
        .chain(pairs.iter().map(|pair| pair.judged.value));
    let room_for_limits = 1.25 * limits.fold(0.0, f64::max);
    let [least, most] = DEPTHS_MM;
    (1.1 * depths.fold(0.0, f64::max)).clamp(least.max(room_for_limits), most.max(room_for_limits))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_holds_its_values_in_whole_steps_and_says_where_it_ends() {
        let of = |values: &[[f64; 2]]| {
            let values = values.iter().copied();
            spread(DRAFTS_DEG, values, STEP_DEG, DRAFTS_FARTHEST_DEG)
        };
        for (values, expected) in [
            (vec![[1.0, 5.0]], [-6.0, 14.0]),
            (vec![[1.0, 5.0], [-8.1, 21.5]], [-10.0, 22.0]),
            (vec![[-50.0, 90.0]], [-30.0, 62.0]),
        ] {
            let found = of(&values);
            let off = (found[0] - expected[0]).abs() + (found[1] - expected[1]).abs();
            assert!(off < 1e-9, "{values:?}: {found:?}");
        }
        let ends = |range| beyond(range, [-30.0, 62.0]).collect::<Vec<_>>();
        assert_eq!(ends([-50.0, 20.0]), [Beyond::Low]);
        assert_eq!(ends([-50.0, 90.0]), [Beyond::Low, Beyond::High]);
        assert_eq!(ends([-30.0, 62.0]), []);
    }
}
