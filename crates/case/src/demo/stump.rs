//! A coping, or a prepared root, as a solid with signed distances.
//!
//! The walls are bounded by the planes with normal `n(phi)` that touch the margin ellipse, those the
//! survey computes with, so that scan and case agree. Where two neighbouring walls taper unlike,
//! the planes of the steeper one cut the other short toward their border, by about 0.1 mm at the
//! top; [`Coping::surface`] passes over between them more gradually.
//!
//! Derivation: the plane of azimuth phi stands at `s = h(phi) − w tan(tau)` from the axis at height
//! w above the margin, `h(phi) = sqrt((A cos phi)² + (B sin phi)²)` being the distance of the
//! ellipse's tangent line. Its signed distance is `(u cos phi + v sin phi − s) cos(tau)`; the solid
//! is where the greatest of them is not positive.

use super::blend::{intersection, step, union};
use nalgebra::{Point3, Vector3};
use tiltbench_geometry::coping::{Coping, Side, WallBasis};

/// Azimuths of the tangent planes. Tuned: between neighbours a wall of radius r is flat over 2
/// degrees, which is r (1 − cos 1 degree) = 0.5 micrometre at r = 3.5 mm; fewer would facet it.
const PLANES: usize = 180;
/// Coarse steps of the search for the greatest plane distance.
const COARSE: usize = 10;
/// Half the width of the blend between the tapers of two neighbouring walls.
const TAPER_BLEND_RAD: f64 = 4.0 * std::f64::consts::PI / 180.0;
/// Rounding of the occlusal edge, of the margin and of the gum around it, mm.
const EDGE_MM: f64 = 0.6;
const MARGIN_MM: f64 = 0.3;
/// How far below the margin the root is followed, and how far out the gum cuff stands, mm.
const ROOT_MM: f64 = 4.0;
const CUFF_MM: f64 = 0.9;
/// The cuff's height below the margin, mm: some bare root shows, as it should.
const CUFF_DROP_MM: f64 = 1.2;

#[derive(Debug, Clone, Copy)]
struct Plane {
    cos: f64,
    sin: f64,
    reach: f64,
    tan_taper: f64,
    cos_taper: f64,
}

/// One coping or prepared root.
#[derive(Debug, Clone)]
pub(super) struct Stump {
    centre: Point3<f64>,
    mesial: Vector3<f64>,
    labial: Vector3<f64>,
    axis: Vector3<f64>,
    height: f64,
    /// Width of the ledge around a prepared core: the metal's thickness at the margin.
    ledge: f64,
    planes: Vec<Plane>,
    bound: f64,
}

/// Signed distances to the parts of a stump, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct StumpDistance {
    /// The coping or core with the root below it.
    pub(super) body: f64,
    /// The gum that rises around it.
    pub(super) cuff: f64,
}

impl Stump {
    /// The solid of a coping.
    pub(super) fn new(coping: &Coping) -> Self {
        let half = (
            0.5 * coping.width_mesiodistal_mm,
            0.5 * coping.width_labiolingual_mm,
        );
        let planes = (0..PLANES)
            .map(|i| {
                let phi = i as f64 / PLANES as f64 * std::f64::consts::TAU;
                let taper = taper_at(coping, phi);
                Plane {
                    cos: phi.cos(),
                    sin: phi.sin(),
                    reach: (half.0 * phi.cos()).hypot(half.1 * phi.sin()),
                    tan_taper: taper.tan(),
                    cos_taper: taper.cos(),
                }
            })
            .collect();
        let ledge = match coping.basis {
            WallBasis::Finished => 0.0,
            WallBasis::Prep(plan) => plan.margin_thickness_mm,
        };
        let across = half.0.max(half.1) + ledge + CUFF_MM + 1.0;
        Self {
            centre: coping.margin_centre,
            mesial: coping.mesial.into_inner(),
            labial: coping.labial.into_inner(),
            axis: coping.axis.into_inner(),
            height: coping.height_mm,
            ledge,
            planes,
            bound: across.hypot(coping.height_mm.max(ROOT_MM)),
        }
    }

    /// Distances at a point. Away from the stump both are lower bounds, at least 2 (beyond every blend).
    pub(super) fn distance(&self, p: Point3<f64>) -> StumpDistance {
        let offset = p - self.centre;
        let far = offset.norm() - self.bound;
        if far > 2.0 {
            return StumpDistance {
                body: far,
                cuff: far,
            };
        }
        let (u, v) = (offset.dot(&self.mesial), offset.dot(&self.labial));
        let w = offset.dot(&self.axis);
        let shaft = self.greatest(|plane| plane.cos * u + plane.sin * v - plane.reach);
        let walls = if w > 0.0 {
            self.greatest(|plane| {
                (plane.cos * u + plane.sin * v - plane.reach + w * plane.tan_taper)
                    * plane.cos_taper
            })
        } else {
            shaft
        };
        let core = intersection(walls, w - self.height, EDGE_MM);
        let body = if self.ledge > 0.0 {
            let root = intersection(shaft - self.ledge, w, MARGIN_MM);
            union(core, root, MARGIN_MM)
        } else {
            core
        };
        let rim = self.ledge + CUFF_MM;
        StumpDistance {
            body: body.max(-ROOT_MM - w),
            cuff: intersection(shaft - rim, w + CUFF_DROP_MM, CUFF_MM).max(-ROOT_MM - w),
        }
    }

    /// The greatest over the azimuths: a coarse search, then every plane about the best.
    fn greatest(&self, value: impl Fn(&Plane) -> f64) -> f64 {
        let mut best = (f64::NEG_INFINITY, 0);
        for (index, plane) in self.planes.iter().enumerate().step_by(COARSE) {
            let v = value(plane);
            if v > best.0 {
                best = (v, index);
            }
        }
        (1..2 * COARSE)
            .map(|k| value(&self.planes[(best.1 + PLANES - COARSE + k) % PLANES]))
            .fold(best.0, f64::max)
    }
}

/// The taper at a normal-azimuth: each wall's own over its quarter, blended at the borders. An
/// absent wall stands parallel to the axis.
fn taper_at(coping: &Coping, phi: f64) -> f64 {
    let taper = |side: Side| coping.wall(side).map_or(0.0, |wall| wall.taper_rad);
    let quarter = std::f64::consts::FRAC_PI_2;
    // Position in quarters from the border before the mesial wall.
    let turned = (phi + 0.5 * quarter).rem_euclid(4.0 * quarter);
    let index = (1..4).filter(|&i| turned >= f64::from(i) * quarter).count();
    let within = turned - index as f64 * quarter;
    let own = taper(Side::ALL[index]);
    let (other, into) = if within < 0.5 * quarter {
        (taper(Side::ALL[(index + 3) % 4]), within)
    } else {
        (taper(Side::ALL[(index + 1) % 4]), quarter - within)
    };
    other + (own - other) * step(into, -TAPER_BLEND_RAD, TAPER_BLEND_RAD)
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_geometry::coping::{MillPlan, Wall};

    fn coping(widths: (f64, f64), tapers_deg: [f64; 4], basis: WallBasis) -> Coping {
        let wall = |taper: f64| Wall {
            taper_rad: taper.to_radians(),
            half_sector_rad: std::f64::consts::FRAC_PI_4,
            height_mm: 5.0,
            guides: true,
            draft_min_rad: 0.0,
            draft_max_rad: 0.2,
        };
        Coping {
            id: "33".to_owned(),
            tooth: "33".to_owned(),
            margin_centre: Point3::new(1.0, 2.0, 3.0),
            axis: Vector3::z_axis(),
            mesial: Vector3::x_axis(),
            labial: Vector3::y_axis(),
            width_mesiodistal_mm: widths.0,
            width_labiolingual_mm: widths.1,
            height_mm: 5.0,
            walls: tapers_deg.map(|t| Some(wall(t))),
            basis,
            canal_axis: None,
            standing: tiltbench_geometry::work::Standing::Stays,
        }
    }

    fn body(stump: &Stump, u: f64, v: f64, w: f64) -> f64 {
        stump.distance(Point3::new(1.0 + u, 2.0 + v, 3.0 + w)).body
    }

    #[test]
    fn a_round_stump_is_a_cone() {
        let stump = Stump::new(&coping((6.0, 6.0), [6.0; 4], WallBasis::Finished));
        let (sin, cos) = 6.0_f64.to_radians().sin_cos();
        for i in 0..72 {
            let phi = f64::from(i) * 0.0873;
            for (rho, w) in [(3.0, 1.0), (2.6, 3.0), (3.4, 2.0)] {
                let found = body(&stump, rho * phi.cos(), rho * phi.sin(), w);
                // The flats between tangent planes are at most 0.5 micrometre deep.
                let exact = (rho - 3.0) * cos + w * sin;
                assert!(
                    (found - exact).abs() < 6e-4,
                    "{phi} {rho} {w}: {found} {exact}"
                );
            }
        }
    }

    #[test]
    fn each_wall_has_its_own_taper_and_starts_at_the_margin() {
        let tapers = [3.0_f64, 1.0, 5.0, 8.0];
        let stump = Stump::new(&coping((5.5, 7.0), tapers, WallBasis::Finished));
        for (i, &taper) in tapers.iter().enumerate() {
            let half = if i % 2 == 0 { 2.75 } else { 3.5 };
            let side = f64::from(u8::try_from(i).unwrap()) * std::f64::consts::FRAC_PI_2;
            for w in [0.0, 1.0, 4.0] {
                let out = half - w * taper.to_radians().tan();
                let found = body(&stump, out * side.cos(), out * side.sin(), w);
                assert!(found.abs() < 1e-9, "wall {i} at {w}: {found}");
            }
        }
        // The border between the mesial and the labial wall has the mean of their tapers.
        let border = taper_at(
            &coping((5.5, 7.0), tapers, WallBasis::Finished),
            std::f64::consts::FRAC_PI_4,
        );
        assert!((border.to_degrees() - 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_prepared_root_has_a_ledge_for_the_metal() {
        let plan = MillPlan {
            taper_rad: 0.1,
            margin_thickness_mm: 0.6,
        };
        let stump = Stump::new(&coping((5.0, 6.0), [8.0; 4], WallBasis::Prep(plan)));
        assert!(body(&stump, 2.8, 0.0, -1.0) < -0.2);
        assert!(body(&stump, 3.1, 0.0, -1.0).abs() < 1e-9);
        // Over the ledge there is air, and its surface is the margin's height.
        assert!(body(&stump, 2.85, 0.0, 1.0) > 0.2);
        assert!(body(&stump, 2.85, 0.0, 0.0).abs() < 0.1);
    }

    #[test]
    fn far_away_it_says_so_and_never_too_much() {
        let stump = Stump::new(&coping((5.5, 7.0), [4.0; 4], WallBasis::Finished));
        let found = body(&stump, 30.0, 0.0, 2.0);
        assert!(found > 2.0 && found < 27.25, "{found}");
    }
}
