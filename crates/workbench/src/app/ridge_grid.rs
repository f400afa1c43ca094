//! What the ridge pays over the chart, sketched on a grid: for contours and for the figures under
//! the pointer, never for an answer.

use nalgebra::UnitVector3;
use std::sync::atomic::{AtomicBool, Ordering};
use tiltbench_sheet::figures::chart::ChartPoint;
use tiltbench_solver::RidgeReader;

/// Degrees between sketches. Tuned: at 1 the sample casts take four times as long and their
/// contours move by less than a line's width; at 4 the acceptable region loses corners.
const STEP_DEG: f64 = 2.0;

/// Depths of every zone on a square grid over the chart.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RidgeGrid {
    rings: usize,
    columns: usize,
    zones: usize,
    /// Zone by zone within a place, row by row; mm.
    depths_mm: Vec<f64>,
}

impl RidgeGrid {
    /// Sketches the ridge over a chart of this reach; `None` once `stop` says so.
    pub(super) fn read(ridge: &dyn RidgeReader, reach_deg: f64, stop: &AtomicBool) -> Option<Self> {
        let zones = ridge.zones().len();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "some ten steps"
        )]
        let rings = (reach_deg / STEP_DEG).ceil().clamp(1.0, 30.0) as usize + 1;
        let columns = 2 * rings + 1;
        let mut grid = Self {
            rings,
            columns,
            zones,
            depths_mm: vec![0.0; columns * columns * zones],
        };
        for place in 0..columns * columns {
            if stop.load(Ordering::Relaxed) {
                return None;
            }
            let point = grid.point(place);
            // Corners that no line on the disc depends on.
            if point.total_deg() > reach_deg + 1.5 * STEP_DEG {
                continue;
            }
            let sketches = ridge.sketch(&point.direction());
            for (zone, sketch) in sketches.iter().enumerate() {
                grid.depths_mm[place * zones + zone] = sketch.depth_mm;
            }
        }
        Some(grid)
    }

    fn point(&self, place: usize) -> ChartPoint {
        let at = |index: usize| (index as f64 - self.rings as f64) * STEP_DEG;
        ChartPoint {
            right_deg: at(place % self.columns),
            up_deg: at(place / self.columns),
        }
    }

    /// Depths of all zones at a draw, mm: between places of the grid, linear along both axes.
    /// `None` off the grid.
    pub(super) fn depths_mm(&self, draw: &UnitVector3<f64>) -> Option<Vec<f64>> {
        let point = ChartPoint::of_direction(draw);
        let cell = |deg: f64| {
            let at = deg / STEP_DEG + self.rings as f64;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "kept on the grid"
            )]
            let low = at.floor().clamp(0.0, self.columns as f64 - 2.0) as usize;
            (at >= 0.0 && at <= self.columns as f64 - 1.0).then_some((low, at - low as f64))
        };
        let (column, across) = cell(point.right_deg)?;
        let (row, up) = cell(point.up_deg)?;
        let at = |row: usize, column: usize, zone: usize| {
            self.depths_mm[(row * self.columns + column) * self.zones + zone]
        };
        let mixed = (0..self.zones).map(|zone| {
            let low = at(row, column, zone) * (1.0 - across) + at(row, column + 1, zone) * across;
            let high =
                at(row + 1, column, zone) * (1.0 - across) + at(row + 1, column + 1, zone) * across;
            low * (1.0 - up) + high * up
        });
        Some(mixed.collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_geometry::undercut::{SeatZone, ZoneReading, ZoneSketch};

    /// One zone whose depth is a plane over the chart.
    struct Slope(Vec<SeatZone>);

    impl RidgeReader for Slope {
        fn zones(&self) -> &[SeatZone] {
            &self.0
        }
        fn read(&self, _: &UnitVector3<f64>) -> Vec<ZoneReading> {
            Vec::new()
        }
        fn depths_mm(&self, _: &UnitVector3<f64>) -> Vec<f64> {
            Vec::new()
        }
        fn sketch(&self, d: &UnitVector3<f64>) -> Vec<ZoneSketch> {
            let at = ChartPoint::of_direction(d);
            vec![ZoneSketch {
                depth_mm: 2.0 + 0.1 * at.up_deg - 0.03 * at.right_deg,
                blockout_mm3: 0.0,
            }]
        }
    }

    fn slope() -> Slope {
        Slope(vec![SeatZone {
            name: "slope".into(),
            outline: Vec::new(),
            z_range: None,
            undercut_limit_mm: None,
            opposes: None,
        }])
    }

    #[test]
    fn between_sketches_a_plane_stays_a_plane() {
        let grid = RidgeGrid::read(&slope(), 15.0, &AtomicBool::new(false)).unwrap();
        for (right_deg, up_deg) in [(0.0, 0.0), (3.3, -7.1), (-10.9, 9.2), (14.9, 0.3)] {
            let point = ChartPoint { right_deg, up_deg };
            let [depth] = grid.depths_mm(&point.direction()).unwrap()[..] else {
                panic!("one zone");
            };
            let expected = 2.0 + 0.1 * up_deg - 0.03 * right_deg;
            assert!((depth - expected).abs() < 1e-9, "{depth} {expected}");
        }
        let far = ChartPoint {
            right_deg: 60.0,
            up_deg: 0.0,
        };
        assert_eq!(grid.depths_mm(&far.direction()), None);
    }

    #[test]
    fn it_stops_when_told_to() {
        assert_eq!(
            RidgeGrid::read(&slope(), 15.0, &AtomicBool::new(true)),
            None
        );
    }
}
