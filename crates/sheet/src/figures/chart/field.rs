//! A figure read at many tilts, and where it has a value: regions and contours of the chart.

use super::figure::{ChartPoint, ChartRegion};
use contour::ContourBuilder;
use nalgebra::UnitVector3;

/// What stands for values that are infinite or unknown: beyond any angle or depth that is drawn.
const BEYOND: f64 = 1e3;

/// A figure on a square grid over the chart.
///
/// Lines between grid points are where they would be if the figure ran straight there: exact for a
/// plane, and off by about `step² / 8` times the curvature otherwise. Where two smooth figures meet
/// in an edge, a corner is cut by up to half a step.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartField {
    /// Degrees from the middle to the outermost column: beyond the rim, so that no border of the
    /// grid is seen on the disc.
    half_deg: f64,
    step_deg: f64,
    columns: usize,
    values: Vec<f64>,
}

impl ChartField {
    /// Reads a figure over a chart of this reach, about every `step_deg`. What is not a number
    /// counts as far below every level.
    pub fn read(reach_deg: f64, step_deg: f64, figure: impl Fn(&UnitVector3<f64>) -> f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a chart is at most a few hundred steps wide"
        )]
        let rings = (reach_deg / step_deg).ceil().clamp(1.0, 1000.0) as usize + 1;
        let step_deg = reach_deg / (rings as f64 - 1.0);
        let half_deg = step_deg * rings as f64;
        let columns = 2 * rings + 1;
        let at = |index: usize| index as f64 * step_deg - half_deg;
        let values = (0..columns * columns)
            .map(|index| {
                let point = ChartPoint {
                    right_deg: at(index % columns),
                    up_deg: at(index / columns),
                };
                let value = figure(&point.direction());
                if value.is_nan() {
                    -BEYOND
                } else {
                    value.clamp(-BEYOND, BEYOND)
                }
            })
            .collect();
        Self {
            half_deg,
            step_deg,
            columns,
            values,
        }
    }

    /// Where the figure is at least `level`.
    pub fn regions_at_least(&self, level: f64) -> Vec<ChartRegion> {
        let found = self.builder().contours(&self.values, &[level]);
        let contours = found.unwrap_or_default();
        let polygons = contours.iter().flat_map(|contour| &contour.geometry().0);
        polygons
            .map(|polygon| ChartRegion {
                outer: ring(polygon.exterior().coords().map(|at| [at.x, at.y])),
                holes: polygon
                    .interiors()
                    .iter()
                    .map(|hole| ring(hole.coords().map(|at| [at.x, at.y])))
                    .collect(),
            })
            .collect()
    }

    /// Where the figure is `level`: closed lines, which repeat their first point.
    pub fn lines_at(&self, level: f64) -> Vec<Vec<ChartPoint>> {
        let close = |ring: &Vec<ChartPoint>| ring.iter().chain(ring.first()).copied().collect();
        self.regions_at_least(level)
            .iter()
            .flat_map(|region| {
                std::iter::once(&region.outer)
                    .chain(&region.holes)
                    .map(close)
            })
            .collect()
    }

    fn builder(&self) -> ContourBuilder {
        // The builder puts a value into the middle of its cell, half a step in.
        let origin = -self.half_deg - 0.5 * self.step_deg;
        ContourBuilder::new(self.columns, self.columns, true)
            .x_origin(origin)
            .y_origin(origin)
            .x_step(self.step_deg)
            .y_step(self.step_deg)
    }
}

/// A closed line without its repeated point.
fn ring(points: impl Iterator<Item = [f64; 2]>) -> Vec<ChartPoint> {
    let mut ring: Vec<ChartPoint> = points
        .map(|[right_deg, up_deg]| ChartPoint { right_deg, up_deg })
        .collect();
    ring.pop();
    ring
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::chart::allowance_circle;
    use nalgebra::Vector3;
    use tiltbench_geometry::sphere::angle_between;

    /// The draws within an angle of one draw: the border is the allowance circle.
    #[test]
    fn a_cap_comes_back_as_its_circle() {
        let about = ChartPoint {
            right_deg: 4.0,
            up_deg: -3.0,
        }
        .direction();
        let field = ChartField::read(15.0, 0.5, |d| 5.0 - angle_between(&about, d).to_degrees());
        let regions = field.regions_at_least(0.0);
        assert_eq!(regions.len(), 1);
        assert!(regions[0].holes.is_empty());
        for point in &regions[0].outer {
            let off = angle_between(&about, &point.direction()).to_degrees();
            assert!((off - 5.0).abs() < 0.02, "{off}");
        }
        let area = |ring: &[ChartPoint]| {
            let next = ring.iter().cycle().skip(1);
            let twice: f64 = ring
                .iter()
                .zip(next)
                .map(|(p, q)| p.right_deg * q.up_deg - q.right_deg * p.up_deg)
                .sum();
            twice.abs() / 2.0
        };
        let circle = area(&allowance_circle(&about, 5.0, 720));
        assert!((area(&regions[0].outer) / circle - 1.0).abs() < 0.01);
    }

    #[test]
    fn a_band_has_a_hole_and_what_is_unknown_is_left_out() {
        let up = UnitVector3::new_unchecked(Vector3::z());
        let field = ChartField::read(15.0, 0.5, |d| {
            let tilt = angle_between(&up, d).to_degrees();
            if tilt < 2.0 { f64::NAN } else { 8.0 - tilt }
        });
        let regions = field.regions_at_least(0.0);
        assert_eq!((regions.len(), regions[0].holes.len()), (1, 1));
        assert!(field.regions_at_least(100.0).is_empty());
    }

    /// What runs on beyond the rim is closed outside of it.
    #[test]
    fn no_border_of_the_grid_is_on_the_disc() {
        let field = ChartField::read(10.0, 0.7, |d| d.x + 0.01);
        for point in field.lines_at(0.0).iter().flatten() {
            let on_line = (point.direction().x + 0.01).abs() < 1e-4;
            assert!(on_line || point.total_deg() > 10.0, "{point:?}");
        }
    }
}
