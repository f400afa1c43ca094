//! What the ridge pays over the chart, kept at the nodes of square lattices and interpolated between.
//!
//! Nodes hold glances, the cheap reading off a cast with fewer facets: depths by sector, undercut area,
//! blockout. The first chart has few of them, and is bilinear. Then they lie 5 degrees apart, and 2.5
//! where a glance in the middle of a cell shows that to be worth it; between them is cubic
//! convolution, whose error falls with the cube of the spacing (Keys, "Cubic convolution
//! interpolation for digital image processing", IEEE Trans. ASSP 29, 1981, 1153-1160). The depth of
//! a zone jumps in slope where the deepest place moves from one part of the ridge to another; that
//! of a sector hardly does, so sectors are interpolated, and the deepest taken afterwards.
//!
//! On a lattice of 10 degrees each node holds the error of the glance, found by skimming the whole scan
//! there. That error is the rounding of the cast by the smaller mesh; it changes slowly, so a few
//! nodes and bilinear interpolation take it out again over the whole chart.
//!
//! Little is read beyond the chart's rim. What a kernel asks for there is carried outward from nodes
//! in a row, as Keys does at the border of a picture.
//!
//! A part of the chart may be read after another that it holds; the figures are then those of a new
//! grid that read it at once, as long as errors are read before the glances between them.

use super::lattice::{
    BEYOND_RIM, BEYOND_RIM_OF_ERRORS, Node, Part, Spacing, Wanted, is_middle, offset, point_of,
};
use super::rows::{Row, Rows, combined};
use super::{ChartStage, ZoneFigures};
use crate::control::{Cancelled, Control};
use crate::problem::RidgeReader;
use crate::sphere::from_chart;
use rayon::prelude::*;
use std::collections::HashMap;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_geometry::undercut::ZoneGlance;
use tiltbench_geometry::{UnitVector3, Vector2};

/// mm. A glance whose depth is this little off what the fair lattice told is not worth another beside
/// it.
/// Tuned: 0.03, about what glances are off after their correction; more shows (`chart` would notice),
/// less costs nodes.
const WORTH_DEPTH_MM: f64 = 0.03;

/// Share of a zone's area. The same of the undercut area.
/// Tuned: 0.003, as [`WORTH_DEPTH_MM`].
const WORTH_AREA_SHARE: f64 = 0.003;

/// Figures of a zone before those of its sectors.
const BEFORE_SECTORS: usize = 2;

fn row_of(zones: &[ZoneGlance]) -> Row {
    let mut row = Row::new();
    for zone in zones {
        row.extend([zone.undercut_area_mm2, zone.blockout_mm3]);
        row.extend(&zone.sector_depths_mm);
    }
    row
}

/// Readings of a ridge at lattice nodes.
#[derive(Debug, Clone, Default)]
pub(crate) struct RidgeGrid {
    /// Number of sectors of each zone.
    sectors: Vec<usize>,
    glances: Rows,
    errors: Rows,
}

impl RidgeGrid {
    /// Glances at every node that interpolation inside the cells of interest needs.
    pub(crate) fn glance_over(
        &mut self,
        ridge: &dyn RidgeReader,
        spacing: Spacing,
        part: Part<'_>,
        control: &dyn Control,
    ) -> Result<(), Cancelled> {
        // The first chart has to be there at once: it makes do with the corners.
        let (around, beyond) = match spacing {
            Spacing::Coarse => (0, 0.0),
            Spacing::Fair | Spacing::Fine => (1, BEYOND_RIM),
        };
        let wanted = Wanted::new(spacing, part, around, beyond);
        self.glances.forget_carried(spacing);
        self.glance_at(
            ridge,
            &self.glances.missing(&wanted),
            &HashMap::new(),
            control,
        )?;
        self.carry_glances_outward(&wanted);
        Ok(())
    }

    /// Refines a chart of the fair lattice: glances in the middle of its cells, and, where these show
    /// it to be off, at the other nodes of the fine lattice. Nodes that were not worth a glance are
    /// interpolated.
    pub(crate) fn refine_over(
        &mut self,
        ridge: &dyn RidgeReader,
        part: Part<'_>,
        control: &dyn Control,
    ) -> Result<(), Cancelled> {
        let wanted = Wanted::new(Spacing::Fine, part, 1, BEYOND_RIM);
        let missing = self.glances.missing(&wanted);
        let mut told: HashMap<Node, Row> = missing
            .iter()
            .filter_map(|&node| Some((node, self.glances.cubic(point_of(node), Spacing::Fair)?)))
            .collect();
        let (middles, others): (Vec<Node>, Vec<Node>) =
            missing.into_iter().partition(|node| is_middle(*node));
        self.glance_at(ridge, &middles, &told, control)?;
        let areas_mm2 = ridge.areas_mm2();
        let is_off: HashMap<Node, bool> = middles
            .into_iter()
            .map(|node| {
                let told = told.get(&node);
                (
                    node,
                    told.is_none_or(|told| self.is_off(told, node, &areas_mm2)),
                )
            })
            .collect();
        let is_worth = |node: &Node| {
            let ways = [[1, 0], [-1, 0], [0, 1], [0, -1]];
            let beside = ways.map(|way| is_off.get(&offset(*node, way, Spacing::Fine)));
            let mut known = beside.into_iter().flatten().peekable();
            known.peek().is_none() || known.any(|off| *off)
        };
        let (worth, others): (Vec<Node>, Vec<Node>) = others
            .into_iter()
            .partition(|node| !told.contains_key(node) || is_worth(node));
        self.glance_at(ridge, &worth, &told, control)?;
        for node in others {
            let row = told.remove(&node);
            let of = (Spacing::Fine, node);
            self.glances.carried.extend(row.map(|row| (of, row)));
        }
        self.carry_glances_outward(&wanted);
        Ok(())
    }

    /// Glances at nodes, of some of which something is told already.
    fn glance_at(
        &mut self,
        ridge: &dyn RidgeReader,
        nodes: &[Node],
        told: &HashMap<Node, Row>,
        control: &dyn Control,
    ) -> Result<(), Cancelled> {
        let read = read_at(nodes, control, |node, d, stop| {
            let told = told.get(&node).map(|row| self.sector_depths_mm(row));
            ridge.glance(d, told.as_deref(), stop)
        })?;
        if let Some(zones) = read.first() {
            let sectors = zones.iter().map(|zone| zone.sector_depths_mm.len());
            self.sectors = sectors.collect();
        }
        let rows = read.iter().map(|zones| row_of(zones));
        self.glances.read.extend(nodes.iter().copied().zip(rows));
        Ok(())
    }

    /// What a row holds of each zone: its own figures and the depths of its sectors.
    fn zones<'r>(&self, row: &'r Row) -> impl Iterator<Item = (&'r [f64], &'r [f64])> {
        let mut rest = row.as_slice();
        self.sectors.iter().map(move |sectors| {
            let (zone, after) = rest.split_at(BEFORE_SECTORS + sectors);
            rest = after;
            zone.split_at(BEFORE_SECTORS)
        })
    }

    fn sector_depths_mm(&self, row: &Row) -> Vec<Vec<f64>> {
        self.zones(row).map(|(_, depths)| depths.to_vec()).collect()
    }

    /// The figures of a glance.
    fn figures(&self, row: &Row) -> Vec<ZoneFigures> {
        self.zones(row)
            .map(|(zone, depths)| ZoneFigures {
                depth_mm: depths.iter().copied().reduce(f64::max).unwrap_or(0.0),
                undercut_area_mm2: zone[0],
                blockout_mm3: zone[1],
            })
            .collect()
    }

    /// Whether the glance at a node is off what was told of it by more than is worth the time.
    fn is_off(&self, told: &Row, node: Node, areas_mm2: &[f64]) -> bool {
        let told = self.figures(told);
        let read = self.figures(&self.glances.read[&node]);
        told.iter()
            .zip(&read)
            .zip(areas_mm2)
            .any(|((told, read), area_mm2)| {
                let area = (told.undercut_area_mm2 - read.undercut_area_mm2).abs();
                let depth = (told.depth_mm.max(0.0) - read.depth_mm).abs();
                let blockout = (told.blockout_mm3.max(0.0) - read.blockout_mm3).abs();
                let enough = ChartStage::Fine.bound().of_blockout_mm3(read.blockout_mm3);
                depth > WORTH_DEPTH_MM || area > WORTH_AREA_SHARE * area_mm2 || blockout > enough
            })
    }

    /// Skims the scan at the nodes of the coarse lattice around the cells of interest, and keeps
    /// by how much the glances there were off.
    pub(crate) fn correct_over(
        &mut self,
        ridge: &dyn RidgeReader,
        part: Part<'_>,
        control: &dyn Control,
    ) -> Result<(), Cancelled> {
        let wanted = Wanted::new(Spacing::Coarse, part, 0, BEYOND_RIM_OF_ERRORS);
        let missing = self.errors.missing(&wanted);
        self.glance_at(
            ridge,
            &self.glances.missing(&wanted),
            &HashMap::new(),
            control,
        )?;
        let skimmed = read_at(&missing, control, |node, d, stop| {
            let told_mm = self.sector_depths_mm(&self.glances.read[&node]);
            ridge.skim(d, Some(&told_mm), stop)
        })?;
        for (node, skimmed) in missing.into_iter().zip(&skimmed) {
            let glanced = self.figures(&self.glances.read[&node]);
            let error = skimmed.iter().zip(glanced).flat_map(|(skimmed, glanced)| {
                [
                    skimmed.depth_mm - glanced.depth_mm,
                    skimmed.undercut_area_mm2 - glanced.undercut_area_mm2,
                    skimmed.blockout_mm3 - glanced.blockout_mm3,
                ]
            });
            self.errors.read.insert(node, error.collect());
        }
        self.errors.forget_carried(Spacing::Coarse);
        self.errors
            .carry_outward(&wanted, |[nearest, ..]| nearest.clone());
        Ok(())
    }

    /// The figures of every zone at a chart point; `None` where nothing was read around it.
    pub(crate) fn at(&self, point: Vector2<f64>) -> Option<Vec<ZoneFigures>> {
        let mut zones = self.figures(&self.glanced(point)?);
        let error = self.errors.bilinear(point).unwrap_or_default();
        let errors = error.chunks_exact(3);
        for (zone, error) in zones.iter_mut().zip(errors) {
            zone.depth_mm += error[0];
            zone.undercut_area_mm2 += error[1];
            zone.blockout_mm3 += error[2];
        }
        for zone in &mut zones {
            zone.depth_mm = zone.depth_mm.max(0.0);
            zone.undercut_area_mm2 = zone.undercut_area_mm2.max(0.0);
            zone.blockout_mm3 = zone.blockout_mm3.max(0.0);
        }
        Some(zones)
    }

    /// Depths and areas in a straight line; blockout, which grows as the square of the angle, as a parabola.
    fn carry_glances_outward(&mut self, wanted: &Wanted) {
        let mut at = 0;
        let mut blockouts = Vec::new();
        for sectors in &self.sectors {
            blockouts.push(at + 1);
            at += BEFORE_SECTORS + sectors;
        }
        self.glances.carry_outward(wanted, |[a, b, c]| {
            let mut row = combined([(2.0, a), (-1.0, b)]);
            for &k in &blockouts {
                row[k] = 3.0 * a[k] - 3.0 * b[k] + c[k];
            }
            row
        });
    }

    /// The glances around a point, interpolated on the finest lattice that has them.
    fn glanced(&self, point: Vector2<f64>) -> Option<Row> {
        [Spacing::Fine, Spacing::Fair]
            .into_iter()
            .find_map(|spacing| self.glances.cubic(point, spacing))
            .or_else(|| self.glances.bilinear(point))
    }
}

/// Reads at nodes, in parallel, the answers in their order.
fn read_at<T: Send>(
    nodes: &[Node],
    control: &dyn Control,
    read: impl Fn(Node, &UnitVector3<f64>, &(dyn Fn() -> bool + Sync)) -> Option<T> + Sync,
) -> Result<Vec<T>, Cancelled> {
    let done = AtomicUsize::new(0);
    nodes
        .par_iter()
        .with_max_len(1)
        .map(|&node| {
            let stop = || control.cancelled();
            if stop() {
                return Err(Cancelled);
            }
            let answer = read(node, &from_chart(point_of(node)), &stop).ok_or(Cancelled)?;
            let done = done.fetch_add(1, Relaxed) + 1;
            control.progress("reading the ridge", done as f64 / nodes.len() as f64);
            Ok(answer)
        })
        .collect()
}

#[cfg(test)]
mod tests;
