//! The point nearest to the origin of the convex hull of all normals of all walls.
//!
//! Source: P. Wolfe, "Finding the nearest point in a polytope", Mathematical Programming 11 (1976)
//! 128-149, doi 10.1007/BF01580381. The polytope is replaced by the hull of the walls' arcs of
//! normals, whose vertex farthest against a direction the closed form of the least draft names.
//!
//! If the point `x` is not the origin, `x / |x|` is the best direction of all, tilt limit aside,
//! with least draft `asin |x|`; if it is, no direction makes every product positive. With +z added
//! to the normals the same holds of the directions that leave the cast.

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

/// What the hull is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum HullOf {
    /// The walls' normals.
    Normals,
    /// The walls' normals and +z: a draw leaves the cast.
    NormalsAndUp,
}

/// The nearest point, and what it is a mean of.
#[derive(Debug, Clone)]
pub(super) struct NearestPoint {
    /// Nearest point, for weights of the normals that sum to 1 (so not quite a point of the hull
    /// where +z has a weight): `sum w n + up_weight z`.
    pub(super) point: Vector3<f64>,
    /// The normals.
    pub(super) terms: Vec<CertificateTerm>,
    /// Weight of +z, relative to those of the normals.
    pub(super) up_weight: f64,
}

/// A point taken in, with its weight.
#[derive(Debug, Clone, Copy)]
struct Entry {
    vector: Vector3<f64>,
    /// `None` for +z.
    normal: Option<WallNormal>,
    weight: f64,
}

impl Entry {
    fn of(normal: WallNormal, weight: f64) -> Self {
        Self {
            vector: normal.normal.into_inner(),
            normal: Some(normal),
            weight,
        }
    }
}

/// Finds it. `None` without walls.
pub(super) fn nearest_to_origin(walls: &[GuidingWall<'_>], of: HullOf) -> Option<NearestPoint> {
    let first = walls.first()?;
    let mut corral = vec![Entry::of(first.normal(first.name.side.azimuth_rad()), 1.0)];
    let mut point = sum(&corral);
    for _ in 0..MAX_POINTS {
        let Some((worst, mut reach)) = worst_of_all(walls, &point) else {
            break;
        };
        let mut entry = Entry::of(worst, 0.0);
        if of == HullOf::NormalsAndUp && point.z < reach {
            reach = point.z;
            entry = Entry {
                vector: Vector3::z(),
                normal: None,
                weight: 0.0,
            };
        }
        // reach = n . x; nothing lies nearer once it is |x|².
        let length = point.norm();
        if length <= 1e-15 || length - reach / length <= NEAREST {
            break;
        }
        let before = corral.clone();
        corral.push(entry);
        settle(&mut corral);
        let moved = sum(&corral);
        if corral.len() > 4 || moved.norm() >= length {
            // Rounding has the last word: keep what was better.
            corral = before;
            break;
        }
        point = moved;
    }
    // At least one normal has a weight: +z alone is no nearer than the normal begun with, and
    // joins only where the two together are.
    let up: f64 = corral
        .iter()
        .filter(|entry| entry.normal.is_none())
        .map(|entry| entry.weight)
        .sum();
    let scale = 1.0 / (1.0 - up).max(NO_WEIGHT);
    Some(NearestPoint {
        point: point * scale,
        terms: corral
            .iter()
            .filter_map(|entry| {
                entry.normal.map(|n| CertificateTerm {
                    wall: n.wall,
                    azimuth_rad: n.azimuth_rad,
                    normal: n.normal,
                    weight: entry.weight * scale,
                })
            })
            .collect(),
        up_weight: up * scale,
    })
}

fn sum(corral: &[Entry]) -> Vector3<f64> {
    corral.iter().map(|entry| entry.vector * entry.weight).sum()
}

/// Wolfe's minor cycle: walks to the nearest point of the affine hull, dropping points whose
/// weight would turn negative on the way. Each turn drops one or ends, so it ends.
fn settle(corral: &mut Vec<Entry>) {
    while corral.len() > 1 {
        let Some(affine) = affine_weights(corral) else {
            return;
        };
        let step = corral
            .iter()
            .zip(&affine)
            .filter(|(_, new)| **new <= NO_WEIGHT)
            .map(|(entry, new)| entry.weight / (entry.weight - new))
            .filter(|step| step.is_finite())
            .fold(f64::INFINITY, f64::min);
        if step.is_infinite() {
            for (entry, new) in corral.iter_mut().zip(&affine) {
                entry.weight = *new;
            }
            return;
        }
        let step = step.clamp(0.0, 1.0);
        for (entry, new) in corral.iter_mut().zip(&affine) {
            entry.weight += step * (new - entry.weight);
        }
        let count = corral.len();
        corral.retain(|entry| entry.weight > NO_WEIGHT);
        let total: f64 = corral.iter().map(|entry| entry.weight).sum();
        for entry in corral.iter_mut() {
            entry.weight /= total;
        }
        if corral.len() == count {
            return;
        }
    }
    if let [only] = corral.as_mut_slice() {
        only.weight = 1.0;
    }
}

/// Weights, of either sign and with sum 1, of the point of the affine hull nearest to the origin.
fn affine_weights(corral: &[Entry]) -> Option<Vec<f64>> {
    let (base, others) = corral.split_first()?;
    let p0 = base.vector;
    let differences = DMatrix::from_fn(3, others.len(), |row, column| {
        others[column].vector[row] - p0[row]
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
