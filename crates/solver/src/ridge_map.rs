//! The borders of the ridge's limits over the chart of tilts, for searches.
//!
//! The grid of readings gives the overrun of every ridge limit at any tilt. Cells of half a degree
//! carry it at their corners; inside, each is bilinear. The border "overrun = 0" of each limit is kept as a
//! dense chain of points, and the *clearance* of a draw is its signed angle to the nearest of them;
//! where limits meet, the union of the broken sets takes care of the corner. Searches run on the
//! map, and read the ridge where they stand. The map learns from every such reading: around it,
//! what the reading shows beyond the grid is added (Shepard, "A two-dimensional interpolation
//! function for irregularly-spaced data", Proc. 23rd ACM National Conference, 1968, 517-524, with a
//! weight for "no error" that wins a few degrees away). What is finally said of a draw is read
//! there, not interpolated.
//!
//! What may be missed: a broken or an allowed patch so small that the grid's readings, 2.5 degrees
//! apart, do not show it.

use crate::chart::grid::{Part, RidgeGrid, Spacing};
use crate::control::Cancelled;
use crate::field::{Field, worst};
use crate::sphere::{angle_between, from_chart, to_chart};
use rayon::prelude::*;
use std::collections::HashMap;
use tiltbench_geometry::tolerance::MET_MM;
use tiltbench_geometry::{UnitVector3, Vector2, Vector3};

/// Radians. Side of a cell: half a degree.
const CELL_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;

/// Radians. Spacing of the points kept along a border: 0.05 degree. From a draw 0.5 degree away
/// the chain looks 0.0006 degree farther than the line.
const CHAIN_RAD: f64 = 0.05 * std::f64::consts::PI / 180.0;

/// mm. The map agrees with a reading that differs from it by no more: a fiftieth of a degree on a
/// ridge 10 mm high.
const CALIBRATED_MM: f64 = 0.003;

/// Radians. Readings nearer than this to a draw count alike: 0.7 degree. Tuned: the 0.1 mm² that set
/// a depth change from draw to draw with the noise of a scan; smaller makes borders wiggle with it,
/// larger smooths what is real.
const ALIKE_RAD: f64 = 0.7 * std::f64::consts::PI / 180.0;

/// Radians. A border point this near to a reading is not read again: 0.15 degree.
const READ_RAD: f64 = 0.15 * std::f64::consts::PI / 180.0;

/// Radians. A reading this far away counts as much as the grid itself: 3 degrees. Tuned: the error
/// that is left in the grid changes over several degrees; `samples` tests would notice.
const FADES_RAD: f64 = 3.0 * std::f64::consts::PI / 180.0;

/// mm. A draw the map shows to meet every limit of the ridge by more than this is not read to be
/// sure: what nine in ten of the grid's depths are within, before readings near by have taught it.
const CLEARLY_MET_MM: f64 = 0.03;

/// A corner or, by its lower left corner, a cell; in sides of a cell.
type Place = [i32; 2];

fn chart_point(corner: Place) -> Vector2<f64> {
    Vector2::new(f64::from(corner[0]), f64::from(corner[1])) * CELL_RAD
}

fn corners(cell: Place) -> [Place; 4] {
    let [i, j] = cell;
    [[i, j], [i + 1, j], [i + 1, j + 1], [i, j + 1]]
}

/// What the grid tells at a corner.
#[derive(Debug, Clone)]
struct Corner {
    told_mm: Vec<f64>,
    /// With what readings around it have taught.
    overruns_mm: Vec<f64>,
    blockout_mm3: f64,
}

/// A reading, and per limit of the ridge what it showed beyond the grid.
#[derive(Debug)]
struct Reading {
    direction: UnitVector3<f64>,
    errors_mm: Vec<f64>,
}

/// Overruns of the ridge's limits over part of the chart.
#[derive(Debug, Default)]
pub(crate) struct RidgeMap {
    grid: RidgeGrid,
    corners: HashMap<Place, Corner>,
    /// In a fixed order.
    cells: Vec<Place>,
    readings: Vec<Reading>,
    /// Per limit of the ridge, the border of its broken set.
    borders: Vec<Vec<Vector3<f64>>>,
}

impl RidgeMap {
    /// A map that covers every draw whose `interest` is not negative. `interest` must be
    /// 1-Lipschitz: a margin, say.
    pub(crate) fn covering(
        field: &Field<'_>,
        reach_rad: f64,
        interest: impl Fn(&UnitVector3<f64>) -> f64 + Sync,
    ) -> Result<Self, Cancelled> {
        Self::default().extended(field, reach_rad, interest)
    }

    /// As [`RidgeMap::covering`], keeping what this map has read.
    pub(crate) fn extended(
        self,
        field: &Field<'_>,
        reach_rad: f64,
        interest: impl Fn(&UnitVector3<f64>) -> f64 + Sync,
    ) -> Result<Self, Cancelled> {
        let mut map = self;
        let Some(ridge) = field.problem.ridge.filter(|r| !r.zones().is_empty()) else {
            return Ok(map);
        };
        let part = Part {
            reach_rad,
            interest: &interest,
        };
        map.grid
            .glance_over(ridge, Spacing::Fine, part, field.control)?;
        map.grid.correct_over(ridge, part, field.control)?;
        map.cells = cells_of(reach_rad, &interest);
        let mut wanted: Vec<Place> = map.cells.iter().flat_map(|&cell| corners(cell)).collect();
        wanted.sort_unstable();
        wanted.dedup();
        let told: Vec<(Place, Option<Corner>)> = wanted
            .into_par_iter()
            .map(|corner| (corner, map.told_at(field, corner)))
            .collect();
        map.corners = told
            .into_iter()
            .filter_map(|(place, corner)| Some((place, corner?)))
            .collect();
        // Corners beyond the last ring of readings are not told; no draw of interest is there.
        let corners_told = &map.corners;
        map.cells
            .retain(|&cell| corners(cell).iter().all(|c| corners_told.contains_key(c)));
        map.settle();
        Ok(map)
    }

    fn told_at(&self, field: &Field<'_>, corner: Place) -> Option<Corner> {
        let zones = self.grid.at(chart_point(corner))?;
        let depths: Vec<f64> = zones.iter().map(|zone| zone.depth_mm).collect();
        let told_mm = field.overruns_mm(&depths);
        Some(Corner {
            overruns_mm: told_mm.clone(),
            told_mm,
            blockout_mm3: zones.iter().map(|zone| zone.blockout_mm3).sum(),
        })
    }

    /// Overruns at a draw, mm, in the order of the field's ridge limits; `None` where the map does
    /// not reach.
    pub(crate) fn overruns_mm(&self, d: &UnitVector3<f64>) -> Option<Vec<f64>> {
        let at = self.place_of(d)?;
        let overrun = |k| at.bilinear(|corner| corner.overruns_mm[k]);
        let count = at.corners[0].overruns_mm.len();
        Some((0..count).map(overrun).collect())
    }

    /// Which of some draws the map does not show to meet every limit clearly.
    pub(crate) fn in_doubt(
        &self,
        draws: impl Iterator<Item = UnitVector3<f64>>,
    ) -> Vec<UnitVector3<f64>> {
        let clear = |d: &UnitVector3<f64>| {
            self.overruns_mm(d)
                .is_some_and(|shown| worst(&shown) < -CLEARLY_MET_MM)
        };
        draws.filter(|d| !clear(d)).collect()
    }

    /// Reads the overruns at draws, in their order, and learns from them.
    pub(crate) fn read_mm(
        &mut self,
        field: &Field<'_>,
        draws: &[UnitVector3<f64>],
    ) -> Result<Vec<Vec<f64>>, Cancelled> {
        let read: Vec<Vec<f64>> = draws
            .par_iter()
            .with_max_len(1)
            .map(|d| field.ridge_overruns_mm(d))
            .collect::<Result<_, _>>()?;
        for (d, read) in draws.iter().zip(&read) {
            let Some(at) = self.place_of(d) else { continue };
            let told = |k| at.bilinear(|corner| corner.told_mm[k]);
            let errors_mm = (0..read.len()).map(|k| read[k] - told(k)).collect();
            self.readings.push(Reading {
                direction: *d,
                errors_mm,
            });
        }
        Ok(read)
    }

    /// What readings have taught about the error of the grid at a draw.
    fn learnt_mm(&self, d: &UnitVector3<f64>, limit: usize) -> f64 {
        let weight_of = |angle: f64| 1.0 / (angle * angle + ALIKE_RAD * ALIKE_RAD);
        let (mut sum, mut weights) = (0.0, weight_of(FADES_RAD));
        for reading in &self.readings {
            let weight = weight_of(angle_between(d, &reading.direction));
            sum += weight * reading.errors_mm[limit];
            weights += weight;
        }
        sum / weights
    }

    /// Reads the ridge at the border point nearest to `d` of each limit, as far as one lies within
    /// `reach_rad`: the borders a circle about `d` touches. Whether that moved one by anything that
    /// matters.
    pub(crate) fn calibrate(
        &mut self,
        field: &Field<'_>,
        d: &UnitVector3<f64>,
        reach_rad: f64,
    ) -> Result<bool, Cancelled> {
        let known = |border: &UnitVector3<f64>| {
            let near = |reading: &Reading| angle_between(border, &reading.direction) < READ_RAD;
            self.readings.iter().any(near)
        };
        let asked: Vec<(usize, UnitVector3<f64>, f64)> = self
            .nearest_of_each(d)
            .into_iter()
            .filter(|(_, border)| angle_between(d, border) <= reach_rad && !known(border))
            .filter_map(|(k, border)| Some((k, border, self.overruns_mm(&border)?[k])))
            .collect();
        let borders: Vec<UnitVector3<f64>> = asked.iter().map(|asked| asked.1).collect();
        let read = self.read_mm(field, &borders)?;
        let off = |((k, _, shown), read): (&(usize, _, f64), &Vec<f64>)| (read[*k] - shown).abs();
        let moved = asked.iter().zip(&read).any(|one| off(one) > CALIBRATED_MM);
        self.settle();
        Ok(moved)
    }

    /// Blockout of all zones at a draw; `None` where the map does not reach.
    pub(crate) fn blockout_mm3(&self, d: &UnitVector3<f64>) -> Option<f64> {
        Some(self.place_of(d)?.bilinear(|corner| corner.blockout_mm3))
    }

    fn place_of(&self, d: &UnitVector3<f64>) -> Option<PlaceInCell<'_>> {
        // A draw on the border of a cell belongs to the one nearer to flat, as in the grid.
        let at = to_chart(d) / CELL_RAD * (1.0 - 1e-12);
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the chart is a few radians wide"
        )]
        let cell = [at.x, at.y].map(|c| c.floor() as i32);
        let [a, b, c, d] = corners(cell).map(|place| self.corners.get(&place));
        Some(PlaceInCell {
            corners: [a?, b?, c?, d?],
            offset: at - Vector2::new(f64::from(cell[0]), f64::from(cell[1])),
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
                .map(|point| point.dot(d))
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
        let nearest = |border: &Vec<Vector3<f64>>| {
            border
                .iter()
                .max_by(|a, b| a.dot(d).total_cmp(&b.dot(d)))
                .map(|point| UnitVector3::new_unchecked(*point))
        };
        (0..self.borders.len())
            .filter_map(|k| Some((k, nearest(&self.borders[k])?)))
            .collect()
    }

    /// Puts what was learnt into the corners, and traces the borders of all limits through all
    /// cells.
    pub(crate) fn settle(&mut self) {
        let mut corners_told = std::mem::take(&mut self.corners);
        corners_told.par_iter_mut().for_each(|(&place, corner)| {
            let d = from_chart(chart_point(place));
            for k in 0..corner.told_mm.len() {
                corner.overruns_mm[k] = corner.told_mm[k] + self.learnt_mm(&d, k);
            }
        });
        self.corners = corners_told;
        let first = self.cells.first().map(|cell| &self.corners[cell]);
        self.borders = vec![Vec::new(); first.map_or(0, |corner| corner.told_mm.len())];
        for &cell in &self.cells {
            let places = corners(cell);
            let told = places.map(|place| &self.corners[&place]);
            for (k, border) in self.borders.iter_mut().enumerate() {
                let values = told.map(|corner| corner.overruns_mm[k] - MET_MM);
                let crossings: Vec<Vector2<f64>> = (0..4)
                    .filter_map(|i| {
                        let (a, b) = (values[i], values[(i + 1) % 4]);
                        ((a > 0.0) != (b > 0.0)).then(|| {
                            let (from, to) =
                                (chart_point(places[i]), chart_point(places[(i + 1) % 4]));
                            from + (to - from) * (a / (a - b))
                        })
                    })
                    .collect();
                // Two crossings make one run. Four make two; both ways of pairing them are drawn,
                // which errs to the safe side.
                for (n, a) in crossings.iter().enumerate() {
                    for b in &crossings[n + 1..] {
                        chain(border, *a, *b);
                    }
                }
            }
        }
    }
}

/// A draw between the corners of its cell.
struct PlaceInCell<'m> {
    corners: [&'m Corner; 4],
    offset: Vector2<f64>,
}

impl PlaceInCell<'_> {
    fn bilinear(&self, value: impl Fn(&Corner) -> f64) -> f64 {
        let [a, b, c, d] = self.corners.map(value);
        let low = a * (1.0 - self.offset.x) + b * self.offset.x;
        let high = d * (1.0 - self.offset.x) + c * self.offset.x;
        low * (1.0 - self.offset.y) + high * self.offset.y
    }
}

fn chain(border: &mut Vec<Vector3<f64>>, a: Vector2<f64>, b: Vector2<f64>) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cell is small"
    )]
    let steps = ((b - a).norm() / CHAIN_RAD).ceil().max(1.0) as usize;
    let at = |n: usize| from_chart(a + (b - a) * (n as f64 / steps as f64)).into_inner();
    border.extend((0..=steps).map(at));
}

/// Cells that may hold a draw of interest within the reach, in a fixed order.
fn cells_of(reach_rad: f64, interest: impl Fn(&UnitVector3<f64>) -> f64) -> Vec<Place> {
    let radius = CELL_RAD * std::f64::consts::FRAC_1_SQRT_2;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the chart is a few radians wide"
    )]
    let count = (reach_rad / CELL_RAD).ceil() as i32;
    let mut cells = Vec::new();
    for j in -count..count {
        for i in -count..count {
            let centre = chart_point([i, j]) + Vector2::repeat(0.5 * CELL_RAD);
            let near = centre.norm() - radius <= reach_rad;
            if near && interest(&from_chart(centre)) >= -radius {
                cells.push([i, j]);
            }
        }
    }
    cells
}
