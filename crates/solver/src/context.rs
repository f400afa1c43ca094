//! What the searches of one survey share: the problem, what was read of its ridge, and margins already
//! computed.

use crate::cell::Cell;
use crate::control::Cancelled;
use crate::depth_tree::DepthTree;
use crate::distance::{Ask, Pair, ridge_distance};
use crate::field::{Field, Standing, worst};
use std::collections::HashMap;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};

/// A problem and what is known of it.
pub(crate) struct Context<'c, 'a, 't> {
    /// The problem.
    pub field: &'c Field<'a>,
    /// What was read of the ridge. Cleared zones and other limits of walls leave it as it is.
    pub tree: &'c mut DepthTree<'t>,
    /// Cells that searches took up.
    pub cells: usize,
    margins: HashMap<Cell, f64>,
}

impl<'c, 'a, 't> Context<'c, 'a, 't> {
    pub(crate) fn new(field: &'c Field<'a>, tree: &'c mut DepthTree<'t>) -> Self {
        Self {
            field,
            tree,
            cells: 0,
            margins: HashMap::new(),
        }
    }

    /// The least margin with a closed form at a cell's centre, radians.
    pub(crate) fn margin_rad(&mut self, cell: Cell) -> f64 {
        let field = self.field;
        let margin = self.margins.entry(cell);
        *margin.or_insert_with(|| field.analytic_margin(&cell.centre()))
    }

    /// How the ridge's limits stand over each of some cells: as the largest cell about it that decides
    /// says, else as the cell itself does. Reads only what is left undecided, in parallel.
    pub(crate) fn settle(&mut self, cells: &[Cell]) -> Result<Vec<Standing>, Cancelled> {
        let mut standings = vec![Standing::Met; cells.len()];
        if !self.field.is_limited_by_ridge() {
            return Ok(standings);
        }
        let lines: Vec<Vec<Cell>> = cells.iter().map(|cell| cell.line()).collect();
        let mut open: Vec<usize> = (0..cells.len()).collect();
        let mut level = 0;
        while !open.is_empty() {
            let asked: Vec<Cell> = open.iter().map(|&i| lines[i][level]).collect();
            self.tree.read(&asked, self.field.control)?;
            for &i in &open {
                let bounds = self.tree.bounds(lines[i][level]);
                standings[i] = self.field.standing(&bounds, &self.field.ridge_limits);
            }
            level += 1;
            open.retain(|&i| {
                let undecided = !matches!(standings[i], Standing::Met | Standing::Broken);
                undecided && level < lines[i].len()
            });
        }
        Ok(standings)
    }

    /// How all limits of the ridge stand over a cell.
    pub(crate) fn standing(&mut self, cell: Cell) -> Result<Standing, Cancelled> {
        let standings = self.settle(&[cell])?;
        Ok(standings.first().copied().unwrap_or(Standing::Met))
    }

    /// Distance to the nearest draw that breaks any limit of the ridge.
    pub(crate) fn ridge_distance(
        &mut self,
        d: &UnitVector3<f64>,
        ask: &Ask,
    ) -> Result<Pair, Cancelled> {
        let field = self.field;
        ridge_distance(field, self.tree, &field.ridge_limits, d, ask)
    }

    /// Overruns of the ridge's limits at a draw, mm; empty where it limits nothing. Overruns below 0 may
    /// be given as up to 0.
    pub(crate) fn overruns_mm(&mut self, d: &UnitVector3<f64>) -> Result<Vec<f64>, Cancelled> {
        if self.field.control.cancelled() {
            return Err(Cancelled);
        }
        if !self.field.is_limited_by_ridge() {
            return Ok(Vec::new());
        }
        let depths = self.tree.depths_mm(d, self.field.control)?;
        Ok(self.field.overruns_mm(&depths))
    }

    /// Whether a draw meets every limit.
    pub(crate) fn is_acceptable(&mut self, d: &UnitVector3<f64>) -> Result<bool, Cancelled> {
        Ok(self.field.analytic_margin(d) >= -MET_RAD && worst(&self.overruns_mm(d)?) <= MET_MM)
    }
}
