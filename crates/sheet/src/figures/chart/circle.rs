//! A circle on the sphere, as the chart shows it.

use super::figure::ChartPoint;
use nalgebra::UnitVector3;
use std::f64::consts::TAU;
use tiltbench_geometry::sphere::travel;

/// The draws `radius_deg` away from a draw on the sphere, as a ring on the chart (the first point is
/// not repeated), at `count` evenly spread bearings.
///
/// Near the middle that is a circle; farther out the chart stretches it across the radius, by
/// `t / sin t` at total tilt `t` (1.2 % at 15 degrees).
pub fn allowance_circle(
    about: &UnitVector3<f64>,
    radius_deg: f64,
    count: usize,
) -> Vec<ChartPoint> {
    (0..count)
        .map(|index| {
            let bearing = TAU * index as f64 / count as f64;
            ChartPoint::of_direction(&travel(about, bearing, radius_deg.to_radians()))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_geometry::sphere::angle_between;

    #[test]
    fn its_points_are_that_angle_away_and_go_all_round() {
        for (right_deg, up_deg, radius) in [(0.0, 0.0, 3.0), (12.0, -5.0, 2.2), (-14.0, 9.0, 6.0)] {
            let about = ChartPoint { right_deg, up_deg }.direction();
            let ring = allowance_circle(&about, radius, 72);
            assert_eq!(ring.len(), 72);
            for point in &ring {
                let off = angle_between(&about, &point.direction()).to_degrees();
                assert!((off - radius).abs() < 1e-9, "{off}");
            }
            // Counter-clockwise once round its middle: shoelace area near that of a circle.
            let area: f64 = (0..72)
                .map(|i| {
                    let (p, q) = (ring[i], ring[(i + 1) % 72]);
                    (p.right_deg * q.up_deg - q.right_deg * p.up_deg) / 2.0
                })
                .sum();
            let plain = std::f64::consts::PI * radius * radius;
            assert!((area / plain - 1.0).abs() < 0.03, "{area} {plain}");
        }
    }

    /// At total tilt t the chart is stretched by t / sin t across the radius and true along it.
    #[test]
    fn it_is_not_a_circle_far_from_the_middle() {
        let about = ChartPoint {
            right_deg: 30.0,
            up_deg: 0.0,
        }
        .direction();
        let ring = allowance_circle(&about, 1.0, 360);
        let most = |of: fn(&ChartPoint) -> f64| {
            let all = ring.iter().map(of);
            let (low, high) = all.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
            high - low
        };
        assert!((most(|p| p.right_deg) - 2.0).abs() < 1e-3);
        let stretched = 2.0 * 30f64.to_radians() / 30f64.to_radians().sin();
        assert!((most(|p| p.up_deg) - stretched).abs() < 2e-3, "{stretched}");
    }
}
