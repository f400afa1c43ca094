//! The cells of the chart: squares, each four of the one before, with nine nodes.
//!
//! ```text
//!   6-----7-----8      nodes of a cell, in rows from below; 0, 2, 6 and 8
//!   |     |     |      are nodes of the cell it is a quarter of, the others
//!   3-----4-----5      lie between those: there the wider cell is checked
//!   |     |     |
//!   0-----1-----2
//! ```
//!
//! A cell of level 0 reaches from flat to the rim, so four of them cover the chart. Some nodes of cells
//! at the rim lie beyond it, and are read: that is cheaper than anything else that does not make the
//! figures at the rim worse than others.

use crate::sphere::from_chart;
use tiltbench_geometry::{UnitVector3, Vector2};

/// Units from flat to the rim. All nodes down to [`DEEPEST`] have whole coordinates.
const UNITS: i32 = 512;

/// Level beyond which nodes would lie between units.
const DEEPEST: u8 = 8;

/// Radians. Separates a chart from a point; a ten-thousandth of a degree.
const LEAST_REACH_RAD: f64 = 2e-6;

/// A place that can be read, in units.
pub(super) type Node = [i32; 2];

/// A square of the chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Cell {
    pub(super) level: u8,
    /// Its corner with the least coordinates.
    at: Node,
}

impl Cell {
    /// The cells that cover the chart.
    pub(super) fn first() -> [Self; 4] {
        [[-1, -1], [0, -1], [-1, 0], [0, 0]].map(|at| Self {
            level: 0,
            at: at.map(|k| k * UNITS),
        })
    }

    /// From node to node.
    fn spacing(self) -> i32 {
        (UNITS / 2) >> self.level
    }

    fn node(self, [i, j]: [i32; 2], step: i32) -> Node {
        [self.at[0] + i * step, self.at[1] + j * step]
    }

    /// Its nodes, in rows from below.
    pub(super) fn nodes(self) -> [Node; 9] {
        let nodes = [0, 1, 2].map(|j| [0, 1, 2].map(|i| self.node([i, j], self.spacing())));
        let [[a, b, c], [d, e, f], [g, h, i]] = nodes;
        [a, b, c, d, e, f, g, h, i]
    }

    /// Those of its nodes that the cell it is a quarter of does not have.
    pub(super) fn new_nodes(self) -> [Node; 5] {
        let nodes = self.nodes();
        [1, 3, 4, 5, 7].map(|k| nodes[k])
    }

    /// The cell it is a quarter of; `None` for the first.
    pub(super) fn parent(self) -> Option<Self> {
        let level = self.level.checked_sub(1)?;
        let side = UNITS >> level;
        let at = self.at.map(|k| k.div_euclid(side) * side);
        Some(Self { level, at })
    }

    pub(super) fn middle(self) -> Node {
        self.node([1, 1], self.spacing())
    }

    /// Its quarters, as far as they touch the chart.
    pub(super) fn children(self) -> impl Iterator<Item = Self> {
        let child = move |way| Self {
            level: self.level + 1,
            at: self.node(way, self.spacing()),
        };
        let all = [[0, 0], [1, 0], [0, 1], [1, 1]].map(child);
        all.into_iter().filter(|child| child.is_on_chart())
    }

    /// Its quarter that holds a point, in units.
    pub(super) fn child_at(self, point: [f64; 2]) -> Self {
        let middle = self.middle();
        let way = [0, 1].map(|k| i32::from(point[k] >= f64::from(middle[k])));
        Self {
            level: self.level + 1,
            at: self.node(way, self.spacing()),
        }
    }

    fn is_on_chart(self) -> bool {
        let side = 2 * self.spacing();
        let nearest = self.at.map(|k| k.max(-k - side).max(0));
        nearest[0] * nearest[0] + nearest[1] * nearest[1] <= UNITS * UNITS
    }

    /// Where a point, in units, lies in it: 0 to 2 along each side.
    pub(super) fn place(self, point: [f64; 2]) -> [f64; 2] {
        let spacing = f64::from(self.spacing());
        [0, 1].map(|k| (point[k] - f64::from(self.at[k])) / spacing)
    }

    /// Where a node lies in it.
    pub(super) fn place_of(self, node: Node) -> [f64; 2] {
        self.place(node.map(f64::from))
    }
}

/// How cells lie on a chart of some reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lattice {
    reach_rad: f64,
}

impl Lattice {
    pub(super) fn new(reach_rad: f64) -> Self {
        // A chart of flat alone still has nodes.
        let reach_rad = reach_rad.max(LEAST_REACH_RAD);
        Self { reach_rad }
    }

    /// The draw at a node.
    pub(super) fn draw(self, node: Node) -> UnitVector3<f64> {
        let [x, y] = node.map(|k| f64::from(k) / f64::from(UNITS) * self.reach_rad);
        from_chart(Vector2::new(x, y))
    }

    /// A chart point in units.
    pub(super) fn point(self, point: Vector2<f64>) -> [f64; 2] {
        [point.x, point.y].map(|k| k / self.reach_rad * f64::from(UNITS))
    }

    /// No draw of a cell is farther than this from its middle, radians: a distance on the chart is never
    /// shorter than the angle.
    pub(super) fn cone_rad(self, cell: Cell) -> f64 {
        let side = f64::from(cell.spacing()) / f64::from(UNITS) * self.reach_rad;
        // Rounding must not leave a corner out.
        side * std::f64::consts::SQRT_2 * (1.0 + 1e-9)
    }

    /// The first level whose nodes are so near to one another.
    pub(super) fn level_with_spacing(self, spacing_rad: f64) -> u8 {
        let spacing = |level: u8| self.reach_rad / f64::from(2_u32 << level);
        (0..DEEPEST)
            .find(|&level| spacing(level) <= spacing_rad)
            .unwrap_or(DEEPEST)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sphere::{angle_between, to_chart};

    #[test]
    fn quarters_cover_a_cell_within_its_cone() {
        let lattice = Lattice::new(0.35);
        let mut cell = Cell::first()[3];
        for _ in 0..DEEPEST {
            let within = |of: Cell, node: Node| {
                angle_between(&lattice.draw(of.middle()), &lattice.draw(node))
            };
            for child in cell.children() {
                assert_eq!(child.parent(), Some(cell));
                let old = cell.nodes();
                assert!(child.new_nodes().iter().all(|node| !old.contains(node)));
                let known = child
                    .nodes()
                    .iter()
                    .filter(|node| old.contains(node))
                    .count();
                assert_eq!(known, 4);
                let between = within(cell, child.middle());
                assert!(between + lattice.cone_rad(child) <= lattice.cone_rad(cell));
                assert!(
                    child
                        .nodes()
                        .iter()
                        .all(|&n| within(child, n) <= lattice.cone_rad(child))
                );
            }
            cell = cell.children().next().unwrap();
        }
        assert_eq!(cell.spacing(), 1);
    }

    #[test]
    fn a_point_lies_in_the_quarter_it_is_said_to() {
        let lattice = Lattice::new(0.35);
        for cell in Cell::first() {
            for (x, y) in [(0.1, 0.2), (-0.3, 0.01), (0.0, -0.34)] {
                let point = lattice.point(to_chart(&from_chart(Vector2::new(x, y))));
                let inside = |of: Cell| of.place(point).iter().all(|t| (0.0..=2.0).contains(t));
                assert!(
                    !inside(cell) || inside(cell.child_at(point)),
                    "{cell:?} {x} {y}"
                );
            }
        }
    }

    #[test]
    fn quarters_beyond_the_rim_are_left_out() {
        let corner = Cell::first()[3].children().last().unwrap();
        assert_eq!(corner.children().count(), 3);
        assert_eq!(Lattice::new(0.35).level_with_spacing(0.35 / 64.0), 5);
        assert_eq!(Lattice::new(0.35).level_with_spacing(0.0), DEEPEST);
    }
}
