//! The residual ridge of a case: its zones, built once, and their readings for any draw.

use super::bounds::{Asked, Bounds, Known};
use super::cone::{DepthAsk, DepthCone, SampleCone, ZoneCone};
use super::cut::{Cut, Looked};
use super::deepest::Deepest;
use super::error::{RidgeError, RidgeRemark};
use super::footprint::MarginFootprint;
use super::heights::{Blocks, Heights};
use super::judge::{blockout, judge};
use super::patches::Patches;
use super::smooth::SmoothNormals;
use super::stop::{Stop, never};
use super::tolerance::{DEPTH_CAP_MM, GAUGE_STEPS_MM};
use super::types::{SeatZone, UndercutSample, ZonePreview, ZoneReading};
use super::zone::ZoneSamples;
use crate::mesh::Mesh;
use nalgebra::{Point3, UnitVector3};
use std::sync::Arc;

/// The residual ridge: a cast with its seat zones. Immutable, so any number of threads may read it.
///
/// All readings are in the cast frame, in mm; sums are taken in a fixed order, so they do not
/// depend on the number of threads. Three ways to read, which agree to the bit on what they share:
///
/// * [`Ridge::preview`]: depth, undercut area and blockout, for a draw that is being moved;
/// * [`Ridge::read`]: these and the areas beyond the gauge steps;
/// * [`Ridge::depths`]: depths, and what they say of the draws around.
#[derive(Debug)]
pub struct Ridge {
    zones: Vec<SeatZone>,
    cut: Cut,
    blocks: Blocks,
    smooth: SmoothNormals,
    remarks: Vec<RidgeRemark>,
}

/// The greatest depth of a sample and which it is; its middle and the room it needs.
type Bound = ((f64, u32), (Point3<f64>, f64));

/// Millimetres. How far around what is looked at scan is looked for that may come over a way's end for
/// other draws of a cone: at 30 mm of height, for all within 40 degrees.
const AROUND_MM: f64 = 30.0;

/// Millimetres. How much farther than they are known to need samples are looked around: separates bounds
/// from rounding.
const SLACK_MM: f64 = 0.01;

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
        let cut = Cut::new(cast, zones, margins, &mut remarks)?;
        Ok(Self {
            zones: zones.to_vec(),
            smooth: SmoothNormals::new(&cut.surface),
            blocks: Blocks::new(&cut.surface),
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
    /// Cost: every facet once, and the gauge held where it decides: see `bounds`.
    pub fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        self.try_read(d, Asked::Steps, &never)
            .unwrap_or_else(|| unreachable!("nothing stops it"))
    }

    /// What a draw costs on each zone, but for the areas beyond the gauge steps; `None` if `stop` said
    /// so.
    ///
    /// Accuracy: no figure differs from that of [`Ridge::read`].
    pub fn preview(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<ZonePreview>> {
        let zones = self.try_read(d, Asked::Depth, stop)?;
        let preview = |zone: ZoneReading| ZonePreview {
            depth_mm: zone.undercut_depth_mm,
            depth_capped: zone.depth_capped,
            undercut_area_mm2: zone.undercut_area_mm2,
            blockout_mm3: zone.blockout_mm3,
        };
        Some(zones.into_iter().map(preview).collect())
    }

    /// A reading of each zone, its areas beyond the gauge steps only if they are asked for.
    fn try_read(
        &self,
        d: &UnitVector3<f64>,
        asked: Asked,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneReading>> {
        let looked = self.cut.try_look(d, stop)?;
        let heights = self.heights(&looked);
        let of_zone = |(zone, patches): (&ZoneSamples, &Patches)| {
            let samples = zone.samples.as_slice();
            let bounds = Bounds {
                looked: &looked,
                samples,
                patches,
                stop,
            };
            let deepest = Deepest {
                looked: &looked,
                heights: &heights,
                samples,
                cone_rad: 0.0,
                stop,
            };
            let known = bounds.of(asked)?;
            let area = |counts: &dyn Fn(&Known) -> bool| {
                let counted = samples
                    .iter()
                    .zip(&known)
                    .filter(|(_, known)| counts(known));
                counted
                    .map(|(sample, _)| sample.area)
                    .fold(0.0, |all, area| all + area)
            };
            let undercut_area_mm2 = area(&|known| known.undercut);
            let area_beyond_mm2 = GAUGE_STEPS_MM.map(|step| area(&|known| known.is_beyond(step)));
            let unknown = || {
                samples
                    .iter()
                    .zip(&known)
                    .filter(|(_, known)| known.unknown)
            };
            let unknown_at = unknown().next().map(|(sample, _)| sample.centroid());
            let unknown_area_mm2 = area(&|known| known.unknown);
            let (blockout_mm3, blockout_open) =
                blockout(&looked.sight, samples, |i| !known[i].unknown, stop);
            let (undercut_depth_mm, depth_capped) = bounds.depth(known, &deepest)?;
            (!stop()).then_some(ZoneReading {
                area_mm2: zone.area_mm2,
                undercut_depth_mm,
                depth_capped,
                undercut_area_mm2,
                blockout_mm3,
                blockout_open,
                area_beyond_mm2,
                unknown_area_mm2,
                unknown_at,
            })
        };
        let zones = self.cut.zones.iter().zip(&self.cut.patches);
        zones.map(of_zone).collect()
    }

    fn heights(&self, looked: &Looked<'_>) -> Heights {
        Heights::new(
            &self.blocks,
            &looked.sight.axes,
            looked.frame.grown(AROUND_MM),
        )
    }

    /// The depths of all zones at a draw, as [`Ridge::read`] has them, and what bounds them over a cone
    /// of draws about it; `None` if `stop` said so.
    pub fn depths(
        &self,
        d: &UnitVector3<f64>,
        ask: &DepthAsk<'_>,
        stop: &Stop<'_>,
    ) -> Option<DepthCone> {
        let near = ask.within.map(|within| self.bounds(d, ask, within));
        let looked = match &near {
            Some(near) => {
                let points: Vec<(Point3<f64>, f64)> = near.iter().flatten().map(|b| b.1).collect();
                self.cut.try_look_near(d, &points, stop)?
            }
            None => self.cut.try_look(d, stop)?,
        };
        let heights = self.heights(&looked);
        let zone = |(zone, samples): (usize, &ZoneSamples)| {
            let floor_mm = ask.floors_mm.get(zone).copied().unwrap_or(0.0);
            if floor_mm >= DEPTH_CAP_MM {
                return Some(ZoneCone {
                    samples: Vec::new(),
                    rest_mm: DEPTH_CAP_MM,
                });
            }
            let deepest = Deepest {
                looked: &looked,
                heights: &heights,
                samples: &samples.samples,
                cone_rad: ask.cone_rad,
                stop,
            };
            let Some(near) = &near else {
                let all: Vec<u32> = (0..).zip(&samples.samples).map(|(i, _)| i).collect();
                return deepest.read(&all, floor_mm);
            };
            let rest_mm = ask.within.and_then(|within| within.zones.get(zone));
            let rest_mm = rest_mm.map_or(0.0, |within| within.rest_mm);
            let bounds = near[zone].iter().map(|bound| bound.0).collect();
            deepest.read_corners(bounds, floor_mm, rest_mm)
        };
        let zones = self.cut.zones.iter().enumerate().map(zone);
        Some(DepthCone {
            direction: *d,
            cone_rad: ask.cone_rad,
            zones: zones.collect::<Option<_>>()?,
        })
    }

    /// What a reading says beforehand of the samples it left open: zone by zone, how deep each may be over
    /// the cone that is asked for, and where it is and what room it needs at the draw itself.
    fn bounds(
        &self,
        d: &UnitVector3<f64>,
        ask: &DepthAsk<'_>,
        within: &DepthCone,
    ) -> Vec<Vec<Bound>> {
        let away_rad = within.direction.angle(d);
        let of_zone = |(zone, samples): (usize, &ZoneSamples)| {
            let floor_mm = ask.floors_mm.get(zone).copied().unwrap_or(0.0);
            let kept = within.zones.get(zone).map_or(&[][..], |zone| &zone.samples);
            let kept = if floor_mm >= DEPTH_CAP_MM { &[] } else { kept };
            let bound = |kept: &SampleCone| {
                let sample = &samples.samples[kept.sample as usize];
                let most = |rad: f64| {
                    let corners = kept.corners.iter().map(|point| point.most_mm(rad));
                    corners.fold(0.0, f64::max)
                };
                let middle = sample.centroid();
                let far = sample.corners.iter().map(|p| (p - middle).norm());
                let reach_mm = most(away_rad) + far.fold(SLACK_MM, f64::max);
                (
                    (most(away_rad + ask.cone_rad), kept.sample),
                    (middle, reach_mm),
                )
            };
            kept.iter().map(bound).collect()
        };
        self.cut.zones.iter().enumerate().map(of_zone).collect()
    }

    /// The survey line (height of contour): polylines on the cast where its smoothed surface is
    /// parallel to `d`, as far as they are seen along `d`. A closed line repeats its first point.
    pub fn survey_line(&self, d: &UnitVector3<f64>) -> Vec<Vec<Point3<f64>>> {
        crate::survey_line::trace(&self.cut.sight_along(d), &self.smooth)
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
                        depth_mm: judged.undercut.then_some(judged.depth_mm),
                        capped: judged.capped,
                    })
                    .collect()
            })
            .collect()
    }
}
