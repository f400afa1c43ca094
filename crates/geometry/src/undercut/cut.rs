//! A cast cut into zones, and how it is looked at along a draw.

use super::clip::Bounds;
use super::error::{RidgeError, RidgeRemark};
use super::footprint::MarginFootprint;
use super::gauge::Gauge;
use super::outline::Outline;
use super::patches::Patches;
use super::plan::{Axes, Frame, Plan};
use super::region::Cubes;
use super::samples::Sample;
use super::sight::Sight;
use super::stop::{Stop, never};
use super::surface::Surface;
use super::tolerance::{DEPTH_CAP_MM, OFF_RAD, SAMPLE_EDGE_MM};
use super::tree::Tree;
use super::types::SeatZone;
use super::undersides::Undersides;
use super::zone::{ZoneSamples, sample_zone};
use crate::mesh::{Facing, Mesh, check};
use nalgebra::{Point3, UnitVector3, Vector3};
use rayon::prelude::*;
use std::sync::Arc;

/// A cast with the samples of its zones.
#[derive(Debug)]
pub(crate) struct Cut {
    pub(crate) surface: Surface,
    tree: Tree,
    cubes: Cubes,
    pub(crate) zones: Vec<ZoneSamples>,
    pub(crate) patches: Vec<Patches>,
    /// Corners of boxes that hold all samples.
    around: Vec<Point3<f64>>,
}

/// The cast along one draw, as far as the zones and the gauge's reach around them need it.
#[derive(Debug, Clone)]
pub(crate) struct Looked<'a> {
    pub(crate) sight: Sight<'a>,
    /// The part of the plan that is looked at.
    pub(crate) frame: Frame,
    undersides: Arc<Undersides>,
}

impl Looked<'_> {
    pub(crate) fn gauge(&self) -> Gauge<'_> {
        Gauge {
            sight: &self.sight,
            undersides: &self.undersides,
        }
    }
}

impl Cut {
    /// Cuts the zones out of a cast and samples them.
    pub(crate) fn new(
        cast: Arc<Mesh>,
        zones: &[SeatZone],
        margins: &[MarginFootprint],
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
        let tree = Tree::new(&surface);
        let samples = samples_of(&surface, &tree, zones, margins, SAMPLE_EDGE_MM, remarks)?;
        let patches = samples
            .par_iter()
            .map(|zone| Patches::new(&surface, &tree, &zone.samples))
            .collect();
        let around = samples
            .iter()
            .flat_map(|zone| zone.samples.chunks(BOXED))
            .flat_map(box_around)
            .collect();
        Ok(Self {
            tree,
            cubes: Cubes::new(&surface),
            surface,
            zones: samples,
            patches,
            around,
        })
    }

    /// Looks along a draw, or nearly: see [`OFF_RAD`].
    pub(crate) fn look(&self, d: &UnitVector3<f64>) -> Looked<'_> {
        self.try_look(d, &never)
            .unwrap_or_else(|| unreachable!("nothing stops it"))
    }

    /// As [`Cut::look`]; `None` if it was stopped.
    pub(crate) fn try_look(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Looked<'_>> {
        let sight = self.sight(d);
        let around = self.around.iter().map(|p| sight.see_point(p).0);
        let frame = Frame::around(around).grown(REACH_MM);
        let undersides = Undersides::try_new(&sight, &self.cubes.all(&sight), &frame, stop)?;
        Some(Looked {
            sight,
            frame,
            undersides: Arc::new(undersides),
        })
    }

    /// The cast along a draw as far as some points need it, each with the room it is known to need;
    /// `None` if it was stopped.
    pub(crate) fn try_look_near(
        &self,
        d: &UnitVector3<f64>,
        points: &[(Point3<f64>, f64)],
        stop: &Stop<'_>,
    ) -> Option<Looked<'_>> {
        let sight = self.sight(d);
        let seen = points
            .iter()
            .map(|(p, reach)| (sight.see_point(p).0, *reach));
        let places: Vec<(Plan, f64)> = seen.collect();
        let frame = Frame::around(places.iter().map(|(at, _)| *at)).grown(REACH_MM);
        let edges = self.cubes.near(&sight, &places);
        let undersides = Undersides::try_new(&sight, &edges, &frame, stop)?;
        Some(Looked {
            sight,
            frame,
            undersides: Arc::new(undersides),
        })
    }

    /// The cast along just this draw.
    pub(crate) fn sight_along(&self, d: &UnitVector3<f64>) -> Sight<'_> {
        Sight::new(&self.surface, &self.tree, Axes::along(d.into_inner()))
    }

    pub(crate) fn sight(&self, d: &UnitVector3<f64>) -> Sight<'_> {
        Sight::new(&self.surface, &self.tree, Axes::along(a_little_off(d)))
    }
}

/// Millimetres. What lies farther than this from every sample is out of the gauge's reach.
pub(crate) const REACH_MM: f64 = DEPTH_CAP_MM + 0.5;

/// A draw turned a little toward nothing in particular.
pub(crate) fn a_little_off(d: &UnitVector3<f64>) -> Vector3<f64> {
    let off = Vector3::new(0.612, 0.354, 0.709);
    let turned = d.into_inner() + OFF_RAD * off;
    turned / turned.norm()
}

fn samples_of(
    surface: &Surface,
    tree: &Tree,
    zones: &[SeatZone],
    margins: &[MarginFootprint],
    edge_mm: f64,
    remarks: &mut Vec<RidgeRemark>,
) -> Result<Vec<ZoneSamples>, RidgeError> {
    let from_above = Sight::new(surface, tree, Axes::along(Vector3::z()));
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
fn share_facing_away(sight: &Sight<'_>) -> f64 {
    let seen: Vec<f64> = (0..sight.surface.own_facets)
        .into_par_iter()
        .map(|facet| {
            let [a, b, c] = sight.surface.corners(facet);
            let middle = Point3::from((a.coords + b.coords + c.coords) / 3.0);
            let (at, height) = sight.see_point(&middle);
            let own = u32::try_from(facet).ok();
            if own.is_none_or(|own| sight.facing(own) == 0) || sight.covered(at, height, own) {
                0.0
            } else {
                sight.surface.areas[facet] * sight.surface.normals[facet].dot(&sight.axes.up)
            }
        })
        .collect();
    let away: f64 = seen.iter().map(|&a| (-a).max(0.0)).sum();
    let all: f64 = seen.iter().map(|a| a.abs()).sum();
    if all > 0.0 { away / all } else { 0.0 }
}
