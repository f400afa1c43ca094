//! A cast cut into zones, and how it is looked at along a draw.

use super::clip::Bounds;
use super::error::{RidgeError, RidgeRemark};
use super::footprint::MarginFootprint;
use super::gauge::Gauge;
use super::groups::Groups;
use super::outline::Outline;
use super::rim::Rims;
use super::samples::Sample;
use super::stop::{Stop, never};
use super::surface::Surface;
use super::tolerance::DEPTH_CAP_MM;
use super::types::SeatZone;
use super::view::{Axes, Frame, View};
use super::zone::{ZoneSamples, sample_zone};
use crate::mesh::{Facing, Mesh, check};
use nalgebra::{Point3, UnitVector3, Vector3};
use rayon::prelude::*;
use std::sync::Arc;

/// A cast with the samples of its zones.
#[derive(Debug)]
pub(crate) struct Cut {
    pub(crate) surface: Surface,
    pub(crate) zones: Vec<ZoneSamples>,
    pub(crate) groups: Vec<Groups>,
    rim_piece_mm: f64,
    /// Corners of boxes that hold all samples.
    around: Vec<Point3<f64>>,
}

/// The cast along one draw, as far as the zones and the gauge's reach around them need it.
#[derive(Debug)]
pub(crate) struct Looked<'a> {
    pub(crate) view: View<'a>,
    rims: Rims,
}

impl Looked<'_> {
    pub(crate) fn gauge(&self) -> Gauge<'_> {
        Gauge {
            view: &self.view,
            rims: &self.rims,
        }
    }
}

/// How finely zones are sampled.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_field_names, reason = "each names its unit")]
pub(crate) struct Grain {
    /// No edge of a sample is longer.
    pub(crate) sample_edge_mm: f64,
    /// Side of the patches the gauge is first held to.
    pub(crate) patch_mm: f64,
    /// A rim piece is no longer.
    pub(crate) rim_piece_mm: f64,
}

impl Cut {
    /// `like`: the same zones cut out of the scan itself, whose sectors to keep to.
    pub(crate) fn new(
        cast: Arc<Mesh>,
        zones: &[SeatZone],
        margins: &[MarginFootprint],
        grain: Grain,
        like: Option<&Self>,
        remarks: &mut Vec<RidgeRemark>,
    ) -> Result<Self, RidgeError> {
        let good = |&v: &u32| {
            cast.vertices
                .get(v as usize)
                .is_some_and(|p| p.iter().all(|x| x.is_finite()))
        };
        if let Some(facet) = cast.triangles.iter().position(|t| !t.iter().all(good)) {
            return Err(RidgeError::BadFacet { facet });
        }
        let surface = Surface::new(cast);
        if surface.areas.iter().all(|&a| a <= 0.0) {
            return Err(RidgeError::EmptyMesh {
                facets: surface.areas.len(),
            });
        }
        let samples = samples_of(&surface, zones, margins, grain.sample_edge_mm, remarks)?;
        let groups = samples
            .iter()
            .enumerate()
            .map(|(zone, samples)| {
                let like = like.and_then(|cut| cut.groups.get(zone));
                Groups::new(&samples.samples, &surface.normals, grain.patch_mm, like)
            })
            .collect();
        let around = samples
            .iter()
            .flat_map(|zone| zone.samples.chunks(BOXED))
            .flat_map(box_around)
            .collect();
        Ok(Self {
            surface,
            zones: samples,
            groups,
            rim_piece_mm: grain.rim_piece_mm,
            around,
        })
    }

    /// Looks along a draw.
    pub(crate) fn look(&self, d: &UnitVector3<f64>) -> Looked<'_> {
        let looked = || {
            let view = self.try_view(d, &never)?;
            let rims = self.try_rims(&view, &never)?;
            Some(Looked { view, rims })
        };
        looked().unwrap_or_else(|| unreachable!("nothing stops it"))
    }

    /// The cast along a draw, without rims.
    pub(crate) fn try_view(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<View<'_>> {
        let axes = Axes::along(d.into_inner());
        let frame = Frame::around(self.around.iter().map(|p| axes.see(&p.coords).0));
        View::try_new(&self.surface, axes, Some(frame.grown(REACH_MM)), stop)
    }

    /// All rims the gauge may find from a sample.
    pub(crate) fn try_rims(&self, view: &View<'_>, stop: &Stop<'_>) -> Option<Rims> {
        self.rims_around(view, self.around.iter().copied(), REACH_MM, stop)
    }

    /// The rims within a distance of the box around some points.
    pub(crate) fn rims_around(
        &self,
        view: &View<'_>,
        points: impl Iterator<Item = Point3<f64>>,
        reach_mm: f64,
        stop: &Stop<'_>,
    ) -> Option<Rims> {
        let mut lowest = f64::INFINITY;
        let frame = Frame::around(points.map(|p| {
            let (at, height) = view.see_point(&p);
            lowest = lowest.min(height);
            at
        }));
        let wanted = frame.grown(reach_mm);
        Rims::try_new(view, wanted, lowest, self.rim_piece_mm, stop)
    }
}

/// Millimetres. What lies farther than this from every sample is out of the gauge's reach.
const REACH_MM: f64 = DEPTH_CAP_MM + 0.5;

fn samples_of(
    surface: &Surface,
    zones: &[SeatZone],
    margins: &[MarginFootprint],
    edge_mm: f64,
    remarks: &mut Vec<RidgeRemark>,
) -> Result<Vec<ZoneSamples>, RidgeError> {
    let from_above = View::new(surface, Axes::along(Vector3::z()), None);
    let share = share_facing_away(&from_above);
    if share > 0.5 {
        return Err(turned(&surface.mesh(), share));
    }
    zones
        .iter()
        .map(|zone| {
            let outline =
                Outline::new(&zone.outline).map_err(|problem| RidgeError::BadOutline {
                    zone: zone.name.clone(),
                    problem,
                })?;
            let half_spaces = margins.iter().map(MarginFootprint::half_spaces).collect();
            let bounds = Bounds::new(outline, zone.z_range, half_spaces);
            sample_zone(zone, &bounds, &from_above, edge_mm, remarks)
        })
        .collect()
}

/// Why most of what is seen from above faces away. A scan whose largest piece faces outward by itself,
/// its borders closed, is looked at from below; any other is taken to be inside out.
fn turned(mesh: &Mesh, share: f64) -> RidgeError {
    let facing = check(mesh).ok().and_then(|health| {
        let pieces = health.pieces.iter();
        let largest = pieces.max_by(|a, b| a.area.total_cmp(&b.area))?;
        Some(largest.facing)
    });
    match facing {
        Some(Facing::Outward | Facing::LikelyOutward) => RidgeError::OcclusalIntoCast { share },
        _ => RidgeError::InsideOut { share },
    }
}

/// Samples that share one box.
const BOXED: usize = 256;

/// The corners of the box, along the axes of the cast, around some samples.
fn box_around(samples: &[Sample]) -> [Point3<f64>; 8] {
    let mut low = Vector3::repeat(f64::INFINITY);
    let mut high = Vector3::repeat(f64::NEG_INFINITY);
    for corner in samples.iter().flat_map(|sample| &sample.corners) {
        low = low.inf(&corner.coords);
        high = high.sup(&corner.coords);
    }
    std::array::from_fn(|i| {
        let pick = |k: usize| if i >> k & 1 == 0 { low[k] } else { high[k] };
        Point3::new(pick(0), pick(1), pick(2))
    })
}

/// Share, by area in plan, of what is seen along the view that faces away from it.
fn share_facing_away(view: &View<'_>) -> f64 {
    let seen: Vec<f64> = (0..view.surface.triangles.len())
        .into_par_iter()
        .map(|facet| {
            let [a, b, c] = view.surface.corners(facet);
            let middle = Point3::from((a.coords + b.coords + c.coords) / 3.0);
            let (at, height) = view.see_point(&middle);
            let own = u32::try_from(facet).ok();
            if view.facing[facet] == 0 || view.covered(at, height, own) {
                0.0
            } else {
                view.surface.areas[facet] * view.surface.normals[facet].dot(&view.axes.up)
            }
        })
        .collect();
    let away: f64 = seen.iter().map(|&a| (-a).max(0.0)).sum();
    let all: f64 = seen.iter().map(|a| a.abs()).sum();
    if all > 0.0 { away / all } else { 0.0 }
}
