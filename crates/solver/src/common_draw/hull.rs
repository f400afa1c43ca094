//! The point nearest to the origin of the convex hull of all normals of all walls.
//!
//! Source: P. Wolfe, "Finding the nearest point in a polytope", Mathematical Programming 11 (1976)
//! 128-149, doi 10.1007/BF01580381. The polytope is replaced by the hull of the walls' arcs of
//! normals, whose vertex farthest against a direction the closed form of the least draft names.
//!
//! If the point `x` is not the origin, `x / |x|` is the best draw of all, tilt limit aside, with
//! least draft `asin |x|`; if it is, no draw makes every product positive.

use super::types::CertificateTerm;
use super::walls::{GuidingWall, WallNormal, worst_of_all};
use nalgebra::{DMatrix, DVector, Vector3};

/// Pure number. The point counts as the origin: the length allowed to a proof that no draw exists.
pub(super) const AT_ORIGIN: f64 = 1e-9;

/// Pure number. The point counts as nearest when nothing reaches farther back by more than this.
const NEAREST: f64 = 1e-13;

/// Points taken in, at most. Ten or so are usual.
const MAX_POINTS: usize = 400;

/// Pure number. Affine weights at or below this leave the corral.
const NO_WEIGHT: f64 = 1e-12;

/// The nearest point, and the normals it is a mean of.
#[derive(Debug, Clone)]
pub(super) struct NearestPoint {
    pub(super) point: Vector3<f64>,
    pub(super) terms: Vec<CertificateTerm>,
}

/// Finds it. `None` without walls.
pub(super) fn nearest_to_origin(walls: &[GuidingWall<'_>]) -> Option<NearestPoint> {
    let first = walls.first()?;
    let mut corral: Vec<(WallNormal, f64)> =
        vec![(first.normal(first.name.side.azimuth_rad()), 1.0)];
    let mut point = sum(&corral);
    for _ in 0..MAX_POINTS {
        let Some((worst, reach)) = worst_of_all(walls, &point) else {
            break;
        };
        // reach = n . x; nothing lies nearer once it is |x|².
        let length = point.norm();
        if length <= 1e-15 || length - reach / length <= NEAREST {
            break;
        }
        let before = corral.clone();
        corral.push((worst, 0.0));
        settle(&mut corral);
        let moved = sum(&corral);
        if corral.len() > 4 || moved.norm() >= length {
            // Rounding has the last word: keep what was better.
            corral = before;
            break;
        }
        point = moved;
    }
    Some(NearestPoint {
        point,
        terms: corral
            .into_iter()
            .map(|(n, weight)| CertificateTerm {
                wall: n.wall,
                azimuth_rad: n.azimuth_rad,
                normal: n.normal,
                weight,
            })
            .collect(),
    })
}

fn sum(corral: &[(WallNormal, f64)]) -> Vector3<f64> {
    corral
        .iter()
        .map(|(n, weight)| n.normal.as_ref() * *weight)
        .sum()
}

/// Wolfe's minor cycle: walks to the nearest point of the affine hull, dropping points whose
/// weight would turn negative on the way. Each turn drops one or ends, so it ends.
fn settle(corral: &mut Vec<(WallNormal, f64)>) {
    while corral.len() > 1 {
        let Some(affine) = affine_weights(corral) else {
            return;
        };
        let step = corral
            .iter()
            .zip(&affine)
            .filter(|(_, new)| **new <= NO_WEIGHT)
            .map(|((_, old), new)| old / (old - new))
            .filter(|step| step.is_finite())
            .fold(f64::INFINITY, f64::min);
        if step.is_infinite() {
            for (entry, new) in corral.iter_mut().zip(&affine) {
                entry.1 = *new;
            }
            return;
        }
        let step = step.clamp(0.0, 1.0);
        for (entry, new) in corral.iter_mut().zip(&affine) {
            entry.1 += step * (new - entry.1);
        }
        let count = corral.len();
        corral.retain(|(_, weight)| *weight > NO_WEIGHT);
        let total: f64 = corral.iter().map(|(_, weight)| weight).sum();
        for entry in corral.iter_mut() {
            entry.1 /= total;
        }
        if corral.len() == count {
            return;
        }
    }
    if let [only] = corral.as_mut_slice() {
        only.1 = 1.0;
    }
}

/// Weights, of either sign and with sum 1, of the point of the affine hull nearest to the origin.
fn affine_weights(corral: &[(WallNormal, f64)]) -> Option<Vec<f64>> {
    let (base, others) = corral.split_first()?;
    let p0 = base.0.normal.as_ref();
    let differences = DMatrix::from_fn(3, others.len(), |row, column| {
        others[column].0.normal[row] - p0[row]
    });
    let target = DVector::from_fn(3, |row, _| -p0[row]);
    let solution = differences.svd(true, true).solve(&target, 1e-12).ok()?;
    let rest: f64 = solution.iter().sum();
    Some(
        std::iter::once(1.0 - rest)
            .chain(solution.iter().copied())
            .collect(),
    )
}
