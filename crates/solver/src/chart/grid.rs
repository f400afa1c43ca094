//! What the ridge pays over the chart, kept at the nodes of square lattices and interpolated between.
//!
//! Two lattices. On the fine one each node holds a glance, the cheap reading off a cast with fewer
//! facets: depths by sector, undercut area, blockout. Between nodes they are interpolated by cubic
//! convolution, whose error falls with the cube of the spacing (Keys, "Cubic convolution
//! interpolation for digital image processing", IEEE Trans. ASSP 29, 1981, 1153-1160). The depth of
//! a zone jumps in slope where the deepest place moves from one part of the ridge to another; that
//! of a sector hardly does, so sectors are interpolated, and the deepest taken afterwards.
//!
//! On the coarse lattice each node holds the error of the glance, found by skimming the whole scan
//! there. That error is the rounding of the cast by the smaller mesh; it changes slowly, so a few
//! nodes and bilinear interpolation take it out again over the whole chart.

use super::kernel::{LINEAR, weights};
use crate::control::{Cancelled, Control};
use crate::problem::RidgeReader;
use crate::sphere::from_chart;
use rayon::prelude::*;
use std::collections::{BTreeSet, HashMap};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_geometry::undercut::ZoneGlance;
use tiltbench_geometry::{UnitVector3, Vector2};

/// Radians. Spacing of the lattice that all nodes lie on: 1.25 degree.
const UNIT_RAD: f64 = 1.25 * std::f64::consts::PI / 180.0;

/// Spacing of lattices, in units.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Spacing {
    /// 2.5 degrees. Tuned: at 5 degrees bends of the depth show up to 0.1 mm off; at 1.25 the chart
    /// costs four times as much.
    Fine = 2,
    /// 5 degrees.
    Fair = 4,
    /// 10 degrees: of the first chart, and of the errors of the glance.
    Coarse = 8,
}

impl Spacing {
    fn units(self) -> i32 {
        self as i32
    }

    fn rad(self) -> f64 {
        f64::from(self.units()) * UNIT_RAD
    }
}

/// Part of the chart.
#[derive(Clone, Copy)]
pub(crate) struct Part<'a> {
    /// Greatest total tilt.
    pub(crate) reach_rad: f64,
    /// 1-Lipschitz in the angle of the draw, and not negative where the draw is of interest.
    pub(crate) interest: &'a dyn Fn(&UnitVector3<f64>) -> f64,
}

/// A lattice node, in units.
type Node = [i32; 2];

/// What one draw costs on one zone, as far as the chart tells.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ZoneFigures {
    /// Undercut depth, mm.
    pub depth_mm: f64,
    /// Undercut area, mm².
    pub undercut_area_mm2: f64,
    /// Blockout volume, mm³.
    pub blockout_mm3: f64,
}

impl ZoneFigures {
    fn of(glance: &ZoneGlance) -> Self {
        Self {
            depth_mm: glance.depth_mm,
            undercut_area_mm2: glance.undercut_area_mm2,
            blockout_mm3: glance.blockout_mm3,
        }
    }

    fn add(&mut self, weight: f64, other: &Self) {
        self.depth_mm += weight * other.depth_mm;
        self.undercut_area_mm2 += weight * other.undercut_area_mm2;
        self.blockout_mm3 += weight * other.blockout_mm3;
    }
}

/// Readings of a ridge at lattice nodes.
#[derive(Debug, Clone, Default)]
pub(crate) struct RidgeGrid {
    glances: HashMap<Node, Vec<ZoneGlance>>,
    errors: HashMap<Node, Vec<ZoneFigures>>,
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
        let around = i32::from(spacing != Spacing::Coarse);
        let cells = cells_of_interest(spacing, part);
        let wanted = nodes_of(&cells, spacing, around);
        let missing: Vec<Node> = wanted
            .into_iter()
            .filter(|node| !self.glances.contains_key(node))
            .collect();
        let read = read_at(&missing, control, |d, stop| ridge.glance(d, stop))?;
        self.glances.extend(missing.into_iter().zip(read));
        Ok(())
    }

    /// Skims the scan at the nodes of the coarse lattice around the cells of interest, and keeps
    /// by how much the glances there were off.
    pub(crate) fn correct_over(
        &mut self,
        ridge: &dyn RidgeReader,
        part: Part<'_>,
        control: &dyn Control,
    ) -> Result<(), Cancelled> {
        let cells = cells_of_interest(Spacing::Coarse, part);
        let missing: Vec<Node> = nodes_of(&cells, Spacing::Coarse, 0)
            .into_iter()
            .filter(|node| !self.errors.contains_key(node))
            .collect();
        let read = read_at(&missing, control, |d, stop| {
            let skimmed = ridge.skim(d, stop)?;
            Some((skimmed, ridge.glance(d, stop)?))
        })?;
        for (node, (skimmed, glance)) in missing.into_iter().zip(read) {
            let error = |(skimmed, glance): (&ZoneGlance, &ZoneGlance)| {
                let mut error = ZoneFigures::of(skimmed);
                error.add(-1.0, &ZoneFigures::of(glance));
                error
            };
            let errors = skimmed.iter().zip(&glance).map(error).collect();
            self.errors.insert(node, errors);
            self.glances.insert(node, glance);
        }
        Ok(())
    }

    /// The figures of every zone at a chart point; `None` where nothing was read around it.
    pub(crate) fn at(&self, point: Vector2<f64>) -> Option<Vec<ZoneFigures>> {
        let mut zones = self.glanced(point)?;
        if let Some(errors) = self.error_at(point) {
            for (zone, error) in zones.iter_mut().zip(&errors) {
                zone.add(1.0, error);
            }
        }
        for zone in &mut zones {
            zone.depth_mm = zone.depth_mm.max(0.0);
            zone.undercut_area_mm2 = zone.undercut_area_mm2.max(0.0);
            zone.blockout_mm3 = zone.blockout_mm3.max(0.0);
        }
        Some(zones)
    }

    /// The glances around a point, interpolated on the finest lattice that has them.
    fn glanced(&self, point: Vector2<f64>) -> Option<Vec<ZoneFigures>> {
        let by_cubic = [Spacing::Fine, Spacing::Fair]
            .into_iter()
            .find_map(|spacing| {
                let (cell, share) = place(point, spacing);
                let stencil = stencil(cell, spacing);
                let nodes: Option<Vec<&Vec<ZoneGlance>>> =
                    stencil.iter().map(|node| self.glances.get(node)).collect();
                Some((nodes?, share.map(weights)))
            });
        let (nodes, [wx, wy]) = if let Some(found) = by_cubic {
            found
        } else {
            let (cell, share) = place(point, Spacing::Coarse);
            let corner = |k: usize| {
                let [i, j] = [k % 4, k / 4].map(|n| i32::try_from(n).unwrap_or(0) - 1);
                let clamped = [i.clamp(0, 1), j.clamp(0, 1)];
                self.glances.get(&offset(cell, clamped, Spacing::Coarse))
            };
            let nodes: Option<Vec<_>> = (0..16).map(corner).collect();
            (nodes?, share.map(LINEAR))
        };
        let zones = nodes.first()?.len();
        let weight = |k: usize| wx[k % 4] * wy[k / 4];
        let mut answer = Vec::with_capacity(zones);
        let mut sectors: Vec<f64> = Vec::new();
        for zone in 0..zones {
            let mut figures = ZoneFigures::default();
            sectors.clear();
            sectors.resize(nodes[0][zone].sector_depths_mm.len(), 0.0);
            for (k, node) in nodes.iter().enumerate() {
                let (glance, weight) = (&node[zone], weight(k));
                figures.add(weight, &ZoneFigures::of(glance));
                for (sum, depth) in sectors.iter_mut().zip(&glance.sector_depths_mm) {
                    *sum += weight * depth;
                }
            }
            figures.depth_mm = sectors.iter().copied().fold(0.0, f64::max);
            answer.push(figures);
        }
        Some(answer)
    }

    fn error_at(&self, point: Vector2<f64>) -> Option<Vec<ZoneFigures>> {
        let (cell, [x, y]) = place(point, Spacing::Coarse);
        let corners = [
            ([0, 0], (1.0 - x) * (1.0 - y)),
            ([1, 0], x * (1.0 - y)),
            ([0, 1], (1.0 - x) * y),
            ([1, 1], x * y),
        ];
        let mut sum: Vec<ZoneFigures> = Vec::new();
        for (corner, weight) in corners {
            let errors = self.errors.get(&offset(cell, corner, Spacing::Coarse))?;
            sum.resize(errors.len(), ZoneFigures::default());
            for (sum, error) in sum.iter_mut().zip(errors) {
                sum.add(weight, error);
            }
        }
        Some(sum)
    }
}

/// Reads at nodes, in parallel, the answers in their order.
fn read_at<T: Send>(
    nodes: &[Node],
    control: &dyn Control,
    read: impl Fn(&UnitVector3<f64>, &(dyn Fn() -> bool + Sync)) -> Option<T> + Sync,
) -> Result<Vec<T>, Cancelled> {
    let done = AtomicUsize::new(0);
    nodes
        .par_iter()
        .with_max_len(1)
        .map(|&[i, j]| {
            let stop = || control.cancelled();
            if stop() {
                return Err(Cancelled);
            }
            let point = Vector2::new(f64::from(i), f64::from(j)) * UNIT_RAD;
            let answer = read(&from_chart(point), &stop).ok_or(Cancelled)?;
            let done = done.fetch_add(1, Relaxed) + 1;
            control.progress("reading the ridge", done as f64 / nodes.len() as f64);
            Ok(answer)
        })
        .collect()
}

/// Cells of a lattice that may hold a draw of interest within the reach, in a fixed order.
fn cells_of_interest(spacing: Spacing, part: Part<'_>) -> Vec<Node> {
    let Part {
        reach_rad,
        interest,
    } = part;
    let side = spacing.rad();
    let radius = side * std::f64::consts::FRAC_1_SQRT_2;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the chart is a few radians wide"
    )]
    let count = (reach_rad / side).ceil() as i32;
    let mut cells = Vec::new();
    for j in -count..count {
        for i in -count..count {
            let middle = Vector2::new(f64::from(i) + 0.5, f64::from(j) + 0.5) * side;
            let nearest = [i, j].map(|k| f64::from(k.max(-k - 1).max(0)) * side);
            let within = nearest[0].hypot(nearest[1]) < reach_rad;
            if within && interest(&from_chart(middle)) >= -radius {
                cells.push([i, j].map(|k| k * spacing.units()));
            }
        }
    }
    cells
}

/// The nodes of cells and of so many rings of cells around each.
fn nodes_of(cells: &[Node], spacing: Spacing, around: i32) -> BTreeSet<Node> {
    let mut nodes = BTreeSet::new();
    for &cell in cells {
        for j in -around..=1 + around {
            for i in -around..=1 + around {
                nodes.insert(offset(cell, [i, j], spacing));
            }
        }
    }
    nodes
}

fn offset(cell: Node, by: [i32; 2], spacing: Spacing) -> Node {
    [0, 1].map(|k| cell[k] + by[k] * spacing.units())
}

/// The four by four nodes around a cell, rows from below.
fn stencil(cell: Node, spacing: Spacing) -> [Node; 16] {
    std::array::from_fn(|k| {
        let [i, j] = [k % 4, k / 4].map(|n| i32::try_from(n).unwrap_or(0) - 1);
        offset(cell, [i, j], spacing)
    })
}

/// The cell a point lies in, and where in it, as shares of its side. A point on a border belongs to
/// the cell nearer to flat, which is the one that was read.
fn place(point: Vector2<f64>, spacing: Spacing) -> (Node, [f64; 2]) {
    let at = [point.x, point.y].map(|c| c / spacing.rad() * (1.0 - 1e-12));
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the chart is a few radians wide"
    )]
    let cell = at.map(|c| c.floor() as i32);
    let share = [0, 1].map(|k| at[k] - f64::from(cell[k]));
    (cell.map(|k| k * spacing.units()), share)
}
