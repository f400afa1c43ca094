//! What is kept at nodes, and interpolation between them.

use super::kernel::weights;
use super::lattice::{Node, Spacing, Wanted, offset, place, stencil};
use std::collections::HashMap;
use tiltbench_geometry::Vector2;

/// Everything that is interpolated of one node, zone after zone. Of a glance: undercut area,
/// blockout, and the depths of the sectors. Of its error: depth, undercut area and blockout.
pub(super) type Row = Vec<f64>;

/// A sum of rows, each with its weight.
pub(super) fn combined<'a>(rows: impl IntoIterator<Item = (f64, &'a Row)>) -> Row {
    let mut sum = Row::new();
    for (weight, row) in rows {
        sum.resize(row.len(), 0.0);
        for (sum, value) in sum.iter_mut().zip(row) {
            *sum += weight * value;
        }
    }
    sum
}

/// Rows at nodes, read or, per lattice, carried there from others.
#[derive(Debug, Clone, Default)]
pub(super) struct Rows {
    pub(super) read: HashMap<Node, Row>,
    pub(super) carried: HashMap<(Spacing, Node), Row>,
}

impl Rows {
    fn at(&self, spacing: Spacing, node: Node) -> Option<&Row> {
        let carried = || self.carried.get(&(spacing, node));
        self.read.get(&node).or_else(carried)
    }

    pub(super) fn missing(&self, wanted: &Wanted) -> Vec<Node> {
        let unknown = |node: &&Node| !self.read.contains_key(*node);
        wanted.inside.iter().filter(unknown).copied().collect()
    }

    /// Cubic convolution on a lattice.
    pub(super) fn cubic(&self, point: Vector2<f64>, spacing: Spacing) -> Option<Row> {
        let (cell, share) = place(point, spacing);
        let [wx, wy] = share.map(weights);
        let rows: Option<Vec<&Row>> = stencil(cell, spacing)
            .iter()
            .map(|&node| self.at(spacing, node))
            .collect();
        let weighted = rows?.into_iter().enumerate();
        Some(combined(
            weighted.map(|(k, row)| (wx[k % 4] * wy[k / 4], row)),
        ))
    }

    /// Bilinear on the coarse lattice.
    pub(super) fn bilinear(&self, point: Vector2<f64>) -> Option<Row> {
        let (cell, [x, y]) = place(point, Spacing::Coarse);
        let corners = [
            ([0, 0], (1.0 - x) * (1.0 - y)),
            ([1, 0], x * (1.0 - y)),
            ([0, 1], (1.0 - x) * y),
            ([1, 1], x * y),
        ];
        let rows: Option<Vec<(f64, &Row)>> = corners
            .into_iter()
            .map(|(corner, weight)| {
                let node = offset(cell, corner, Spacing::Coarse);
                Some((weight, self.at(Spacing::Coarse, node)?))
            })
            .collect();
        rows.map(combined)
    }

    /// Forgets what was carried outward on a lattice: it hangs on which nodes had been read.
    pub(super) fn forget_carried(&mut self, spacing: Spacing) {
        self.carried.retain(|(of, _), _| *of != spacing);
    }

    /// Fills in the nodes beyond the rim from those nearer to flat, along an axis or both axes at
    /// once: the mean of the ways there are.
    pub(super) fn carry_outward(&mut self, wanted: &Wanted, carry: impl Fn([&Row; 3]) -> Row) {
        let spacing = wanted.spacing;
        for &node in &wanted.beyond {
            let carried: Vec<Row> = ways_inward(node)
                .into_iter()
                .filter_map(|way| {
                    let inward = |n: i32| {
                        let node = offset(node, way.map(|k| n * k), spacing);
                        self.at(spacing, node)
                    };
                    Some(carry([inward(1)?, inward(2)?, inward(3)?]))
                })
                .collect();
            if !carried.is_empty() {
                let share = 1.0 / carried.len() as f64;
                let mean = combined(carried.iter().map(|row| (share, row)));
                self.carried.insert((spacing, node), mean);
            }
        }
    }
}

/// The ways from a node toward flat, in steps: along either axis, and along both. From a node on an
/// axis there is only one.
fn ways_inward(node: Node) -> Vec<[i32; 2]> {
    let [i, j] = node.map(|k| -k.signum());
    match [i, j] {
        [0, 0] => Vec::new(),
        [0, _] | [_, 0] => vec![[i, j]],
        _ => vec![[i, 0], [0, j], [i, j]],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_leads_toward_flat_and_there_is_no_way_twice() {
        assert_eq!(ways_inward([0, 0]), Vec::<[i32; 2]>::new());
        assert_eq!(ways_inward([0, 8]), [[0, -1]]);
        assert_eq!(ways_inward([-4, 0]), [[1, 0]]);
        assert_eq!(ways_inward([-4, 8]), [[1, 0], [0, -1], [1, -1]]);
    }
}
