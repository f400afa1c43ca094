//! The cells of the chart of draws: squares, each halved twice into four.
//!
//! The chart is laid out in square tiles, one of them about flat; level by level every cell is cut into
//! four. The layout is the same for every problem and every question, so what is known of a cell serves
//! all of them, and an answer does not depend on what was asked before.
//!
//! A cell lies within its *radius* of its centre, as an angle between draws. Derivation: the image of a
//! straight way on the chart is no longer on the sphere than on the chart (see [`crate::sphere`]), and no
//! corner is farther from the centre on the chart than half the diagonal.

use crate::sphere::{angle_between, from_chart, to_chart};
use tiltbench_geometry::{UnitVector3, Vector2};

/// Radians. Side of a tile. Tuned: 6 degrees; larger ones bound next to nothing, smaller ones are more full
/// readings (the bench prints them).
const TILE_RAD: f64 = 6.0 * std::f64::consts::PI / 180.0;

/// Tiles on each side of the middle one: they hold every tilt that a table can be set to.
const TILES: i32 = 15;

/// Pure number. What is added to a radius, as a share of it, so that rounding never leaves a corner
/// outside.
const ROUNDING: f64 = 1e-9;

/// A square cell of the chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) struct Cell {
    level: u8,
    at: [i32; 2],
}

impl Cell {
    /// The tiles with some draw within an angle of `d`, in a fixed order.
    pub(crate) fn tiles_about(d: &UnitVector3<f64>, within_rad: f64) -> Vec<Self> {
        let all = (-TILES..=TILES).flat_map(|j| (-TILES..=TILES).map(move |i| [i, j]));
        all.map(|at| Self { level: 0, at })
            .filter(|tile| tile.least_angle_rad(d) <= within_rad)
            .collect()
    }

    /// The tile that holds a draw.
    pub(crate) fn tile_of(d: &UnitVector3<f64>) -> Self {
        let point = to_chart(d) / TILE_RAD;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the chart is a few tiles wide"
        )]
        let at = [point.x.round() as i32, point.y.round() as i32];
        Self { level: 0, at }
    }

    fn side_rad(self) -> f64 {
        TILE_RAD / f64::from(1_u32 << self.level)
    }

    /// The draw in its middle.
    pub(crate) fn centre(self) -> UnitVector3<f64> {
        let [i, j] = self.at.map(f64::from);
        let corner = Vector2::repeat(-0.5 * TILE_RAD);
        from_chart(corner + Vector2::new(i + 0.5, j + 0.5) * self.side_rad())
    }

    /// No draw of the cell is farther from its centre than this.
    pub(crate) fn radius_rad(self) -> f64 {
        self.side_rad() * std::f64::consts::FRAC_1_SQRT_2 * (1.0 + ROUNDING)
    }

    /// No draw of the cell is nearer to `d` than this.
    pub(crate) fn least_angle_rad(self, d: &UnitVector3<f64>) -> f64 {
        (angle_between(d, &self.centre()) - self.radius_rad()).max(0.0)
    }

    /// The four cells it is cut into.
    pub(crate) fn children(self) -> [Self; 4] {
        let [i, j] = self.at.map(|n| 2 * n);
        let level = self.level + 1;
        [[i, j], [i + 1, j], [i, j + 1], [i + 1, j + 1]].map(|at| Self { level, at })
    }

    /// The cell it was cut from; `None` for a tile.
    pub(crate) fn parent(self) -> Option<Self> {
        let level = self.level.checked_sub(1)?;
        let at = self.at.map(|n| n.div_euclid(2));
        Some(Self { level, at })
    }

    /// The tile it was cut from, what was cut from that, and so on down to the cell itself.
    pub(crate) fn line(self) -> Vec<Self> {
        let mut line: Vec<Self> = std::iter::successors(Some(self), |cell| cell.parent()).collect();
        line.reverse();
        line
    }

    /// How often a tile was halved.
    pub(crate) fn level(self) -> u8 {
        self.level
    }

    /// The first level whose cells have no larger radius.
    pub(crate) fn level_of(radius_rad: f64) -> u8 {
        let is_enough = |level: &u8| {
            let at = [0, 0];
            Self { level: *level, at }.radius_rad() <= radius_rad
        };
        (0..DEEPEST).find(is_enough).unwrap_or(DEEPEST)
    }
}

/// Halvings of a tile at the most: 6 degrees over two million.
const DEEPEST: u8 = 21;

/// A cell and what it is taken up by: the least first, then the smaller cell, then by its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ranked {
    /// The least is taken up first.
    pub rank: f64,
    /// The cell.
    pub cell: Cell,
}

impl Eq for Ranked {}

impl Ord for Ranked {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        // A heap takes the greatest.
        (other.rank.total_cmp(&self.rank))
            .then(self.cell.level.cmp(&other.cell.level))
            .then(other.cell.at.cmp(&self.cell.at))
    }
}

impl PartialOrd for Ranked {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every draw of a child lies in its parent, and within both radii.
    #[test]
    fn cells_hold_their_children_and_their_draws() {
        let far = from_chart(Vector2::new(0.9, -1.1));
        let flat = from_chart(Vector2::zeros());
        for d in [flat, far, from_chart(Vector2::new(-0.2, 0.05))] {
            let mut cell = Cell::tile_of(&d);
            for _ in 0..12 {
                assert!(angle_between(&d, &cell.centre()) <= cell.radius_rad());
                assert!(cell.least_angle_rad(&d) <= 0.0);
                let children = cell.children();
                for child in children {
                    assert_eq!(child.parent(), Some(cell));
                    let apart = angle_between(&child.centre(), &cell.centre());
                    assert!(apart + child.radius_rad() <= cell.radius_rad());
                }
                let nearest = children.into_iter().min_by(|a, b| {
                    let of = |c: &Cell| (to_chart(&c.centre()) - to_chart(&d)).norm();
                    of(a).total_cmp(&of(b))
                });
                cell = nearest.unwrap();
            }
            assert_eq!(cell.line().len(), 13);
            assert_eq!(cell.line()[0], Cell::tile_of(&d));
        }
        assert_eq!(Cell::tiles_about(&flat, 15f64.to_radians()).len(), 9);
    }
}
