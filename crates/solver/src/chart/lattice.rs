//! The square lattices that nodes lie on, and which nodes a part of the chart needs.

use crate::sphere::from_chart;
use std::collections::BTreeSet;
use tiltbench_geometry::{UnitVector3, Vector2};

/// Radians. Spacing of the lattice that all nodes lie on: 1.25 degree. Tuned: half of the finest
/// spacing, so that all lattices share their nodes.
const UNIT_RAD: f64 = 1.25 * std::f64::consts::PI / 180.0;

/// Spacing of lattices, in units.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Spacing {
    /// 2.5 degrees. Tuned: at 5 degrees bends of the depth show up to 0.1 mm off (`chart` would
    /// notice); at 1.25 the chart costs four times as much.
    Fine = 2,
    /// 5 degrees: what a chart has before it is refined. Twice the finest, so that the nodes between are
    /// its middles.
    Fair = 4,
    /// 10 degrees: of the first chart, and of the errors of the glance.
    /// Twice the one before.
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
pub(super) type Node = [i32; 2];

/// Where a node lies on the chart.
pub(super) fn point_of([i, j]: Node) -> Vector2<f64> {
    Vector2::new(f64::from(i), f64::from(j)) * UNIT_RAD
}

/// Whether a node of the fine lattice is the middle of a cell of the fair one.
pub(super) fn is_middle(node: Node) -> bool {
    let fair = Spacing::Fair.units();
    node.iter().all(|k| k.rem_euclid(fair) == fair / 2)
}

/// Spacings beyond the chart's rim that are still read: what is carried outward then hardly counts.
/// Tuned: 0.8. At 0 figures near the rim are off by three times as much (`chart` would notice).
pub(super) const BEYOND_RIM: f64 = 0.8;

/// The same for the errors of the glance.
/// Tuned: 0.25, which takes in eight nodes at the rim; without them blockouts there are off by 4 %
/// (`chart` would notice).
pub(super) const BEYOND_RIM_OF_ERRORS: f64 = 0.25;

/// The nodes a stage needs.
pub(super) struct Wanted {
    pub(super) spacing: Spacing,
    /// To be read: within the rim, or within two spacings of flat on a smaller chart.
    pub(super) inside: Vec<Node>,
    /// To be carried outward, those nearest to the rim first.
    pub(super) beyond: Vec<Node>,
}

impl Wanted {
    /// The nodes of the cells of interest and of so many rings of cells around each.
    pub(super) fn new(spacing: Spacing, part: Part<'_>, around: i32, beyond: f64) -> Self {
        let cells = cells_of_interest(spacing, part);
        let rim =
            (part.reach_rad + beyond * spacing.rad()).max(2.0 * spacing.rad()) / UNIT_RAD + 1e-9;
        let from_flat = |node: &Node| f64::from(node[0]).hypot(f64::from(node[1]));
        let (inside, mut beyond): (Vec<Node>, Vec<Node>) = nodes_of(&cells, spacing, around)
            .into_iter()
            .partition(|node| from_flat(node) <= rim);
        beyond.sort_by(|a, b| from_flat(a).total_cmp(&from_flat(b)));
        Self {
            spacing,
            inside,
            beyond,
        }
    }
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

pub(super) fn offset(cell: Node, by: [i32; 2], spacing: Spacing) -> Node {
    [0, 1].map(|k| cell[k] + by[k] * spacing.units())
}

/// The four by four nodes around a cell, rows from below.
pub(super) fn stencil(cell: Node, spacing: Spacing) -> [Node; 16] {
    std::array::from_fn(|k| {
        let [i, j] = [k % 4, k / 4].map(|n| i32::try_from(n).unwrap_or(0) - 1);
        offset(cell, [i, j], spacing)
    })
}

/// The cell a point lies in, and where in it, as shares of its side. A point on a border belongs to
/// the cell nearer to flat, which is the one that was read.
pub(super) fn place(point: Vector2<f64>, spacing: Spacing) -> (Node, [f64; 2]) {
    let at = [point.x, point.y].map(|c| c / spacing.rad() * (1.0 - 1e-12));
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the chart is a few radians wide"
    )]
    let cell = at.map(|c| c.floor() as i32);
    let share = [0, 1].map(|k| at[k] - f64::from(cell[k]));
    (cell.map(|k| k * spacing.units()), share)
}
