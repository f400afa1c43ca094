//! The borders of the ridge's limits over the chart of tilts, for searches.
//!
//! The grid of readings gives the depth of every zone at any tilt. Cells of half a degree carry it at their
//! corners; inside, each is bilinear, and limits are held against that. The border "overrun = 0" of each
//! limit is kept as a dense chain of points, and the *clearance* of a draw is its signed angle to the nearest of them;
//! where limits meet, the union of the broken sets takes care of the corner. Searches run on the
//! map, and read the ridge where they stand. The map learns from every such reading: around it,
//! what the reading shows beyond the grid is added (Shepard, "A two-dimensional interpolation
//! function for irregularly-spaced data", Proc. 23rd ACM National Conference, 1968, 517-524, with a
//! weight for "no error" that wins a few degrees away). A draw that was read and found broken where
//! the map still shows it met counts as a place of the border, so that no search comes back to it.
//! What is finally said of a draw is read there, not interpolated.
//!
//! What may be missed: a broken or an allowed patch so small that the grid's readings, 2.5 degrees
//! apart, do not show it.
//!
//! * `cells`: the cells, and the borders traced through them.

mod cells;

use crate::chart::ChartStage;
use crate::chart::grid::RidgeGrid;
use crate::chart::lattice::{Part, Spacing};
use crate::control::Cancelled;
use crate::field::{Field, overruns_mm, worst};
use crate::limit::Limit;
use crate::problem::SKIM_DEPTH_MM;
use crate::sphere::{angle_between, from_chart, to_chart};
use cells::{Place, cell_at, cells_of, chart_point, corners, trace};
use rayon::prelude::*;
use std::collections::HashMap;
use tiltbench_geometry::tolerance::MET_MM;
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_geometry::{UnitVector3, Vector2, Vector3};

/// mm. Separates a map that agrees with a reading from one that is to be taught: a fiftieth of a
/// degree on a ridge 10 mm high. Tuned: smaller reads a border again and again, larger shows in
/// allowances; `samples` (allowances against brute force) would notice.
const CALIBRATED_MM: f64 = 0.003;

/// mm. A draw that is broken by no more lies on the border itself, as far as this is found: a fiftieth
/// of a degree on a ridge 10 mm high. Tuned: at 0 every border that a circle touches is looked for again;
/// larger shows in allowances, which `samples` would notice.
pub(crate) const BORDER_SLACK_MM: f64 = 0.004;

/// Radians. Readings nearer than this to a draw count alike: 0.7 degree. Tuned: the 0.1 mm² that set
/// a depth change from draw to draw with the noise of a scan; smaller makes borders wiggle with it,
/// larger smooths what is real. `samples` would notice either.
const ALIKE_RAD: f64 = 0.7 * std::f64::consts::PI / 180.0;

/// Radians. A border point this near to a reading is not read again: 0.15 degree. Tuned: smaller reads
/// what is known, larger leaves a border as the grid tells it; `samples` would notice.
const READ_RAD: f64 = 0.15 * std::f64::consts::PI / 180.0;

/// Radians. A reading this far away counts as much as the grid itself: 3 degrees. Tuned: the error
/// that is left in the grid changes over several degrees; `samples` would notice.
const FADES_RAD: f64 = 3.0 * std::f64::consts::PI / 180.0;

/// How closely draws are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Closeness {
    /// Skimmed: for searches.
    Skimmed,
    /// Skimmed, and read accurately where that leaves in doubt on which side of a border they are.
    Told,
    /// Read accurately.
    Accurate,
}

/// What the grid tells at a corner.
#[derive(Debug, Clone)]
struct Corner {
    /// Depth of each zone.
    told_mm: Vec<f64>,
    taught: Taught,
    blockout_mm3: f64,
}

/// What readings have taught about the error of the grid at a corner: running sums of a weighted
/// mean, to which each reading is added once, in their order.
#[derive(Debug, Clone)]
struct Taught {
    weights: f64,
    /// Weight times error, per zone.
    sums_mm: Vec<f64>,
}

impl Taught {
    fn weight_of(angle: f64) -> f64 {
        1.0 / (angle * angle + ALIKE_RAD * ALIKE_RAD)
    }

    fn nothing(zones: usize) -> Self {
        Self {
            weights: Self::weight_of(FADES_RAD),
            sums_mm: vec![0.0; zones],
        }
    }

    fn add(&mut self, angle: f64, errors_mm: &[f64]) {
        let weight = Self::weight_of(angle);
        for (sum, error) in self.sums_mm.iter_mut().zip(errors_mm) {
            *sum += weight * error;
        }
        self.weights += weight;
    }
}

impl Corner {
    /// With what readings around it have taught.
    fn depth_mm(&self, zone: usize) -> f64 {
        self.told_mm[zone] + self.taught.sums_mm[zone] / self.taught.weights
    }
}

/// The depths that were read at a draw.
#[derive(Debug, Clone)]
struct Reading {
    direction: UnitVector3<f64>,
    depths_mm: Vec<f64>,
}

/// Depths of the zones over part of the chart, and what limits make of them.
#[derive(Debug, Clone, Default)]
pub(crate) struct RidgeMap {
    /// The zones and the limits that depths are held against.
    zones: Vec<SeatZone>,
    limits: Vec<Limit>,
    grid: RidgeGrid,
    corners: HashMap<Place, Corner>,
    /// In a fixed order.
    cells: Vec<Place>,
    readings: Vec<Reading>,
    /// How many of the readings the corners have been taught.
    settled: usize,
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

    /// As [`RidgeMap::covering`], keeping what this map has read. What the grid tells is that of a
    /// new map.
    pub(crate) fn extended(
        self,
        field: &Field<'_>,
        reach_rad: f64,
        interest: impl Fn(&UnitVector3<f64>) -> f64 + Sync,
    ) -> Result<Self, Cancelled> {
        let mut map = self;
        map.zones = field.problem.zones().to_vec();
        map.limits = field.seat_limits().copied().collect();
        let Some(ridge) = field.problem.ridge.filter(|r| !r.zones().is_empty()) else {
            return Ok(map);
        };
        let part = Part {
            reach_rad,
            interest: &interest,
        };
        map.grid.correct_over(ridge, part, field.control)?;
        map.grid
            .glance_over(ridge, Spacing::Fine, part, field.control)?;
        map.cells = cells_of(reach_rad, &interest);
        let mut wanted: Vec<Place> = map.cells.iter().flat_map(|&cell| corners(cell)).collect();
        wanted.sort_unstable();
        wanted.dedup();
        let told: Vec<(Place, Option<Corner>)> = wanted
            .into_par_iter()
            .map(|corner| (corner, map.told_at(corner)))
            .collect();
        map.corners = told
            .into_iter()
            .filter_map(|(place, corner)| Some((place, corner?)))
            .collect();
        // Corners beyond the last ring of readings are not told; no draw of interest is there.
        let corners_told = &map.corners;
        map.cells
            .retain(|&cell| corners(cell).iter().all(|c| corners_told.contains_key(c)));
        map.settled = 0;
        map.borders.clear();
        map.settle();
        Ok(map)
    }

    /// What was read and learnt, held against the limits of another field of the same ridge.
    pub(crate) fn held_against(&self, field: &Field<'_>) -> Self {
        let mut map = self.clone();
        map.zones = field.problem.zones().to_vec();
        map.limits = field.seat_limits().copied().collect();
        map.borders.clear();
        map.settle();
        map
    }

    fn told_at(&self, corner: Place) -> Option<Corner> {
        let zones = self.grid.at(chart_point(corner))?;
        let told_mm: Vec<f64> = zones.iter().map(|zone| zone.depth_mm).collect();
        Some(Corner {
            taught: Taught::nothing(told_mm.len()),
            told_mm,
            blockout_mm3: zones.iter().map(|zone| zone.blockout_mm3).sum(),
        })
    }

    fn held_mm(&self, depths_mm: &[f64]) -> Vec<f64> {
        overruns_mm(&self.zones, self.limits.iter(), depths_mm)
    }

    /// Depths of all zones at a draw, mm, below 0 where a zone is clear by more than nothing; `None` where
    /// the map does not reach.
    pub(crate) fn depths_mm(&self, d: &UnitVector3<f64>) -> Option<Vec<f64>> {
        let at = self.place_of(d)?;
        let depth = |zone| at.bilinear(|corner| corner.depth_mm(zone));
        Some((0..self.zones.len()).map(depth).collect())
    }

    /// The same as the grid alone tells them.
    fn told_mm(&self, d: &UnitVector3<f64>) -> Option<Vec<f64>> {
        let at = self.place_of(d)?;
        let told = |zone| at.bilinear(|corner| corner.told_mm[zone]);
        Some((0..self.zones.len()).map(told).collect())
    }

    /// Overruns at a draw, mm, in the order of the field's ridge limits; `None` where the map does
    /// not reach.
    pub(crate) fn overruns_mm(&self, d: &UnitVector3<f64>) -> Option<Vec<f64>> {
        Some(self.held_mm(&self.depths_mm(d)?))
    }

    /// Which of some draws the map does not show to meet every limit by more than the chart may be
    /// off. The chart's bound holds of what the grid tells; what readings near by have taught may
    /// only add to the doubt.
    pub(crate) fn in_doubt(
        &self,
        field: &Field<'_>,
        draws: impl Iterator<Item = UnitVector3<f64>>,
    ) -> Vec<UnitVector3<f64>> {
        let bound = ChartStage::Fine.bound();
        let off = |depth_mm| bound.of_depth_mm(depth_mm);
        let is_clear = |overruns: Option<Vec<f64>>| {
            overruns.is_some_and(|mm| worst(&field.at_worst_mm(&mm, off)) < 0.0)
        };
        draws
            .filter(|d| {
                let told = self.told_mm(d).map(|depths_mm| self.held_mm(&depths_mm));
                !is_clear(told) || !is_clear(self.overruns_mm(d))
            })
            .collect()
    }

    /// Reads the overruns at draws, in their order, and learns from them.
    pub(crate) fn read_mm(
        &mut self,
        field: &Field<'_>,
        draws: &[UnitVector3<f64>],
        closeness: Closeness,
    ) -> Result<Vec<Vec<f64>>, Cancelled> {
        let close_call = |overruns: &[f64]| {
            let at_worst = field.at_worst_mm(overruns, |_| SKIM_DEPTH_MM);
            let mut both = overruns.iter().zip(&at_worst);
            both.any(|(mm, at_worst)| *mm <= BORDER_SLACK_MM && *at_worst > 0.0)
        };
        let read = |d: &UnitVector3<f64>| {
            if closeness == Closeness::Accurate {
                return field.read_depths_mm(d);
            }
            let skimmed = field.skimmed_depths_mm(d)?;
            if closeness == Closeness::Told && close_call(&field.overruns_mm(&skimmed)) {
                return field.read_depths_mm(d);
            }
            Ok(skimmed)
        };
        let read: Vec<Vec<f64>> = draws
            .par_iter()
            .with_max_len(1)
            .map(read)
            .collect::<Result<_, _>>()?;
        let overruns_mm = read.iter().map(|depths| field.overruns_mm(depths));
        let overruns_mm = overruns_mm.collect();
        for (d, depths_mm) in draws.iter().zip(read) {
            self.learn(d, depths_mm);
        }
        Ok(overruns_mm)
    }

    /// Learns the depths that were read at a draw. It shows once the map has been settled.
    pub(crate) fn learn(&mut self, d: &UnitVector3<f64>, depths_mm: Vec<f64>) {
        self.readings.push(Reading {
            direction: *d,
            depths_mm,
        });
    }

    /// Skims the ridge at the border point nearest to `d` of each limit, as far as one lies within
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
        let read = self.read_mm(field, &borders, Closeness::Skimmed)?;
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
        let (cell, offset) = cell_at(to_chart(d));
        let [a, b, c, d] = corners(cell).map(|place| self.corners.get(&place));
        Some(PlaceInCell {
            corners: [a?, b?, c?, d?],
            offset,
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

    /// Puts what was learnt since it was last settled into the corners, and traces the borders of all
    /// limits through all cells.
    pub(crate) fn settle(&mut self) {
        let unsettled = &self.readings[self.settled..];
        let errors = unsettled.iter().filter_map(|reading| {
            let told = self.told_mm(&reading.direction)?;
            let both = reading.depths_mm.iter().zip(told);
            Some((
                reading.direction,
                both.map(|(read, told)| read - told).collect(),
            ))
        });
        let errors: Vec<(UnitVector3<f64>, Vec<f64>)> = errors.collect();
        self.settled = self.readings.len();
        let is_traced = !self.borders.is_empty();
        if errors.is_empty() && is_traced {
            return;
        }
        self.corners.par_iter_mut().for_each(|(&place, corner)| {
            let d = from_chart(chart_point(place));
            for (direction, errors_mm) in &errors {
                corner.taught.add(angle_between(&d, direction), errors_mm);
            }
        });
        self.trace_borders();
    }

    fn trace_borders(&mut self) {
        let held: HashMap<Place, [Vec<f64>; 2]> = self
            .corners
            .par_iter()
            .map(|(&place, corner)| {
                let depths: Vec<f64> = (0..self.zones.len()).map(|z| corner.depth_mm(z)).collect();
                let overruns = self.held_mm(&depths);
                (place, [depths, overruns])
            })
            .collect();
        let mut borders = vec![Vec::new(); self.limits.len()];
        for &cell in &self.cells {
            let of_corners = corners(cell).map(|place| &held[&place]);
            for (k, border) in borders.iter_mut().enumerate() {
                let broken_by = of_corners.map(|[_, overruns]| overruns[k] - MET_MM);
                let between = |i: usize, part: f64| {
                    let ends = [of_corners[i], of_corners[(i + 1) % 4]].map(|[depths, _]| depths);
                    let depths = ends[0].iter().zip(ends[1]);
                    let depths: Vec<f64> = depths.map(|(a, b)| a + (b - a) * part).collect();
                    let limit = std::iter::once(&self.limits[k]);
                    overruns_mm(&self.zones, limit, &depths)[0] - MET_MM
                };
                trace(border, cell, broken_by, between);
            }
        }
        for reading in &self.readings {
            let Some(shown) = self.overruns_mm(&reading.direction) else {
                continue;
            };
            let read = self.held_mm(&reading.depths_mm);
            for (border, (read_mm, shown_mm)) in borders.iter_mut().zip(read.iter().zip(shown)) {
                if *read_mm > MET_MM && shown_mm <= MET_MM {
                    border.push(reading.direction.into_inner());
                }
            }
        }
        self.borders = borders;
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
