//! How well a coping's margin lies on the scan.

use super::footprint::MarginFootprint;
use crate::mesh::Mesh;
use crate::mesh::nearest::nearest_in;
use nalgebra::Point3;

/// Points of the margin ellipse that are looked at: one every millimetre or less of a molar's.
const RING: u32 = 32;

/// Millimetres around the ring in which the nearest surface is looked for first.
const NEAR_MM: f64 = 1.0;

/// Where a margin lies farthest off a scan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MarginGap {
    /// The point of the margin ellipse, cast frame.
    pub at: Point3<f64>,
    /// The point of the scan nearest to it.
    pub scan: Point3<f64>,
}

impl MarginGap {
    /// How far apart they are.
    pub fn distance_mm(&self) -> f64 {
        (self.scan - self.at).norm()
    }
}

impl MarginFootprint {
    /// The point of the margin ellipse, not grown, at an azimuth: 0 mesial, a quarter turn labial.
    pub fn margin_point(&self, azimuth_rad: f64) -> Point3<f64> {
        let (sin, cos) = azimuth_rad.sin_cos();
        self.centre
            + self.mesial.as_ref() * (self.half_mesiodistal_mm * cos)
            + self.labial.as_ref() * (self.half_labiolingual_mm * sin)
    }

    /// Where the margin lies farthest off a scan in the cast frame, of 32 points around it; `None`
    /// for a scan without facets.
    pub fn gap(&self, scan: &Mesh) -> Option<MarginGap> {
        let step = std::f64::consts::TAU / f64::from(RING);
        let ring: Vec<Point3<f64>> = (0..RING)
            .map(|k| self.margin_point(f64::from(k) * step))
            .collect();
        let low = ring.iter().fold(ring[0], |low, p| low.inf(p));
        let high = ring.iter().fold(ring[0], |high, p| high.sup(p));
        let near: Vec<[Point3<f64>; 3]> = scan
            .facets()
            .filter(|corners| {
                (0..3).all(|k| {
                    corners.iter().any(|p| p[k] >= low[k] - NEAR_MM)
                        && corners.iter().any(|p| p[k] <= high[k] + NEAR_MM)
                })
            })
            .collect();
        let mut farthest: Option<MarginGap> = None;
        for at in ring {
            let close = nearest_in(near.iter().copied(), &at)
                .filter(|found| (found - at).norm() <= NEAR_MM);
            // Beyond that, what is nearest may not be among them.
            let found = close.or_else(|| scan.nearest(&at))?;
            let gap = MarginGap { at, scan: found };
            if farthest.is_none_or(|known| gap.distance_mm() > known.distance_mm()) {
                farthest = Some(gap);
            }
        }
        farthest
    }
}
