//! A coping, or a prepared root, as a solid with signed distances.
//!
//! The walls are the envelope of the planes with normal `n(phi)` that touch the margin ellipse,
//! the same surface the survey computes with, so that scan and case agree.
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
