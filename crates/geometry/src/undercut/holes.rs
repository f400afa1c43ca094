//! What the holes of a scan hide from a reading.
//!
//! A hole is not sky: what was not seen there may cover a point, or stop its way out. So a sample whose
//! line along the draw meets a filling of a hole, or whose way out ends under one, is unknown, and left
//! out of the figures. What a way passes beside on its way is not asked.

use super::judge::Judged;
use super::samples::Sample;
use super::surface::Surface;
use super::tolerance::{BEYOND_RIM_MM, START_MM};
use super::view::{Axes, View};
use crate::mesh::{Mesh, fill_holes};
use nalgebra::{Point3, UnitVector3};
use std::sync::Arc;

/// The fillings of a scan's holes, a surface of their own.
#[derive(Debug)]
pub(crate) struct Holes(Surface);

/// The fillings along one draw.
pub(crate) struct HolesAlong<'a>(View<'a>);

/// The part of a zone that is unknown.
#[derive(Debug, Default)]
pub(crate) struct Unknown {
    pub(crate) area_mm2: f64,
    /// A place of it.
    pub(crate) at: Option<Point3<f64>>,
}

impl Holes {
    /// `None` of a scan without holes.
    pub(crate) fn of(surface: &Surface) -> Option<Self> {
        // With vertices at the very same place made one, as the surface has them.
        let scan = Mesh {
            vertices: surface.vertices().to_vec(),
            triangles: surface.triangles.clone(),
        };
        let filled = fill_holes(&scan);
        let triangles = filled.mesh.triangles[filled.own_facets..].to_vec();
        let fillings = Mesh {
            vertices: filled.mesh.vertices,
            triangles,
        };
        (!fillings.triangles.is_empty()).then(|| Self(Surface::new(Arc::new(fillings))))
    }

    pub(crate) fn along(&self, d: &UnitVector3<f64>) -> HolesAlong<'_> {
        HolesAlong(View::new(&self.0, Axes::along(d.into_inner()), None))
    }
}

impl HolesAlong<'_> {
    /// Takes the unknown samples out of those that were judged.
    pub(crate) fn take_out(
        &self,
        view: &View<'_>,
        samples: &mut Vec<Sample>,
        judged: &mut Vec<Judged>,
    ) -> Unknown {
        let mut unknown = Unknown::default();
        let mut known = Vec::with_capacity(samples.len());
        for (sample, judged) in samples.iter().zip(judged.iter()) {
            let is_known = !self.hides(view, sample, judged);
            if !is_known {
                unknown.area_mm2 += sample.area;
                unknown.at = unknown.at.or(Some(sample.centroid()));
            }
            known.push(is_known);
        }
        let mut of_sample = known.iter();
        samples.retain(|_| of_sample.next().copied().unwrap_or(true));
        let mut of_judged = known.iter();
        judged.retain(|_| of_judged.next().copied().unwrap_or(true));
        unknown
    }

    /// Whether a filling lies over a sample, or over where its way comes out.
    fn hides(&self, view: &View<'_>, sample: &Sample, judged: &Judged) -> bool {
        let (at, height) = view.see_point(&sample.centroid());
        let height = height + START_MM;
        let out = judged.reach.depth_mm + 2.0 * BEYOND_RIM_MM;
        let end = [0, 1].map(|k| at[k] + out * judged.reach.toward[k]);
        self.0.covered(at, height, None)
            || (judged.undercut && !judged.reach.capped && self.0.covered(end, height, None))
    }
}
