//! What the ridge costs over cells of draws, proved: read where a question needs it, kept for the next.
//!
//! A node holds one reading at the centre of its cell, with bounds over the circle around the cell (see
//! [`tiltbench_geometry::undercut::DepthCone`]). A child is read within its parent, so it takes up only what
//! may still decide there. A node depends on nothing but its cell and the problem: whatever was
//! asked before, the same cell says the same.

use crate::cell::Cell;
use crate::control::{Cancelled, Control};
use crate::problem::{Problem, RidgeReader};
use crate::sphere::{angle_between, between};
use rayon::prelude::*;
use std::collections::{BTreeSet, HashMap};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::tolerance::MET_MM;
use tiltbench_geometry::undercut::{About, AboutZone, DepthAsk, DepthCone};
use tiltbench_geometry::{UnitVector3, Vector3};

/// Cells that are read at once. The same on any machine, so that what is read, and with it the answer, is
/// too. Tuned: 8. More reads cells that one reading would have shown to be needless, fewer leaves cores
/// idle.
pub(crate) const BATCH: usize = 8;

/// What one cell says of one zone, mm: bounds over the whole cell, and the depth at its centre.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_field_names, reason = "names carry their unit")]
pub(crate) struct ZoneBounds {
    /// Nowhere in the cell is the zone less deep.
    pub least_mm: f64,
    /// At the centre the zone is no less deep.
    pub surely_mm: f64,
    /// At the centre the zone is no deeper; the same but over wide cells, whose depths are only bounded.
    pub depth_mm: f64,
    /// Nowhere in the cell is it deeper.
    pub most_mm: f64,
}

#[derive(Debug)]
struct Node {
    cone: DepthCone,
    /// Whether the cone is that of the cell, so that children may be read within it.
    holds_children: bool,
    zones: Vec<ZoneBounds>,
}

/// What is known of a ridge, cell by cell.
pub(crate) struct DepthTree<'a> {
    problem: Problem<'a>,
    pairs: Vec<[usize; 2]>,
    /// Of each zone: what no limit allows; none if depths beyond that are asked for too.
    ceilings_mm: Vec<f64>,
    /// Whether sums of opposing zones are told where one alone breaks its limit.
    tells_sums: bool,
    nodes: HashMap<Cell, Node>,
    /// What is worked out of smaller cells, zone by zone.
    small: HashMap<Cell, Vec<AboutZone>>,
    /// What readings of such say, which were asked for one by one.
    close: HashMap<Cell, Node>,
    readings: usize,
}

/// Radians. Cells smaller than this are not read unless asked for: the ways out that were found for the cell they
/// lie in bound their depths.
/// Tuned: 0.27 degrees, as [`tiltbench_geometry::undercut`] keeps ways.
const SMALL_RAD: f64 = 0.27 * std::f64::consts::PI / 180.0;

impl<'a> DepthTree<'a> {
    /// Reads nothing yet. Limits that are no lower than those of `problem`, after clearing, may be asked for.
    pub(crate) fn new(problem: &Problem<'a>) -> Self {
        let mut tree = Self {
            ceilings_mm: Vec::new(),
            pairs: problem.opposing_zones(),
            problem: *problem,
            tells_sums: false,
            nodes: HashMap::new(),
            small: HashMap::new(),
            close: HashMap::new(),
            readings: 0,
        };
        tree.ceilings_mm = (0..problem.zones().len())
            .map(|zone| tree.allowed_mm(zone) + 2.0 * MET_MM)
            .collect();
        tree
    }

    /// The most that limits allow of a zone, whatever its opposite has; infinite if none does. Where sums are
    /// told, what the limit of a sum allows.
    fn allowed_mm(&self, zone: usize) -> f64 {
        let problem = &self.problem;
        let own = problem.zones()[zone].undercut_limit_mm;
        let is_paired = self.pairs.iter().any(|pair| pair.contains(&zone));
        let of_pair = is_paired.then_some(problem.limits.opposing_undercut_limit_mm);
        let allowed = match (own, of_pair) {
            (Some(own), Some(of_pair)) if self.tells_sums => Some(own.max(of_pair)),
            (own, of_pair) => own.or(of_pair),
        };
        allowed.map_or(f64::INFINITY, |limit| limit + problem.cleared_mm(zone))
    }

    /// From here on it is asked by how much limits are overrun, too.
    pub(crate) fn tell_overruns(&mut self) {
        self.tell_sums();
        self.ceilings_mm.clear();
    }

    /// From here on sums of opposing zones are told where one alone breaks its limit, too.
    pub(crate) fn tell_sums(&mut self) {
        self.tells_sums = true;
        for zone in 0..self.ceilings_mm.len() {
            self.ceilings_mm[zone] = self.allowed_mm(zone) + 2.0 * MET_MM;
        }
        self.nodes.clear();
        self.small.clear();
        self.close.clear();
    }

    /// Depths of a zone that no limit asks to tell apart where zones are no deeper than `most_mm`: up to its
    /// own limit, and up to what the most that its opposite may have leaves of the limit of both.
    fn floor_mm(&self, zone: usize, most_mm: &[f64]) -> f64 {
        let problem = &self.problem;
        let cleared_mm = problem.cleared_mm(zone);
        let own = problem.zones()[zone].undercut_limit_mm;
        let own = own.map_or(f64::INFINITY, |limit| limit + cleared_mm);
        let of_pair = |[a, b]: &[usize; 2]| {
            let other = if *a == zone { *b } else { *a };
            let of_other = (most_mm[other] - problem.cleared_mm(other)).max(0.0);
            // Where that has more than its own limit allows, it is all the same what this one has.
            let own = problem.zones()[other].undercut_limit_mm;
            let own = own.filter(|_| !self.tells_sums).unwrap_or(f64::INFINITY);
            let of_other = of_other.min(own);
            let left_mm = problem.limits.opposing_undercut_limit_mm - of_other - ROUNDING_MM;
            (left_mm + cleared_mm).max(0.0)
        };
        let pairs = self.pairs.iter().filter(|pair| pair.contains(&zone));
        pairs.map(of_pair).fold(own, f64::min)
    }

    /// Readings so far.
    pub(crate) fn readings(&self) -> usize {
        self.readings
    }

    /// Reads cells that were not read yet, and what they were cut from, in parallel.
    pub(crate) fn read(&mut self, cells: &[Cell], control: &dyn Control) -> Result<(), Cancelled> {
        let Some(ridge) = self.problem.ridge else {
            return Ok(());
        };
        let lines = cells.iter().flat_map(|cell| cell.line());
        let missing: BTreeSet<Cell> = lines
            .filter(|cell| self.is_read(*cell) && !self.nodes.contains_key(cell))
            .collect();
        let missing: Vec<Cell> = missing.into_iter().collect();
        for level in missing.chunk_by(|a, b| a.level() == b.level()) {
            let read: Option<Vec<Node>> = level
                .par_iter()
                .with_max_len(1)
                .map(|cell| self.node(ridge, *cell, cell.parent(), control))
                .collect();
            self.readings += level.len();
            let read = read.filter(|_| !control.cancelled()).ok_or(Cancelled)?;
            self.nodes.extend(level.iter().copied().zip(read));
        }
        for cell in cells {
            self.work_out(*cell);
        }
        Ok(())
    }

    /// Whether a cell is read by itself whenever it is looked at. Where overruns are told, all are.
    fn is_read(&self, cell: Cell) -> bool {
        let on_table = on_table(&cell.centre());
        cell.radius_rad() >= 0.9 * SMALL_RAD
            || self.ceilings_mm.is_empty()
            || angle_between(&cell.centre(), &on_table) > 0.0
    }

    /// The smallest cell about one that is read whenever it is looked at.
    fn holder(&self, cell: Cell) -> Cell {
        let up = std::iter::successors(Some(cell), |cell| cell.parent());
        up.into_iter()
            .find(|cell| self.is_read(*cell))
            .unwrap_or(cell)
    }

    /// Reads cells by themselves, whatever their size, in parallel.
    pub(crate) fn read_close(
        &mut self,
        cells: &[Cell],
        control: &dyn Control,
    ) -> Result<(), Cancelled> {
        self.read(cells, control)?;
        let Some(ridge) = self.problem.ridge else {
            return Ok(());
        };
        let is_missing = |cell: &&Cell| !self.is_read(**cell) && !self.close.contains_key(cell);
        let missing: BTreeSet<Cell> = cells.iter().filter(is_missing).copied().collect();
        let missing: Vec<Cell> = missing.into_iter().collect();
        let read: Option<Vec<Node>> = missing
            .par_iter()
            .with_max_len(1)
            .map(|cell| self.node(ridge, *cell, Some(self.holder(*cell)), control))
            .collect();
        self.readings += missing.len();
        let read = read.filter(|_| !control.cancelled()).ok_or(Cancelled)?;
        self.close.extend(missing.iter().copied().zip(read));
        Ok(())
    }

    /// Works out what the ways found for the cell that holds it say of one that is not read, and of those in
    /// between.
    fn work_out(&mut self, cell: Cell) {
        for cell in cell.line() {
            if self.is_read(cell) || self.small.contains_key(&cell) {
                continue;
            }
            let Some(node) = self.nodes.get(&self.holder(cell)) else {
                return;
            };
            let (d, radius_rad) = (cell.centre(), cell.radius_rad());
            let above = cell.parent().and_then(|above| self.small.get(&above));
            let away_rad = angle_between(&node.cone.direction, &d);
            let known = node
                .cone
                .zones
                .iter()
                .map(|zone| zone.most_mm(away_rad + radius_rad));
            let mut most_mm: Vec<f64> = known.collect();
            let mut order: Vec<usize> = (0..most_mm.len()).collect();
            order.sort_by(|&a, &b| most_mm[a].total_cmp(&most_mm[b]));
            let mut zones: Vec<Option<AboutZone>> = vec![None; most_mm.len()];
            for zone in order {
                let above = above.and_then(|above| above.get(zone));
                let about = node.cone.zones[zone].about(&About {
                    direction: &d,
                    away_rad,
                    within_rad: radius_rad,
                    floor_mm: self.floor_mm(zone, &most_mm),
                    of: above.map(|above| above.samples.as_slice()),
                    rest_mm: above.map_or(0.0, |above| above.rest_mm),
                });
                most_mm[zone] = most_mm[zone].min(about.most_mm);
                zones[zone] = Some(about);
            }
            self.small
                .insert(cell, zones.into_iter().flatten().collect());
        }
    }

    fn node(
        &self,
        ridge: &dyn RidgeReader,
        cell: Cell,
        within: Option<Cell>,
        control: &dyn Control,
    ) -> Option<Node> {
        let (centre, radius_rad) = (cell.centre(), cell.radius_rad());
        let direction = on_table(&centre);
        let off_rad = angle_between(&centre, &direction);
        let holds_children = off_rad <= 0.0;
        let parent = within.and_then(|within| self.nodes.get(&within));
        let within = parent
            .filter(|parent| holds_children && parent.holds_children)
            .map(|parent| &parent.cone);
        let cone_rad = radius_rad + off_rad;
        let ask = DepthAsk {
            cone_rad,
            floor_mm: &|zone, most_mm| self.floor_mm(zone, most_mm),
            ceilings_mm: &self.ceilings_mm,
            within,
        };
        let cone = ridge.depths(&direction, &ask, &|| control.cancelled())?;
        let bounds = cone.zones.iter().map(|zone| ZoneBounds {
            least_mm: zone.least_mm(cone.cone_rad),
            // Off the centre only what holds everywhere is known of it; no table gets there.
            surely_mm: if holds_children {
                zone.least_mm(0.0)
            } else {
                zone.least_mm(cone.cone_rad)
            },
            depth_mm: if holds_children {
                zone.depth_mm
            } else {
                zone.most_mm(cone.cone_rad)
            },
            most_mm: zone.most_mm(cone.cone_rad),
        });
        Some(Node {
            holds_children,
            zones: bounds.collect(),
            cone,
        })
    }

    /// What is known of each zone over a cell; nothing where nothing about it was read.
    pub(crate) fn bounds(&self, cell: Cell) -> Vec<ZoneBounds> {
        if let Some(node) = self.nodes.get(&cell) {
            return node.zones.clone();
        }
        let small = self.small.get(&cell).map_or(&[][..], |zones| zones);
        let bounds = small.iter().map(|zone| ZoneBounds {
            least_mm: zone.least_mm,
            surely_mm: zone.surely_mm,
            depth_mm: zone.depth_mm,
            most_mm: zone.most_mm,
        });
        bounds.collect()
    }

    /// What a reading of the cell itself says of each zone; nothing where it was not read.
    pub(crate) fn bounds_close(&self, cell: Cell) -> &[ZoneBounds] {
        self.read_of(cell).map_or(&[], |node| &node.zones)
    }

    fn read_of(&self, cell: Cell) -> Option<&Node> {
        self.nodes.get(&cell).or_else(|| self.close.get(&cell))
    }

    /// The least depths of all zones within an angle of a cell's centre, mm; `None` where the cell was not read
    /// about its own centre.
    pub(crate) fn least_within_mm(&self, cell: Cell, within_rad: f64) -> Option<Vec<f64>> {
        let node = self.read_of(cell).filter(|node| node.holds_children)?;
        let zones = node.cone.zones.iter();
        Some(zones.map(|zone| zone.least_mm(within_rad)).collect())
    }

    /// Depths of all zones at one draw, mm; depths that no limit asks for may be given as up to that.
    pub(crate) fn depths_mm(
        &mut self,
        d: &UnitVector3<f64>,
        control: &dyn Control,
    ) -> Result<Vec<f64>, Cancelled> {
        let Some(ridge) = self.problem.ridge else {
            return Ok(Vec::new());
        };
        let tile = Cell::tile_of(d);
        self.read(&[tile], control)?;
        // The smallest cell about the draw that was read: least is left to look at.
        let mut holder = tile;
        while let Some(child) = (holder.children().into_iter()).find(|child| {
            angle_between(d, &child.centre()) <= child.radius_rad()
                && self.nodes.contains_key(child)
        }) {
            holder = child;
        }
        let within = (self.nodes.get(&holder))
            .filter(|node| node.holds_children)
            .map(|node| &node.cone);
        let ask = DepthAsk {
            cone_rad: 0.0,
            floor_mm: &|zone, most_mm| self.floor_mm(zone, most_mm),
            ceilings_mm: &self.ceilings_mm,
            within,
        };
        let cone = ridge
            .depths(d, &ask, &|| control.cancelled())
            .ok_or(Cancelled)?;
        self.readings += 1;
        Ok(cone.depths_mm())
    }
}

/// mm. Separates a sum that just meets its limit from the rounding of its parts.
const ROUNDING_MM: f64 = 1e-9;

/// The draw itself, or, past what a table can be set to, the nearest that it can.
fn on_table(d: &UnitVector3<f64>) -> UnitVector3<f64> {
    let up = UnitVector3::new_unchecked(Vector3::z());
    let total_rad = angle_between(d, &up);
    if total_rad <= Tilt::LIMIT_RAD {
        *d
    } else {
        between(&up, d, Tilt::LIMIT_RAD / total_rad)
    }
}
