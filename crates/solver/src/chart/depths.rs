//! Depths over the chart: exact where they are read, and read where a reading in between showed what is
//! told to be off.
//!
//! The depth of a zone is smooth but along lines: where another place becomes the deepest, and where the
//! zone begins to be undercut. So most cells are wide, and small ones lie along those lines. Before a cell
//! is cut into quarters it is read over its whole cone; readings in it then only look at what that left
//! open, and cost little.

use super::bound::CHART_DEPTH_MM;
use super::cell::{Cell, Node};
use super::costs::figures;
use super::patches::{Patch, Patches};
use super::readings::{Previews, Readings};
use crate::control::Cancelled;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use tiltbench_geometry::undercut::DepthCone;

/// mm. Where the wider cell was off by no more than this at the new nodes of a cell, that is left whole.
/// Tuned: half of what the chart asks. A line that cuts off a corner of a cell shows at its edges by three
/// eighths of what it bends there; larger is not kept (`chart`: charts keep their bound), smaller takes more
/// readings.
const ENOUGH_MM: f64 = 0.5 * CHART_DEPTH_MM;

/// Radians. Nodes so near to one another have none between them.
/// Tuned: 0.32 degree. Across a line where the slope turns by 16 mm per radian depths are then off by
/// 0.02 mm (`chart`: charts keep their bound); smaller takes more readings along every line.
const FINEST_RAD: f64 = 0.32 * std::f64::consts::PI / 180.0;

/// Depths of zones at a node; not a number for one that was not read there.
type Depths = BTreeMap<Node, Vec<f64>>;

/// A cell that may be cut, with the zones that are read in it.
struct Open {
    cell: Cell,
    matters: Vec<bool>,
    /// A reading over it or a cell that it is a quarter of; none where previews are all there is.
    within: Option<Arc<DepthCone>>,
}

/// What was found in one of the chart's cells.
#[derive(Debug, Default)]
pub(super) struct Refined {
    /// Cells of a zone, the wider first.
    pub(super) patches: Vec<(usize, Cell, Patch)>,
    /// What depths may be off in cells that were not cut for being too small, mm.
    pub(super) off_mm: f64,
}

/// Refines the depths of each cell.
pub(super) fn refine(
    readings: &Readings<'_>,
    zones: &[&Patches],
    cells: &[Cell],
    previews: &Previews,
) -> Result<Vec<Refined>, Cancelled> {
    let finest = readings.lattice.level_with_spacing(FINEST_RAD);
    cells
        .par_iter()
        .with_max_len(1)
        .map(|&cell| {
            let one = Refining {
                readings,
                finest,
                known: Depths::new(),
                refined: Refined::default(),
                previews,
            };
            one.refine(zones, cell)
        })
        .collect()
}

struct Refining<'a> {
    readings: &'a Readings<'a>,
    finest: u8,
    previews: &'a Previews,
    /// Read here, beside the previews.
    known: Depths,
    refined: Refined,
}

impl Refining<'_> {
    fn refine(mut self, zones: &[&Patches], cell: Cell) -> Result<Refined, Cancelled> {
        let mut told: Vec<Patches> = vec![Patches::default(); zones.len()];
        for (told, zone) in told.iter_mut().zip(zones) {
            for cell in cell.parent().into_iter().chain([cell]) {
                if let Some(patch) = zone.patch(cell) {
                    told.put(cell, *patch);
                }
            }
        }
        let mut open = vec![Open {
            cell,
            matters: vec![true; zones.len()],
            within: None,
        }];
        while !open.is_empty() {
            for cell in &mut open {
                self.keep_what_is_off(cell, &told);
            }
            open.retain(|open| open.matters.contains(&true));
            self.read_cones(&mut open)?;
            self.read_missing(&open)?;
            open = self.cut(&open, &mut told);
        }
        Ok(self.refined)
    }

    /// The depth of a zone at a node, if it was read.
    fn depth_mm(&self, node: Node, zone: usize) -> Option<f64> {
        let here = self.known.get(&node).map(|depths| depths[zone]);
        let before = || Some(figures(&self.previews.get(&node)?[zone])[0]);
        here.filter(|depth| !depth.is_nan()).or_else(before)
    }

    /// Reads what is missing at nodes of the quarters; each node once, within the first of its cells.
    fn read_missing(&mut self, open: &[Open]) -> Result<(), Cancelled> {
        let zones = open.first().map_or(0, |open| open.matters.len());
        let mut asked: Vec<(Node, Vec<bool>, &DepthCone)> = Vec::new();
        let mut seen: BTreeSet<(Node, usize)> = BTreeSet::new();
        for open in open {
            let Some(within) = open.within.as_deref() else {
                continue;
            };
            for node in open.cell.children().flat_map(Cell::nodes) {
                let is_missing =
                    |zone: usize| open.matters[zone] && self.depth_mm(node, zone).is_none();
                let missing: Vec<bool> = (0..zones)
                    .map(|zone| is_missing(zone) && seen.insert((node, zone)))
                    .collect();
                if missing.contains(&true) {
                    asked.push((node, missing, within));
                }
            }
        }
        let read: Vec<Vec<f64>> = asked
            .par_iter()
            .with_max_len(1)
            .map(|(node, missing, within)| self.readings.depths_mm(*node, missing, within))
            .collect::<Result<_, _>>()?;
        for ((node, missing, _), depths) in asked.into_iter().zip(read) {
            let known = self
                .known
                .entry(node)
                .or_insert_with(|| vec![f64::NAN; zones]);
            for (zone, depth) in depths.into_iter().enumerate() {
                if missing[zone] {
                    known[zone] = depth;
                }
            }
        }
        Ok(())
    }

    /// Zones that were told well enough do not matter within the cell.
    fn keep_what_is_off(&mut self, open: &mut Open, told: &[Patches]) {
        for (zone, matters) in open.matters.iter_mut().enumerate() {
            if !*matters {
                continue;
            }
            let off = |node: Node| {
                let told = told[zone].foretold(open.cell.parent()?, node)?;
                Some((told - self.depth_mm(node, zone)?).abs())
            };
            let new = open.cell.new_nodes().into_iter();
            let off_mm = new.filter_map(off).fold(0.0, f64::max);
            *matters = off_mm > ENOUGH_MM;
            if *matters && open.cell.level >= self.finest {
                *matters = false;
                self.refined.off_mm = self.refined.off_mm.max(off_mm);
            }
        }
    }

    fn read_cones(&self, open: &mut [Open]) -> Result<(), Cancelled> {
        let cones: Vec<DepthCone> = open
            .par_iter()
            .with_max_len(1)
            .map(|open| {
                let within = open.within.as_deref();
                self.readings.cone(open.cell, &open.matters, within)
            })
            .collect::<Result<_, _>>()?;
        for (open, cone) in open.iter_mut().zip(cones) {
            open.within = Some(Arc::new(cone));
        }
        Ok(())
    }

    /// The quarters of cells whose nodes are all there.
    fn cut(&mut self, open: &[Open], told: &mut [Patches]) -> Vec<Open> {
        let mut quarters = Vec::new();
        for open in open {
            for cell in open.cell.children() {
                for zone in (0..told.len()).filter(|&zone| open.matters[zone]) {
                    let depths = cell.nodes().map(|node| self.depth_mm(node, zone));
                    let patch = Patch(depths.map(|depth| depth.unwrap_or(0.0)));
                    told[zone].put(cell, patch);
                    self.refined.patches.push((zone, cell, patch));
                }
                quarters.push(Open {
                    cell,
                    matters: open.matters.clone(),
                    within: open.within.clone(),
                });
            }
        }
        quarters
    }
}
