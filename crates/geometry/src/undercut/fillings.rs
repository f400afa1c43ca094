//! Facets that close holes of the scan, and what they leave unknown.
//!
//! What a hole hides was not seen, so nothing that leaves through it may be taken to reach the sky. The
//! facets that close it (`crate::mesh::holes`) cover what is under them and bar ways as the scan does, but
//! are no part of a zone. A point is **unknown** if its line along the draw meets one, or if its way out
//! passes under one: then the depth that was found stands on surface that nobody saw.

use super::sight::Sight;
use super::surface::Surface;
use crate::mesh::{Mesh, fill_holes};
use nalgebra::Point3;

/// A ball around a hole.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ball {
    middle: Point3<f64>,
    radius_mm: f64,
}

/// Closes the holes of a mesh whose triangles may have lost corners: adds facets, and vertices for them,
/// after its own, and says where.
pub(crate) fn fill(mesh: &mut Mesh) -> Vec<Ball> {
    let has_three = |[a, b, c]: &&[u32; 3]| a != b && b != c && c != a;
    let whole = Mesh {
        vertices: std::mem::take(&mut mesh.vertices),
        triangles: mesh.triangles.iter().filter(has_three).copied().collect(),
    };
    let filled = fill_holes(&whole);
    let added = &filled.mesh.triangles[filled.own_facets..];
    mesh.triangles.extend_from_slice(added);
    mesh.vertices = filled.mesh.vertices;
    let ball = |hole: &crate::mesh::Hole| {
        let around = hole.vertices.iter().map(|&v| mesh.vertices[v as usize]);
        let far = around.map(|p| (p - hole.centre).norm());
        Ball {
            middle: hole.centre,
            radius_mm: far.fold(0.0, f64::max),
        }
    };
    filled.holes.iter().map(ball).collect()
}

impl Surface {
    /// Whether a facet closes a hole.
    pub(crate) fn is_filling(&self, facet: u32) -> bool {
        facet as usize >= self.own_facets
    }
}

/// Whether a filling may come within a distance of the line from a point along any draw of a cone.
///
/// Derivation: a place `x` that is so near the line along another draw is at most `|xp| sin` farther from
/// the line along the draw itself; and a filling lies in the ball about its hole.
pub(crate) fn may_be_near(
    sight: &Sight<'_>,
    p: &Point3<f64>,
    within_mm: f64,
    cone_rad: f64,
) -> bool {
    let sin = cone_rad.min(std::f64::consts::FRAC_PI_2).sin();
    sight.surface.holes.iter().any(|ball| {
        let away = ball.middle - p;
        let ([x, y], _) = sight.axes.see(&away);
        x.hypot(y) <= within_mm + ball.radius_mm + (away.norm() + ball.radius_mm) * sin + SLACK_MM
    })
}

/// Millimetres. Separates a ball from the rounding of what touches it.
const SLACK_MM: f64 = 1e-6;
