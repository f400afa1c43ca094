//! Undercut areas and blockouts over the chart: previews, more of them where those that came last were off
//! what was told before.

use super::bound::ChartBound;
use super::cell::{Cell, Node};
use super::readings::{Previews, Readings};
use super::ridge_chart::RidgeChart;
use crate::control::Cancelled;
use std::collections::BTreeSet;
use tiltbench_geometry::undercut::ZonePreview;

/// Share of what the chart asks by which the wider cell may be off where a cell has new nodes, for that
/// cell not to be cut.
/// Tuned: 1. A cell is off by at most what the wider one was, by an eighth of it where figures are
/// smooth; smaller takes more previews, larger is not kept (`chart`: charts keep their bound).
const ENOUGH_SHARE: f64 = 1.0;

/// Previews of a whole chart at most: what bounds the work on casts that no chart follows.
/// Tuned: 200, a second of two cores at 300,000 facets; with fewer the bound of areas is wider.
const PREVIEWS_MOST: usize = 200;

/// Level of cells beyond which areas and blockouts are not refined.
/// Tuned: 3. Areas of casts that still change there do so in steps, facet by facet.
const FINEST: u8 = 3;

/// What a cell may be off, for what the wider one was off at its nodes.
/// Tuned: 1.5. Smaller is not kept on casts of few facets, whose areas change in steps (`chart`: charts keep
/// their bound); larger promises less than is kept.
const WORSE_THAN_CHECKED: f64 = 1.5;

/// Nothing of a cell is off by more than so many spreads of its nodes.
/// Derivation: through 0, 0, 1 or 0, 1, 1 at 0, 1, 2 a parabola has its extremes, -1/8 and 9/8, at 1/2 and
/// 3/2.
const BEYOND_STEP: f64 = 1.25;

/// What a preview says of a zone that a chart interpolates.
pub(super) fn figures(preview: &ZonePreview) -> [f64; 3] {
    [
        preview.depth_mm,
        preview.undercut_area_mm2,
        preview.blockout_mm3,
    ]
}

/// A cell where what was told before was off.
struct Off {
    cell: Cell,
    /// As a share of what it may be off.
    share: f64,
    /// What the chart may be off if the cell is left as it is.
    bound: ChartBound,
}

/// How far areas and blockouts were off at the new nodes of a cell; `None` if by little enough.
fn off(chart: &RidgeChart, cell: Cell, previews: &Previews) -> Option<Off> {
    let wider = cell.parent()?;
    let asked = ChartBound::ASKED;
    let (mut worst, mut bound) = (0.0_f64, asked);
    for (zone, (patches, area_mm2)) in chart.zones.iter().zip(&chart.areas_mm2).enumerate() {
        let [mut off_mm2, mut off_mm3, mut off_share] = [0.0_f64; 3];
        for node in cell.new_nodes() {
            let told = |k: usize| patches[k].foretold(wider, node);
            let (Some(read), Some(area), Some(blockout)) = (previews.get(&node), told(1), told(2))
            else {
                continue;
            };
            let [_, read_mm2, read_mm3] = figures(&read[zone]);
            let by_mm3 = (blockout - read_mm3).abs();
            off_mm2 = off_mm2.max((area - read_mm2).abs());
            off_mm3 = off_mm3.max(by_mm3);
            off_share = off_share.max(by_mm3 / asked.of_blockout_mm3(read_mm3));
        }
        worst = worst
            .max(off_mm2 / (asked.area_share * area_mm2))
            .max(off_share);
        let spread = |k: usize| patches[k].patch(cell).map_or(0.0, |patch| patch.spread());
        let may = |off: f64, k: usize| (WORSE_THAN_CHECKED * off).min(BEYOND_STEP * spread(k));
        bound.area_share = bound.area_share.max(may(off_mm2, 1) / area_mm2);
        bound.blockout_mm3 = bound.blockout_mm3.max(may(off_mm3, 2));
    }
    let share = worst / ENOUGH_SHARE;
    (share > 1.0).then_some(Off { cell, share, bound })
}

/// Refines cells whose nodes are all there.
pub(super) fn refine(
    readings: &Readings<'_>,
    chart: &mut RidgeChart,
    mut cells: Vec<Cell>,
    previews: &mut Previews,
) -> Result<(), Cancelled> {
    while !cells.is_empty() {
        let mut off: Vec<Off> = cells
            .iter()
            .filter_map(|&cell| off(chart, cell, previews))
            .collect();
        // The worst first: there may not be time for all.
        off.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.cell.cmp(&b.cell)));
        let mut nodes: BTreeSet<Node> = BTreeSet::new();
        cells = Vec::new();
        for Off { cell, bound, .. } in off {
            if cell.level < FINEST && previews.len() + nodes.len() < PREVIEWS_MOST {
                let all = cell.children().flat_map(Cell::nodes);
                nodes.extend(all.filter(|node| !previews.contains_key(node)));
                cells.extend(cell.children());
            } else {
                chart.widen(&bound);
            }
        }
        readings.preview(nodes, previews)?;
        chart.put(&cells, previews);
    }
    Ok(())
}
