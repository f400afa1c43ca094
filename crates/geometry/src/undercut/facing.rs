//! Area that faces away from a draw, at once for any draw.
//!
//! Whether a facet faces away depends on its normal alone. So the facets of a zone are sorted by how
//! far their normals rise above the occlusal plane: for a draw tilted by `t`, those that rise by more
//! than `t` never face away, those that fall by more than `t` always do, and only those between have
//! to be asked.

use crate::tolerance::MET_RAD;
use nalgebra::{UnitVector3, Vector3};

/// Area of each zone that faces away from a draw.
#[derive(Debug, Clone)]
pub(crate) struct FacingAway {
    zones: Vec<Leans>,
}

/// A zone's facets, those that rise least first.
#[derive(Debug, Clone)]
struct Leans {
    /// Unit normal.
    normals: Vec<Vector3<f64>>,
    areas_mm2: Vec<f64>,
    /// Area of the facets before each, and of all.
    sums_mm2: Vec<f64>,
}

impl FacingAway {
    /// Per zone its part of each facet: area, mm², times unit outward normal. A facet without area
    /// faces nowhere.
    pub(crate) fn new(zones: Vec<Vec<Vector3<f64>>>) -> Self {
        Self {
            zones: zones.into_iter().map(Leans::new).collect(),
        }
    }

    /// Area of each zone, mm², that faces away from a draw by more than the tolerance of a parallel wall.
    pub(crate) fn areas_mm2(&self, d: &UnitVector3<f64>) -> Vec<f64> {
        self.zones.iter().map(|zone| zone.away_mm2(d)).collect()
    }
}

impl Leans {
    fn new(leans: Vec<Vector3<f64>>) -> Self {
        let mut facets: Vec<(Vector3<f64>, f64)> = leans
            .into_iter()
            .map(|lean| (lean, lean.norm()))
            .filter(|(_, area)| *area > 0.0)
            .map(|(lean, area)| (lean / area, area))
            .collect();
        // A stable sort: what rises alike keeps its order, and sums their bits.
        facets.sort_by(|a, b| a.0.z.total_cmp(&b.0.z));
        let (normals, areas_mm2): (Vec<_>, Vec<f64>) = facets.into_iter().unzip();
        let mut sums_mm2 = vec![0.0];
        let mut sum = 0.0;
        for area in &areas_mm2 {
            sum += area;
            sums_mm2.push(sum);
        }
        Self {
            normals,
            areas_mm2,
            sums_mm2,
        }
    }

    fn away_mm2(&self, d: &UnitVector3<f64>) -> f64 {
        let parallel = MET_RAD.sin();
        let tilt = d.z.clamp(-1.0, 1.0).acos();
        // With rounding to spare. Beyond a right angle nothing is certain.
        let decided = (tilt + 2.0 * MET_RAD)
            .min(std::f64::consts::FRAC_PI_2)
            .sin();
        let first = self.normals.partition_point(|normal| normal.z < -decided);
        let last = self.normals.partition_point(|normal| normal.z <= decided);
        let asked = self.normals[first..last]
            .iter()
            .zip(&self.areas_mm2[first..last]);
        let away = asked.filter(|(normal, _)| normal.dot(d) < -parallel);
        self.sums_mm2[first] + away.map(|(_, area)| area).sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Vector2;

    /// The facets of a ball in bands of equal area: by Archimedes a band's area is that of the
    /// cylinder around it (On the Sphere and Cylinder I, 33), so half the ball faces away from any draw.
    #[test]
    fn half_of_a_ball_faces_away_from_any_draw() {
        let count = 20_000;
        let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
        let leans = (0..count).map(|i| {
            let z = (2.0 * f64::from(i) + 1.0) / f64::from(count) - 1.0;
            let around = Vector2::new((f64::from(i) * golden).cos(), (f64::from(i) * golden).sin());
            let around = around * (1.0 - z * z).sqrt();
            Vector3::new(around.x, around.y, z) * 0.01
        });
        let ball = FacingAway::new(vec![leans.collect(), Vec::new()]);
        for draw in [
            [0.0, 0.0, 1.0],
            [0.3, -0.2, 0.9],
            [1.0, 0.0, 0.0],
            [0.1, 0.2, -1.0],
        ] {
            let areas = ball.areas_mm2(&UnitVector3::new_normalize(draw.into()));
            assert!((areas[0] - 100.0).abs() < 0.5, "{draw:?}: {areas:?}");
            assert!(areas[1].abs() < 1e-15);
        }
    }

    #[test]
    fn a_wall_along_the_draw_does_not_face_away() {
        let wall = FacingAway::new(vec![vec![Vector3::x() * 2.0]]);
        let leaning = |by: f64| UnitVector3::new_normalize(Vector3::new(-by.sin(), 0.0, by.cos()));
        let area = |by: f64| wall.areas_mm2(&leaning(by))[0];
        assert!(area(0.5 * MET_RAD).abs() < 1e-15);
        assert!((area(2.0 * MET_RAD) - 2.0).abs() < 1e-15);
        assert!((area(1.6) - 2.0).abs() < 1e-15);
    }
}
