//! One figure over the chart: a parabola in both directions through the nine nodes of each cell.

use super::cell::{Cell, Lattice, Node};
use std::collections::HashMap;
use tiltbench_geometry::Vector2;

/// A figure at the nodes of cells. Cells of later levels go before those they are quarters of.
#[derive(Debug, Clone, Default)]
pub(super) struct Patches(HashMap<Cell, Patch>);

/// A figure at the nodes of one cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Patch(pub(super) [f64; 9]);

/// Weights of three nodes at 0, 1, 2 for a place between them.
///
/// Source: Lagrange's interpolation through three points; Abramowitz and Stegun, "Handbook of
/// Mathematical Functions", 1964, 25.2.11 (moved by one).
fn weights(t: f64) -> [f64; 3] {
    [
        0.5 * (t - 1.0) * (t - 2.0),
        t * (2.0 - t),
        0.5 * t * (t - 1.0),
    ]
}

impl Patch {
    /// The figure at a place in the cell.
    pub(super) fn at(&self, [x, y]: [f64; 2]) -> f64 {
        let (wx, wy) = (weights(x), weights(y));
        let row = |j: usize| (0..3).map(|i| wx[i] * self.0[3 * j + i]).sum::<f64>();
        (0..3).map(|j| wy[j] * row(j)).sum()
    }

    /// Greatest less least figure at the nodes.
    pub(super) fn spread(&self) -> f64 {
        let most = self.0.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        most - self.0.iter().copied().fold(f64::INFINITY, f64::min)
    }
}

impl Patches {
    pub(super) fn put(&mut self, cell: Cell, patch: Patch) {
        self.0.insert(cell, patch);
    }

    /// The figure at a chart point that was read around.
    pub(super) fn at(&self, lattice: Lattice, point: Vector2<f64>) -> Option<f64> {
        let point = lattice.point(point);
        let [x, y] = point.map(|k| usize::from(k >= 0.0));
        let mut cell = Cell::first()[2 * y + x];
        let mut patch = self.0.get(&cell)?;
        while let Some(finer) = self.0.get(&cell.child_at(point)) {
            cell = cell.child_at(point);
            patch = finer;
        }
        Some(patch.at(cell.place(point)))
    }

    /// What the figure at a node would be by one cell alone.
    pub(super) fn foretold(&self, cell: Cell, node: Node) -> Option<f64> {
        Some(self.0.get(&cell)?.at(cell.place_of(node)))
    }

    pub(super) fn patch(&self, cell: Cell) -> Option<&Patch> {
        self.0.get(&cell)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Everything that is a parabola along each side comes back, in a cell and in its quarter.
    #[test]
    fn parabolas_come_back() {
        let lattice = Lattice::new(0.4);
        let f = |[x, y]: [f64; 2]| 3.0 + x - 2.0 * y + 0.5 * x * y - x * x + 0.25 * x * x * y * y;
        let of = |node: Node| f(node.map(|k| f64::from(k) / 100.0));
        let mut patches = Patches::default();
        for cell in Cell::first() {
            patches.put(cell, Patch(cell.nodes().map(of)));
        }
        let quarter = Cell::first()[3].children().next().unwrap();
        patches.put(quarter, Patch(quarter.nodes().map(of)));
        for (x, y) in [
            (0.0, 0.0),
            (0.05, 0.07),
            (-0.3, 0.2),
            (0.1, -0.39),
            (-0.4, -0.01),
        ] {
            let there = f(lattice.point(Vector2::new(x, y)).map(|k| k / 100.0));
            let told = patches.at(lattice, Vector2::new(x, y)).unwrap();
            assert!((told - there).abs() < 1e-12, "{x} {y}: {told} {there}");
        }
    }

    /// A quarter that was read goes before the cell it is of, and only within itself.
    #[test]
    fn the_finest_cell_tells() {
        let lattice = Lattice::new(0.4);
        let mut patches = Patches::default();
        let [.., cell] = Cell::first();
        patches.put(cell, Patch([1.0; 9]));
        patches.put(cell.children().next().unwrap(), Patch([2.0; 9]));
        let at = |x: f64, y: f64| patches.at(lattice, Vector2::new(x, y));
        assert_eq!(
            [at(0.1, 0.1), at(0.1, 0.3), at(0.3, 0.1)],
            [Some(2.0), Some(1.0), Some(1.0)]
        );
        assert_eq!(at(-0.1, 0.1), None);
    }
}
