//! Weights that prove a best draw.
//!
//! At the best draw `d` of finitely many normals no way of turning it, within the tilt limit, makes
//! all the least ones grow. So (Farkas) weights `w >= 0` with sum 1 on those least normals, and
//! `mu >= 0` for the tilt limit, bring their tangential parts `t_i = n_i - (n_i . d) d` to
//! `sum w_i t_i + mu c = 0`, where `c` is the unit tangent at `d` toward +z and `mu = 0` inside the
//! limit. As every least normal has `n_i . d = v`, this is
//!
//! ```text
//! sum w_i n_i + mu c = v d
//! ```
//!
//! whatever the sign of `v`. The tangent plane has two dimensions, so three normals are enough
//! (two with the tilt limit).

use super::envelope::Cap;
use super::types::CertificateTerm;
use super::walls::WallNormal;
use nalgebra::{UnitVector3, Vector2, Vector3};

/// Pure number. A normal within this of the least product counts as least: separates what the last
/// exchange rounds left from other walls.
const LEAST: f64 = 1e-11;

/// Pure number. Weights below this are rounding.
const NO_WEIGHT: f64 = 1e-12;

/// Pure number. The search ends at weights whose residual is at most this.
const GOOD_RESIDUAL: f64 = 1e-13;

/// Weights with their residual.
#[derive(Debug, Clone)]
pub(super) struct Weights {
    pub(super) terms: Vec<CertificateTerm>,
    pub(super) tilt_limit_weight: f64,
    pub(super) residual: f64,
}

/// The weights at the direction `at`, where the least product of `normals` is `value`.
pub(super) fn optimality_weights(
    normals: &[WallNormal],
    at: &UnitVector3<f64>,
    value: f64,
    cap: &Cap,
) -> Weights {
    let d = at.as_ref();
    let first = tangent(d);
    let second = d.cross(&first);
    let least: Vec<&WallNormal> = normals
        .iter()
        .filter(|n| n.normal.dot(at) <= value + LEAST)
        .collect();
    let flat: Vec<Vector2<f64>> = least
        .iter()
        .map(|n| Vector2::new(n.normal.dot(&first), n.normal.dot(&second)))
        .collect();
    let mut best = Combination::none();
    free_combinations(&flat, &mut best);
    let inward = inward_tangent(at, cap);
    if best.residual > GOOD_RESIDUAL
        && let Some(c) = inward
    {
        let c = Vector2::new(c.dot(&first), c.dot(&second));
        limited_combinations(&flat, &c, &mut best);
    }
    let terms: Vec<CertificateTerm> = best
        .parts
        .iter()
        .filter(|(_, weight)| *weight > NO_WEIGHT)
        .map(|&(i, weight)| CertificateTerm {
            wall: least[i].wall,
            azimuth_rad: least[i].azimuth_rad,
            normal: least[i].normal,
            weight,
        })
        .collect();
    let sum: Vector3<f64> = terms
        .iter()
        .map(|term| term.normal.as_ref() * term.weight)
        .sum();
    let pull = inward.map_or_else(Vector3::zeros, |c| c * best.tilt_limit_weight);
    Weights {
        residual: (sum + pull - d * value).norm(),
        terms,
        tilt_limit_weight: best.tilt_limit_weight,
    }
}

/// A unit vector across `d`.
fn tangent(d: &Vector3<f64>) -> Vector3<f64> {
    let axis = if d.x.abs() < 0.7 {
        Vector3::x()
    } else {
        Vector3::y()
    };
    let across = axis - d * axis.dot(d);
    across / across.norm()
}

/// The unit tangent at a draw on the tilt limit, toward +z; `None` inside the limit. At a limit of
/// 0 every way leaves it; the one along x stands for them.
fn inward_tangent(at: &UnitVector3<f64>, cap: &Cap) -> Option<Vector3<f64>> {
    let total = at.x.hypot(at.y).atan2(at.z);
    if total < cap.limit_rad - 1e-12 {
        return None;
    }
    (Vector3::z() - at.as_ref() * at.z).try_normalize(1e-9)
}

/// The best weights so far.
#[derive(Debug)]
struct Combination {
    parts: Vec<(usize, f64)>,
    tilt_limit_weight: f64,
    residual: f64,
}

impl Combination {
    fn none() -> Self {
        Self {
            parts: Vec::new(),
            tilt_limit_weight: 0.0,
            residual: f64::INFINITY,
        }
    }

    /// Takes the weights if they are better; tells whether they are good enough to stop.
    fn offer(&mut self, parts: &[(usize, f64)], tilt_limit_weight: f64, residual: f64) -> bool {
        if residual < self.residual {
            *self = Self {
                parts: parts.to_vec(),
                tilt_limit_weight,
                residual,
            };
        }
        self.residual <= GOOD_RESIDUAL
    }
}

/// Origin as a convex combination of one, two or three points of the plane.
fn free_combinations(points: &[Vector2<f64>], best: &mut Combination) {
    for (i, p) in points.iter().enumerate() {
        if best.offer(&[(i, 1.0)], 0.0, p.norm()) {
            return;
        }
    }
    for (j, q) in points.iter().enumerate() {
        for (i, p) in points[..j].iter().enumerate() {
            let between = q - p;
            let length_squared = between.norm_squared();
            if length_squared <= 0.0 {
                continue;
            }
            let weight = (-p.dot(&between) / length_squared).clamp(0.0, 1.0);
            let left = (p + between * weight).norm();
            if best.offer(&[(i, 1.0 - weight), (j, weight)], 0.0, left) {
                return;
            }
        }
    }
    for (k, r) in points.iter().enumerate() {
        for (j, q) in points[..k].iter().enumerate() {
            for (i, p) in points[..j].iter().enumerate() {
                let parts = [q.perp(r), r.perp(p), p.perp(q)];
                let sum: f64 = parts.iter().sum();
                let weights = parts.map(|part| part / sum);
                if !weights.iter().all(|weight| *weight >= 0.0) {
                    // Also where the three lie in one line: the sum is 0 or noise.
                    continue;
                }
                let left = (p * weights[0] + q * weights[1] + r * weights[2]).norm();
                let parts = [(i, weights[0]), (j, weights[1]), (k, weights[2])];
                if best.offer(&parts, 0.0, left) {
                    return;
                }
            }
        }
    }
}

/// The same with a multiple `mu >= 0` of the unit vector `c` added.
fn limited_combinations(points: &[Vector2<f64>], c: &Vector2<f64>, best: &mut Combination) {
    let along: Vec<f64> = points.iter().map(|p| p.dot(c)).collect();
    let across: Vec<f64> = points.iter().map(|p| c.perp(p)).collect();
    for i in 0..points.len() {
        if along[i] <= 0.0 && best.offer(&[(i, 1.0)], -along[i], across[i].abs()) {
            return;
        }
    }
    for j in 0..points.len() {
        for i in 0..j {
            let span = across[j] - across[i];
            let weight = -across[i] / span;
            if !(0.0..=1.0).contains(&weight) {
                continue;
            }
            let pull = -(along[i] * (1.0 - weight) + along[j] * weight);
            let left = (across[i] * (1.0 - weight) + across[j] * weight).abs();
            if pull >= 0.0 && best.offer(&[(i, 1.0 - weight), (j, weight)], pull, left) {
                return;
            }
        }
    }
}
