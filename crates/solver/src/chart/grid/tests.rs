//! Readings of a part of the chart after another.

use super::*;
use crate::control::Quiet;
use crate::sphere::angle_between;
use std::f64::consts::PI;
use tiltbench_geometry::undercut::{SeatZone, Stop, Told, ZoneReading};

/// One zone whose figures bend over the chart; glances are off by something that changes slowly.
struct Bent([SeatZone; 1]);

fn bent() -> Bent {
    Bent([SeatZone {
        name: "ridge".to_owned(),
        outline: vec![[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]],
        z_range: None,
        undercut_limit_mm: Some(1.0),
        opposes: None,
        blockout: None,
    }])
}

fn glance(d: &UnitVector3<f64>) -> Vec<ZoneGlance> {
    let depth = 1.0 + 4.0 * d.x - 3.0 * d.y * d.y + (9.0 * d.x * d.y).sin();
    vec![ZoneGlance {
        depth_mm: depth,
        sector_depths_mm: vec![depth, depth - 0.3 + d.y],
        undercut_area_mm2: 20.0 + 30.0 * depth,
        blockout_mm3: 10.0 * depth * depth,
    }]
}

impl RidgeReader for Bent {
    fn zones(&self) -> &[SeatZone] {
        &self.0
    }
    fn areas_mm2(&self) -> Vec<f64> {
        vec![100.0]
    }
    fn glance(&self, d: &UnitVector3<f64>, _: Told<'_>, _: &Stop<'_>) -> Option<Vec<ZoneGlance>> {
        Some(glance(d))
    }
    fn skim(&self, d: &UnitVector3<f64>, _: Told<'_>, _: &Stop<'_>) -> Option<Vec<ZoneGlance>> {
        let mut zones = glance(d);
        zones[0].depth_mm += 0.02 + 0.1 * d.x;
        Some(zones)
    }
    fn read_against(&self, _: &UnitVector3<f64>, _: &[SeatZone]) -> Vec<ZoneReading> {
        Vec::new()
    }
}

fn read_over(grid: &mut RidgeGrid, interest: &dyn Fn(&UnitVector3<f64>) -> f64) {
    let part = Part {
        reach_rad: 15.0 * PI / 180.0,
        interest,
    };
    let ridge = bent();
    grid.correct_over(&ridge, part, &Quiet).unwrap();
    grid.glance_over(&ridge, Spacing::Fine, part, &Quiet)
        .unwrap();
}

/// Figures at draws a degree apart, to the bit.
fn bits(grid: &RidgeGrid) -> Vec<Option<[u64; 3]>> {
    let steps = (-14..=14).flat_map(|i| (-14..=14).map(move |j| [i, j]));
    let points = steps.map(|[i, j]| Vector2::new(f64::from(i), f64::from(j)) * PI / 180.0);
    let within = points.filter(|point| point.norm() < 14.5 * PI / 180.0);
    within
        .map(|point| {
            let zone = grid.at(point)?[0];
            Some([zone.depth_mm, zone.undercut_area_mm2, zone.blockout_mm3].map(f64::to_bits))
        })
        .collect()
}

/// A part of the chart near its rim, read first, leaves no trace in the whole: what was carried outward
/// for it is carried again.
#[test]
fn the_whole_does_not_depend_on_the_part_read_first() {
    let mut at_once = RidgeGrid::default();
    read_over(&mut at_once, &|_| 0.0);
    let whole = bits(&at_once);
    assert!(whole.iter().all(Option::is_some));
    for middle in [[0.0, 0.2], [-0.2, 0.0], [0.15, -0.15]] {
        let middle = from_chart(Vector2::from(middle));
        let mut in_parts = RidgeGrid::default();
        read_over(&mut in_parts, &|d| 0.05 - angle_between(d, &middle));
        assert_ne!(bits(&in_parts), whole);
        read_over(&mut in_parts, &|_| 0.0);
        assert_eq!(bits(&in_parts), whole, "{middle:?}");
        // And once more, which reads nothing.
        read_over(&mut in_parts, &|_| 0.0);
        assert_eq!(bits(&in_parts), whole, "{middle:?}");
    }
}
