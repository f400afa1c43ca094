//! What the ridge pays over the chart of tilts, sketched on an adaptive grid.
//!
//! Square cells of the chart carry the overruns of every ridge limit at their corners; inside, each
//! is bilinear. A gauge reading over a height `h` is about `h tan(undercut)`, so it is nearly linear
//! across a cell of a degree or two, and the border "overrun = 0" of each limit on its own is close
//! to the true one; where limits meet, the union of the broken sets takes care of the corner. The
//! border is kept as a dense chain of points per limit, and the *clearance* of a draw is its signed
//! angle to the nearest of them. Searches run on the map and split the cells they end up depending
//! on, and shift the map to a reading where they stand; what is finally said of a draw is read there,
//! neither sketched nor interpolated.
//!
//! What may be missed: a broken or an allowed patch that lies between the corners of the coarsest
//! cells (see [`RidgeMap::BASE_CELLS`]) without touching one.

use crate::control::Cancelled;
use crate::field::{Field, Sketch, worst};
use crate::sphere::{angle_between, from_chart, to_chart};
use std::collections::hash_map::Entry;
use std::collections::{BTreeSet, HashMap};
use tiltbench_geometry::tolerance::MET_MM;
use tiltbench_geometry::{UnitVector3, Vector2, Vector3};

/// Radians. Spacing of the finest corners: 1/32 degree.
const FINEST_RAD: f64 = std::f64::consts::PI / 180.0 / 32.0;

/// Radians. Spacing of the points kept along a border: 0.05 degree. From a draw 0.5 degree away
/// the chain looks 0.0006 degree farther than the line.
const CHAIN_RAD: f64 = 0.05 * std::f64::consts::PI / 180.0;

/// mm. The map agrees with a reading that differs from it by no more: a fiftieth of a degree on a
/// ridge 10 mm high.
const CALIBRATED_MM: f64 = 0.003;

/// A square cell: lower-left corner in finest steps, and the side as a power of two of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Cell {
    at: [i32; 2],
    level: u32,
}

impl Cell {
    fn corners(self) -> [[i32; 2]; 4] {
        let side = 1 << self.level;
        let [i, j] = self.at;
        [[i, j], [i + side, j], [i + side, j + side], [i, j + side]]
    }

    fn side_rad(self) -> f64 {
        f64::from(1u32 << self.level) * FINEST_RAD
    }

    fn centre(self) -> Vector2<f64> {
        chart_point(self.at) + Vector2::repeat(self.side_rad() / 2.0)
    }

    /// Half the diagonal.
    pub(crate) fn radius_rad(self) -> f64 {
        self.side_rad() * std::f64::consts::FRAC_1_SQRT_2
    }

    /// The draw in the middle.
    pub(crate) fn middle(self) -> UnitVector3<f64> {
        from_chart(self.centre())
    }

    fn children(self) -> [Self; 4] {
        let half = 1 << (self.level - 1);
        let [i, j] = self.at;
        [[i, j], [i + half, j], [i, j + half], [i + half, j + half]].map(|at| Self {
            at,
            level: self.level - 1,
        })
    }
}

fn chart_point(node: [i32; 2]) -> Vector2<f64> {
    Vector2::new(f64::from(node[0]), f64::from(node[1])) * FINEST_RAD
}

/// A draw between the corners of its cell.
struct PlaceInCell<'m> {
    corners: [&'m Sketch; 4],
    offset: Vector2<f64>,
}

impl PlaceInCell<'_> {
    fn bilinear(&self, value: impl Fn(&Sketch) -> f64) -> f64 {
        let [a, b, c, d] = self.corners.map(value);
        let low = a * (1.0 - self.offset.x) + b * self.offset.x;
        let high = d * (1.0 - self.offset.x) + c * self.offset.x;
        low * (1.0 - self.offset.y) + high * self.offset.y
    }
}

/// A point of a border, as the draw it stands for.
#[derive(Debug, Clone, Copy)]
struct BorderPoint {
    direction: Vector3<f64>,
    cell: Cell,
}

/// Overruns of the ridge's limits over part of the chart.
#[derive(Debug, Default)]
pub(crate) struct RidgeMap {
    base_level: u32,
    sketches: HashMap<[i32; 2], Sketch>,
    /// Per limit of the ridge, what a reading was found to show above the sketch, mm. The part of
    /// the samples a sketch takes misses the deepest by about as much at one tilt as at the next.
    offsets_mm: Vec<f64>,
    /// Leaves, in a fixed order; a split cell is replaced by its children.
    leaves: BTreeSet<Cell>,
    /// Per limit of the ridge, the border of its broken set.
    borders: Vec<Vec<BorderPoint>>,
}

impl RidgeMap {
    /// Unsplit cells at the most, unless the coarsest are more. Tuned: fewer would let a broken
    /// patch slip between corners, more would cost readings on a real scan.
    const BASE_CELLS: usize = 64;

    /// Levels of the coarsest and the finest cell: 2 degrees and 1/4 degree. Tuned: across a quarter
    /// of a degree a sketch is linear to below the noise of a scan; finer cells cost sketches.
    const COARSEST: u32 = 6;
    const FINEST: u32 = 3;

    /// A map that covers every draw whose `interest` is not negative. `interest` must be
    /// 1-Lipschitz: a margin, say.
    pub(crate) fn covering(
        field: &Field<'_>,
        reach_rad: f64,
        interest: impl Fn(&UnitVector3<f64>) -> f64,
    ) -> Result<Self, Cancelled> {
        Self::default().extended(field, reach_rad, interest)
    }

    /// As [`RidgeMap::covering`], with unsplit cells, keeping what this map has looked at.
    pub(crate) fn extended(
        self,
        field: &Field<'_>,
        reach_rad: f64,
        interest: impl Fn(&UnitVector3<f64>) -> f64,
    ) -> Result<Self, Cancelled> {
        let mut map = Self {
            base_level: Self::COARSEST,
            leaves: BTreeSet::new(),
            borders: Vec::new(),
            sketches: self.sketches,
            offsets_mm: self.offsets_mm,
        };
        map.offsets_mm.resize(field.ridge_limits.len(), 0.0);
        if field.problem.zones().is_empty() {
            return Ok(map);
        }
        let mut cells = cells_of(reach_rad, map.base_level, &interest);
        while map.base_level > Self::FINEST && !cells.is_empty() {
            let finer = cells_of(reach_rad, map.base_level - 1, &interest);
            if finer.len() > Self::BASE_CELLS {
                break;
            }
            map.base_level -= 1;
            cells = finer;
        }
        for (done, cell) in cells.iter().enumerate() {
            field
                .control
                .progress("reading the ridge", done as f64 / cells.len() as f64);
            map.sketch_corners(field, *cell)?;
            map.leaves.insert(*cell);
        }
        map.trace(field);
        Ok(map)
    }

    fn sketch_corners(&mut self, field: &Field<'_>, cell: Cell) -> Result<(), Cancelled> {
        for node in cell.corners() {
            if let Entry::Vacant(entry) = self.sketches.entry(node)
                && let Some(sketch) = field.sketch(&from_chart(chart_point(node)))?
            {
                entry.insert(sketch);
            }
        }
        Ok(())
    }

    /// Splits cells that can still be split; whether any was.
    pub(crate) fn split(&mut self, field: &Field<'_>, cells: &[Cell]) -> Result<bool, Cancelled> {
        let mut any = false;
        for cell in cells.iter().filter(|cell| cell.level > Self::FINEST) {
            if !self.leaves.remove(cell) {
                continue;
            }
            any = true;
            for child in cell.children() {
                self.sketch_corners(field, child)?;
                self.leaves.insert(child);
            }
        }
        if any {
            self.trace(field);
        }
        Ok(any)
    }

    /// The leaf that holds a draw, if the map covers it.
    pub(crate) fn leaf_at(&self, d: &UnitVector3<f64>) -> Option<Cell> {
        let v = to_chart(d) / FINEST_RAD;
        (Self::FINEST..=self.base_level).find_map(|level| {
            let side = f64::from(1u32 << level);
            #[expect(
                clippy::cast_possible_truncation,
                reason = "the chart is a few radians wide"
            )]
            let at = [v.x, v.y].map(|c| (c / side).floor() as i32 * (1 << level));
            let cell = Cell { at, level };
            self.leaves.contains(&cell).then_some(cell)
        })
    }

    /// Interpolated overruns at a draw, in the order of the field's ridge limits; `None` where the
    /// map does not reach.
    pub(crate) fn overruns_mm(&self, d: &UnitVector3<f64>) -> Option<Vec<f64>> {
        let at = self.place_of(d)?;
        let count = self.offsets_mm.len();
        let overrun = |k| at.bilinear(|sketch| sketch.overruns_mm[k]) + self.offsets_mm[k];
        Some((0..count).map(overrun).collect())
    }

    /// Reads the ridge at the border point nearest to `d` of each limit, as far as one lies within
    /// `reach_rad`, and shifts that limit's map to agree there: the borders a circle about `d`
    /// touches. Whether that moved one by anything that matters.
    pub(crate) fn calibrate(
        &mut self,
        field: &Field<'_>,
        d: &UnitVector3<f64>,
        reach_rad: f64,
    ) -> Result<bool, Cancelled> {
        let mut moved = false;
        for (k, border) in self.nearest_of_each(d) {
            if angle_between(d, &border) > reach_rad {
                continue;
            }
            let Some(shown) = self.overruns_mm(&border) else {
                continue;
            };
            let error = field.ridge_overruns_mm(&border)?[k] - shown[k];
            moved |= error.abs() > CALIBRATED_MM;
            self.offsets_mm[k] += error;
        }
        if moved {
            self.trace(field);
        }
        Ok(moved)
    }

    /// Interpolated blockout of all zones at a draw; `None` where the map does not reach.
    pub(crate) fn blockout_mm3(&self, d: &UnitVector3<f64>) -> Option<f64> {
        Some(self.place_of(d)?.bilinear(|sketch| sketch.blockout_mm3))
    }

    fn place_of(&self, d: &UnitVector3<f64>) -> Option<PlaceInCell<'_>> {
        let cell = self.leaf_at(d)?;
        Some(PlaceInCell {
            corners: cell.corners().map(|node| &self.sketches[&node]),
            offset: (to_chart(d) - chart_point(cell.at)) / cell.side_rad(),
        })
    }

    /// Signed angle from a draw to the nearest border of a broken set: positive where every limit
    /// of the ridge is met, infinite where none is ever broken.
    pub(crate) fn clearance_rad(&self, d: &UnitVector3<f64>) -> f64 {
        let Some(overruns) = self.overruns_mm(d) else {
            return f64::INFINITY;
        };
        let mut clearance = f64::INFINITY;
        for (overrun, border) in overruns.iter().zip(&self.borders) {
            let cosine = border
                .iter()
                .map(|point| point.direction.dot(d))
                .fold(f64::NEG_INFINITY, f64::max);
            // No border at all: broken or met everywhere.
            let away = if border.is_empty() {
                f64::INFINITY
            } else {
                cosine.min(1.0).acos()
            };
            clearance = clearance.min(if *overrun > MET_MM { -away } else { away });
        }
        clearance
    }

    /// For each limit that has a border, its index among the field's ridge limits and the point of
    /// the border nearest to a draw, in order.
    pub(crate) fn nearest_of_each(&self, d: &UnitVector3<f64>) -> Vec<(usize, UnitVector3<f64>)> {
        let nearest = |border: &Vec<BorderPoint>| {
            border
                .iter()
                .map(|point| point.direction)
                .max_by(|a, b| a.dot(d).total_cmp(&b.dot(d)))
                .map(UnitVector3::new_unchecked)
        };
        (0..self.borders.len())
            .filter_map(|k| Some((k, nearest(&self.borders[k])?)))
            .collect()
    }

    /// Leaves through which a border passes within `reach_rad` of a draw, in a fixed order.
    pub(crate) fn border_leaves(&self, d: &UnitVector3<f64>, reach_rad: f64) -> Vec<Cell> {
        let cosine = reach_rad.cos();
        let near = self
            .borders
            .iter()
            .flatten()
            .filter(|point| point.direction.dot(d) >= cosine);
        let mut cells: Vec<Cell> = near.map(|point| point.cell).collect();
        cells.sort_unstable();
        cells.dedup();
        cells
    }

    /// Leaves in which every corner is broken, yet one so slightly that an allowed patch may hide
    /// inside: by less than `slope_mm_per_rad` makes up over half the side.
    pub(crate) fn nearly_open_leaves(&self, slope_mm_per_rad: f64) -> Vec<Cell> {
        let open = |cell: &Cell| {
            let least = cell
                .corners()
                .iter()
                .map(|&node| self.worst_at(node))
                .fold(f64::INFINITY, f64::min);
            least > MET_MM && least < slope_mm_per_rad * cell.side_rad() / 2.0
        };
        self.leaves
            .iter()
            .filter(|cell| open(cell))
            .copied()
            .collect()
    }

    /// The worst overrun at a corner.
    fn worst_at(&self, node: [i32; 2]) -> f64 {
        let overruns = self.sketches[&node].overruns_mm.iter();
        let shifted: Vec<f64> = overruns.zip(&self.offsets_mm).map(|(a, b)| a + b).collect();
        worst(&shifted)
    }

    /// Traces the borders of all limits through all leaves.
    fn trace(&mut self, field: &Field<'_>) {
        self.borders = vec![Vec::new(); field.ridge_limits.len()];
        for &cell in &self.leaves {
            let corners = cell.corners();
            for (k, border) in self.borders.iter_mut().enumerate() {
                let offset = self.offsets_mm[k] - MET_MM;
                let values = corners.map(|node| self.sketches[&node].overruns_mm[k] + offset);
                let crossings: Vec<Vector2<f64>> = (0..4)
                    .filter_map(|i| {
                        let (a, b) = (values[i], values[(i + 1) % 4]);
                        ((a > 0.0) != (b > 0.0)).then(|| {
                            let (from, to) =
                                (chart_point(corners[i]), chart_point(corners[(i + 1) % 4]));
                            from + (to - from) * (a / (a - b))
                        })
                    })
                    .collect();
                // Two crossings make one run. Four make two; both ways of pairing them are drawn,
                // which errs to the safe side until the cell is split.
                for (n, a) in crossings.iter().enumerate() {
                    for b in &crossings[n + 1..] {
                        chain(border, cell, *a, *b);
                    }
                }
            }
        }
    }
}

fn chain(border: &mut Vec<BorderPoint>, cell: Cell, a: Vector2<f64>, b: Vector2<f64>) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cell is small"
    )]
    let steps = ((b - a).norm() / CHAIN_RAD).ceil().max(1.0) as usize;
    border.extend((0..=steps).map(|n| BorderPoint {
        direction: from_chart(a + (b - a) * (n as f64 / steps as f64)).into_inner(),
        cell,
    }));
}

/// Cells of a level that may hold a draw of interest within the reach, in a fixed order.
fn cells_of(reach_rad: f64, level: u32, interest: impl Fn(&UnitVector3<f64>) -> f64) -> Vec<Cell> {
    let side = f64::from(1u32 << level) * FINEST_RAD;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the chart is a few radians wide"
    )]
    let count = (reach_rad / side).ceil() as i32;
    let mut cells = Vec::new();
    for j in -count..count {
        for i in -count..count {
            let cell = Cell {
                at: [i << level, j << level],
                level,
            };
            let near = cell.centre().norm() - cell.radius_rad() <= reach_rad;
            if near && interest(&cell.middle()) >= -cell.radius_rad() {
                cells.push(cell);
            }
        }
    }
    cells
}
