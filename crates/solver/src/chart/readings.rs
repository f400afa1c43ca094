//! Readings at nodes and over cells, many at once, taken up in a fixed order.

use super::cell::{Cell, Lattice, Node};
use crate::control::{Cancelled, Control};
use crate::problem::RidgeReader;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::{DepthAsk, DepthCone, ZonePreview};

/// The ridge, as a chart reads it.
#[derive(Clone, Copy)]
pub(super) struct Readings<'a> {
    pub(super) ridge: &'a dyn RidgeReader,
    pub(super) lattice: Lattice,
    pub(super) control: &'a dyn Control,
}

/// Previews at nodes.
pub(super) type Previews = BTreeMap<Node, Vec<ZonePreview>>;

impl Readings<'_> {
    /// Adds previews at those of the nodes that have none.
    pub(super) fn preview(
        &self,
        nodes: impl IntoIterator<Item = Node>,
        previews: &mut Previews,
    ) -> Result<(), Cancelled> {
        let missing: BTreeSet<Node> = nodes
            .into_iter()
            .filter(|node| !previews.contains_key(node))
            .collect();
        let missing: Vec<Node> = missing.into_iter().collect();
        let read = self.each(&missing, |&node, stop| {
            self.ridge.preview(&self.lattice.draw(node), stop)
        })?;
        previews.extend(missing.into_iter().zip(read));
        Ok(())
    }

    /// What bounds depths over a cell; of the zones that matter.
    pub(super) fn cone(
        &self,
        cell: Cell,
        matters: &[bool],
        within: Option<&DepthCone>,
    ) -> Result<DepthCone, Cancelled> {
        let cone_rad = self.lattice.cone_rad(cell);
        self.depths(cell.middle(), cone_rad, matters, within)
    }

    /// Depths at a node, of the zones that matter; of others it says nothing.
    pub(super) fn depths_mm(
        &self,
        node: Node,
        matters: &[bool],
        within: &DepthCone,
    ) -> Result<Vec<f64>, Cancelled> {
        Ok(self.depths(node, 0.0, matters, Some(within))?.depths_mm())
    }

    fn depths(
        &self,
        node: Node,
        cone_rad: f64,
        matters: &[bool],
        within: Option<&DepthCone>,
    ) -> Result<DepthCone, Cancelled> {
        let ask = DepthAsk {
            cone_rad,
            floor_mm: &|zone, _| if matters[zone] { 0.0 } else { f64::INFINITY },
            ceilings_mm: &[],
            within,
        };
        let stop = || self.control.cancelled();
        let d: UnitVector3<f64> = self.lattice.draw(node);
        self.ridge.depths(&d, &ask, &stop).ok_or(Cancelled)
    }

    fn each<T: Sync, R: Send>(
        &self,
        items: &[T],
        read: impl Fn(&T, &(dyn Fn() -> bool + Sync)) -> Option<R> + Sync,
    ) -> Result<Vec<R>, Cancelled> {
        let done = AtomicUsize::new(0);
        let stop = || self.control.cancelled();
        items
            .par_iter()
            .with_max_len(1)
            .map(|item| {
                if stop() {
                    return Err(Cancelled);
                }
                let answer = read(item, &stop).ok_or(Cancelled)?;
                let done = done.fetch_add(1, Relaxed) + 1;
                let share = done as f64 / items.len() as f64;
                self.control.progress("reading the ridge", share);
                Ok(answer)
            })
            .collect()
    }
}
