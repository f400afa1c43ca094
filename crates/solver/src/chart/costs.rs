//! Undercut areas and blockouts over the chart: previews, more of them where those that came last were off
//! what was told before.

use super::bound::ChartBound;
use super::cell::{Cell, Node};
use super::readings::{Previews, Readings};
use super::ridge_chart::RidgeChart;
use crate::control::Cancelled;
use std::collections::{BTreeMap, BTreeSet};
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

/// What a cell may be off somewhere, for what it is off at nodes in between.
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

/// What was told before was off by, at the new nodes of a cell, at the most over all zones: an area as a
/// share of the zone's, a blockout in mm³.
type By = [f64; 2];

struct Off {
    cell: Cell,
    by: By,
    /// As a share of what it may be off.
    share: f64,
    /// Nothing of the cell is off by more.
    most: By,
}

/// How far areas and blockouts were off at the new nodes of a cell.
fn off(chart: &RidgeChart, cell: Cell, previews: &Previews) -> Option<Off> {
    let wider = cell.parent()?;
    let asked = ChartBound::ASKED;
    let [mut by, mut most, mut shares] = [[0.0_f64; 2]; 3];
    for (zone, (patches, area_mm2)) in chart.zones.iter().zip(&chart.areas_mm2).enumerate() {
        for node in cell.new_nodes() {
            let told = |k: usize| patches[k].foretold(wider, node);
            let (Some(read), Some(area), Some(blockout)) = (previews.get(&node), told(1), told(2))
            else {
                continue;
            };
            let [_, read_mm2, read_mm3] = figures(&read[zone]);
            let off = [
                (area - read_mm2).abs() / area_mm2,
                (blockout - read_mm3).abs(),
            ];
            let may = [asked.area_share, asked.of_blockout_mm3(read_mm3)];
            for k in 0..2 {
                by[k] = by[k].max(off[k]);
                shares[k] = shares[k].max(off[k] / may[k]);
            }
        }
        let spread = |k: usize| patches[k].patch(cell).map_or(0.0, |patch| patch.spread());
        let may = [spread(1) / area_mm2, spread(2)].map(|spread| BEYOND_STEP * spread);
        most = [0, 1].map(|k| most[k].max(may[k]));
    }
    Some(Off {
        cell,
        by,
        share: shares[0].max(shares[1]) / ENOUGH_SHARE,
        most,
    })
}

/// How much less cells are off than wider ones were at their nodes: an eighth where figures are smooth, all
/// of it where they change in a step.
#[derive(Debug, Default)]
struct Decay {
    cut: BTreeMap<Cell, By>,
    most: Option<By>,
}

impl Decay {
    /// The new nodes of a quarter show what the cell that it is of was off.
    fn learn(&mut self, off: &Off) {
        let asked = [ChartBound::ASKED.area_share, ChartBound::ASKED.blockout_mm3];
        let wider = off.cell.parent().and_then(|cell| self.cut.get(&cell));
        if let Some(wider) = wider {
            let most = self.most.get_or_insert_default();
            for k in 0..2 {
                if wider[k] > asked[k] {
                    most[k] = most[k].max(off.by[k] / wider[k]);
                }
            }
        }
    }

    /// What a cell that was not cut may be off.
    fn bound(&self, left: &Off) -> ChartBound {
        let decay = self.most.unwrap_or([1.0; 2]);
        let may = |k: usize| (WORSE_THAN_CHECKED * decay[k] * left.by[k]).min(left.most[k]);
        ChartBound {
            area_share: may(0),
            blockout_mm3: may(1),
            ..ChartBound::ASKED
        }
    }
}

/// Refines cells whose nodes are all there.
pub(super) fn refine(
    readings: &Readings<'_>,
    chart: &mut RidgeChart,
    mut cells: Vec<Cell>,
    previews: &mut Previews,
) -> Result<(), Cancelled> {
    let mut decay = Decay::default();
    let mut left: Vec<Off> = Vec::new();
    while !cells.is_empty() {
        let mut off: Vec<Off> = cells
            .iter()
            .filter_map(|&cell| off(chart, cell, previews))
            .collect();
        off.iter().for_each(|off| decay.learn(off));
        off.retain(|off| off.share > 1.0);
        // The worst first: there may not be time for all.
        off.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.cell.cmp(&b.cell)));
        let mut nodes: BTreeSet<Node> = BTreeSet::new();
        cells = Vec::new();
        for off in off {
            if off.cell.level < FINEST && previews.len() + nodes.len() < PREVIEWS_MOST {
                let all = off.cell.children().flat_map(Cell::nodes);
                nodes.extend(all.filter(|node| !previews.contains_key(node)));
                cells.extend(off.cell.children());
                decay.cut.insert(off.cell, off.by);
            } else {
                left.push(off);
            }
        }
        readings.preview(nodes, previews)?;
        chart.put(&cells, previews);
    }
    for left in &left {
        chart.widen(&decay.bound(left));
    }
    Ok(())
}
