//! The residual ridge of a case: its zones, built once, and their readings for any draw.

use super::cluster::cluster;
use super::cut::{Cut, Grain};
use super::error::{RidgeError, RidgeRemark};
use super::facing::FacingAway;
use super::footprint::MarginFootprint;
use super::glance::{Depths, Glimpse, Looking};
use super::holes::{Holes, Unknown};
use super::judge::{blockout, deepen, judge};
use super::reading;
use super::smooth::SmoothNormals;
use super::stop::{Stop, never};
use super::surface::Surface;
use super::tolerance::{RIM_PIECE_MM, SAMPLE_EDGE_MM};
use super::types::{SeatZone, Told, UndercutSample, ZoneGlance, ZoneReading};
use super::view::{Axes, View};
use super::zone::ZoneSamples;
use crate::mesh::Mesh;
use crate::tolerance::MET_MM;
use nalgebra::{Point3, UnitVector3, Vector3};
use std::ops::RangeInclusive;
use std::sync::Arc;

/// The residual ridge: a cast with its seat zones. Immutable, so any number of threads may read it.
///
/// All readings are in the cast frame, in mm; sums are taken in a fixed order, so they do not
/// depend on the number of threads. Three ways to read, each dearer and closer than the last:
///
/// * [`Ridge::glance`], off a cast with fewer facets: for looking over many draws;
/// * [`Ridge::skim`], off the whole scan, the gauge held where it may be deepest;
/// * [`Ridge::read`], the accurate reading, the only one that is reported.
#[derive(Debug)]
pub struct Ridge {
    zones: Vec<SeatZone>,
    cut: Cut,
    /// The same cast with fewer facets, if that is worth it.
    light: Option<Light>,
    smooth: SmoothNormals,
    /// The holes of the scan, if it has any.
    holes: Option<Holes>,
    remarks: Vec<RidgeRemark>,
}

/// A cast with fewer facets, cut into the same zones.
#[derive(Debug)]
struct Light {
    cut: Cut,
    /// Per zone, area of the zone over its area here.
    scale: Vec<f64>,
    /// Of the zones of the scan itself.
    facing_away: FacingAway,
}

/// Of the scan itself.
/// Tuned: patches of 0.5 mm. Smaller takes more gauge readings, larger lets more samples seem
/// deepest.
const GRAIN: Grain = Grain {
    sample_edge_mm: SAMPLE_EDGE_MM,
    patch_mm: 0.5,
    rim_piece_mm: RIM_PIECE_MM,
};

/// Millimetres. Side of the cells in which vertices are joined for a glance.
/// Tuned: 0.5. On a curve of 2 mm radius the surface moves in by 0.01 mm; smaller costs time as its
/// square, larger shows in the depths of narrow undercuts.
const LIGHT_CELL_MM: f64 = 0.5;

/// Of the light cast: a sample is as large as a facet.
const LIGHT_GRAIN: Grain = Grain {
    sample_edge_mm: LIGHT_CELL_MM,
    patch_mm: 0.7,
    rim_piece_mm: 0.4,
};

/// The cast with joined vertices is used if it has at most this share of the facets; else the scan
/// itself, with fewer samples.
const LIGHT_ENOUGH: f64 = 0.7;

/// Area of a zone over its area on the light cast, where that is still the same zone.
/// Tuned: a fifth. On the sample casts it is within 2 %; much wider lets a sliver stand for a zone.
const ALIKE: RangeInclusive<f64> = 0.8..=1.25;

/// A zone's part of each facet: area times unit normal.
fn leans(surface: &Surface, zone: &ZoneSamples) -> Vec<Vector3<f64>> {
    let by_facet = zone.samples.chunk_by(|a, b| a.facet == b.facet);
    by_facet
        .map(|samples| {
            let area: f64 = samples.iter().map(|sample| sample.area).sum();
            surface.normals[samples[0].facet as usize] * area
        })
        .collect()
}

impl Light {
    fn new(cut: &Cut, zones: &[SeatZone], margins: &[MarginFootprint]) -> Option<Self> {
        let clustered = cluster(&cut.surface, LIGHT_CELL_MM);
        let share = clustered.triangles.len() as f64 / cut.surface.triangles.len() as f64;
        let mesh = if share > LIGHT_ENOUGH {
            cut.surface.mesh()
        } else {
            Arc::new(clustered)
        };
        // What is to be said of the zones is said of the scan itself. If some zone is too thin for a
        // light cast, all are read off the scan: slower, but never off what is left of a zone.
        let light = Cut::new(
            mesh,
            zones,
            margins,
            LIGHT_GRAIN,
            Some(cut),
            &mut Vec::new(),
        )
        .ok()?;
        let scale = cut.zones.iter().zip(&light.zones);
        let scale: Vec<f64> = scale
            .map(|(all, light)| all.area_mm2 / light.area_mm2)
            .collect();
        if scale.iter().any(|scale| !ALIKE.contains(scale)) {
            return None;
        }
        let leans = cut.zones.iter().map(|zone| leans(&cut.surface, zone));
        Some(Self {
            cut: light,
            scale,
            facing_away: FacingAway::new(leans.collect()),
        })
    }
}

impl Ridge {
    /// Cuts the zones out of the cast.
    ///
    /// A zone is the part of the cast whose x-y lies inside its outline and z inside its range,
    /// without what lies inside a grown margin ellipse, and of that the pieces connected, inside
    /// those bounds, to surface first met when looking along -z. Facets are cut at the border, and
    /// into samples with no edge longer than 0.25 mm. No zones at all is valid.
    ///
    /// # Errors
    /// [`RidgeError`]: a cast without facets, with broken facets or inside out; a zone whose outline
    /// bounds no area, that holds nothing, only hidden surface, or far too much.
    pub fn new(
        cast: Arc<Mesh>,
        zones: &[SeatZone],
        margins: &[MarginFootprint],
    ) -> Result<Self, RidgeError> {
        let mut remarks = Vec::new();
        let cut = Cut::new(cast, zones, margins, GRAIN, None, &mut remarks)?;
        Ok(Self {
            zones: zones.to_vec(),
            light: Light::new(&cut, zones, margins),
            smooth: SmoothNormals::new(&cut.surface),
            holes: Holes::of(&cut.surface),
            cut,
            remarks,
        })
    }

    /// The zones, as they were asked for.
    pub fn zones(&self) -> &[SeatZone] {
        &self.zones
    }

    /// Area of each zone, mm²; the same for every draw.
    pub fn areas_mm2(&self) -> Vec<f64> {
        self.cut.zones.iter().map(|zone| zone.area_mm2).collect()
    }

    /// What is worth knowing about the zones, whatever the draw.
    pub fn remarks(&self) -> &[RidgeRemark] {
        &self.remarks
    }

    /// Everything a draw costs on each zone, in the order of the zones.
    ///
    /// Cost: every facet once, and the gauge held to every undercut sample.
    pub fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.read_against(d, &self.zones)
    }

    /// As [`Ridge::read`], with the limits of other zones, of the same places and in the same order.
    pub fn read_against(&self, d: &UnitVector3<f64>, zones: &[SeatZone]) -> Vec<ZoneReading> {
        let looked = self.cut.look(d);
        let holes = self.holes.as_ref().map(|holes| holes.along(d));
        self.cut
            .zones
            .iter()
            .zip(zones)
            .map(|(zone, limits)| {
                let mut judged = judge(&looked, &zone.samples);
                let mut known = zone.samples.clone();
                let mut unknown = Unknown::default();
                if let Some(holes) = &holes {
                    unknown = holes.take_out(&looked.view, &mut known, &mut judged);
                }
                let deep = deepen(&looked.view, &known, &judged);
                let (undercut_depth_mm, depth_capped) = reading::depth(&deep);
                let (blockout_mm3, blockout_open) =
                    blockout(&looked.view, &known, |_| true, &never);
                let may_stay_mm = limits.may_stay_mm() + MET_MM;
                let is_owed = |i: usize| judged[i].reach.depth_mm > may_stay_mm;
                let (blockout_owed_mm3, _) = blockout(&looked.view, &known, is_owed, &never);
                ZoneReading {
                    area_mm2: zone.area_mm2,
                    undercut_depth_mm,
                    depth_capped,
                    undercut_area_mm2: deep.iter().map(|d| d.area).sum(),
                    blockout_mm3,
                    blockout_owed_mm3,
                    blockout_open,
                    area_beyond_mm2: reading::area_beyond(&deep),
                    unknown_area_mm2: unknown.area_mm2,
                    unknown_at: unknown.at,
                }
            })
            .collect()
    }

    /// Depth, undercut area and blockout of each zone off the whole scan; `None` if `stop` said so.
    ///
    /// Area and blockout are those of [`Ridge::read`]. The depth is too, unless a point is more
    /// than 0.04 mm deeper than the gauge, held to its patch of half a millimetre, lets one expect.
    /// With nothing told, sectors are not told apart: there is one for each zone.
    pub fn skim(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        let zones = glimpses(&self.cut, told, Depths::Whole, d, stop)?;
        Some(zones.into_iter().map(|zone| zone.glance).collect())
    }

    /// Depths, undercut area and blockout of each zone off a cast with fewer facets, their vertices
    /// means over 0.5 mm; `None` if `stop` said so. The area that faces away is that of the scan
    /// itself, for which it is enough to look at normals. A scan that is hardly finer than that is
    /// looked at itself, at samples half a millimetre wide.
    ///
    /// Not guaranteed to be close to [`Ridge::read`]: who uses it compares some draws.
    pub fn glance(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        let cut = self.light.as_ref().map_or(&self.cut, |light| &light.cut);
        let glimpses = glimpses(cut, told, Depths::BySector, d, stop)?;
        let Some(light) = &self.light else {
            return Some(glimpses.into_iter().map(|glimpse| glimpse.glance).collect());
        };
        let away_mm2 = light.facing_away.areas_mm2(d);
        let scaled = |((glimpse, scale), away_mm2): ((Glimpse, &f64), f64)| ZoneGlance {
            undercut_area_mm2: away_mm2 + scale * glimpse.overhung_mm2,
            blockout_mm3: scale * glimpse.glance.blockout_mm3,
            ..glimpse.glance
        };
        let zones = glimpses.into_iter().zip(&light.scale).zip(away_mm2);
        Some(zones.map(scaled).collect())
    }

    /// The survey line (height of contour): polylines on the cast where its smoothed surface is
    /// parallel to `d`, as far as they are seen along `d`. A closed line repeats its first point.
    pub fn survey_line(&self, d: &UnitVector3<f64>) -> Vec<Vec<Point3<f64>>> {
        let view = View::new(&self.cut.surface, Axes::along(d.into_inner()), None);
        crate::survey_line::trace(&view, &self.smooth)
    }

    /// Every sample of every zone, in the order of the zones and of the facets: for pictures, and
    /// for checks by other means.
    pub fn undercut_samples(&self, d: &UnitVector3<f64>) -> Vec<Vec<UndercutSample>> {
        let looked = self.cut.look(d);
        self.cut
            .zones
            .iter()
            .map(|zone| {
                let judged = judge(&looked, &zone.samples);
                zone.samples
                    .iter()
                    .zip(judged)
                    .map(|(sample, judged)| UndercutSample {
                        position: sample.centroid(),
                        area_mm2: sample.area,
                        facet: sample.facet,
                        depth_mm: judged.undercut.then_some(judged.reach.depth_mm),
                        capped: judged.undercut && judged.reach.capped,
                    })
                    .collect()
            })
            .collect()
    }
}

/// `otherwise`: what is asked where nothing is told.
fn glimpses(
    cut: &Cut,
    told: Told<'_>,
    otherwise: Depths<'static>,
    d: &UnitVector3<f64>,
    stop: &Stop<'_>,
) -> Option<Vec<Glimpse>> {
    let looking = Looking::along(cut, d, stop)?;
    (0..cut.zones.len())
        .map(|zone| {
            let told = told.and_then(|told| told.get(zone));
            looking.glance(zone, told.map_or(otherwise, |told| Depths::Told(told)))
        })
        .collect()
}
