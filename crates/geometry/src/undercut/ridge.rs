//! The residual ridge of a case: its zones, built once, and their readings for any draw.

use super::bounds::{Asked, Bounds, Known};
use super::cone::{DepthAsk, DepthCone, PatchCone, SampleCone, Ways, ZoneCone};
use super::cut::{Cut, Looked, REACH_MM};
use super::deepest::{Deepest, Held, Left, Reading, Sieve, Step, WAYS_RAD};
use super::error::{RidgeError, RidgeRemark};
use super::footprint::MarginFootprint;
use super::heights::{Blocks, Heights};
use super::judge::{blockout, judge};
use super::open::Opened;
use super::plan::Frame;
use super::sight::Sight;
use super::smooth::SmoothNormals;
use super::stop::{Stop, never};
use super::tolerance::{DEPTH_CAP_MM, GAUGE_STEPS_MM};
use super::types::{SeatZone, UndercutSample, ZonePreview, ZoneReading};
use super::zone::ZoneSamples;
use crate::mesh::Mesh;
use nalgebra::{Point3, UnitVector3};
use rayon::prelude::*;
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

/// Millimetres. How far around what is looked at scan is looked for that may come over a way's end for
/// other draws of a cone: at 30 mm of height, for all within 40 degrees.
const AROUND_MM: f64 = 30.0;

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

    /// The blockout of each zone, mm³, but for what holes leave unknown, which counts here; `None` if `stop`
    /// said so.
    pub fn blockouts_mm3(&self, d: &UnitVector3<f64>, stop: &Stop<'_>) -> Option<Vec<f64>> {
        let sight = self.cut.sight(d);
        let zones = self.cut.zones.iter();
        let of_zone = |zone: &ZoneSamples| blockout(&sight, &zone.samples, |_| true, stop).0;
        let blockouts: Vec<f64> = zones.map(of_zone).collect();
        (!stop()).then_some(blockouts)
    }

    /// A reading of each zone, its areas beyond the gauge steps only if they are asked for.
    fn try_read(
        &self,
        d: &UnitVector3<f64>,
        asked: Asked,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneReading>> {
        let sight = self.cut.sight(d);
        let opened = Opened::new(&sight, 0.0);
        let looked = self.cut.try_look(d, stop)?;
        let heights = self.heights(&looked);
        let of_zone = |(number, zone): (usize, &ZoneSamples)| {
            let samples = zone.samples.as_slice();
            let sieve = self.sieve(number, &sight, &opened);
            let bounds = Bounds {
                looked: &looked,
                sieve,
                stop,
            };
            let deepest = Deepest {
                heights: &heights,
                sieve,
                ways: &Ways::default(),
                here: &opened,
                cone_rad: 0.0,
                floor_mm: 0.0,
                ceiling_mm: DEPTH_CAP_MM,
                stop,
            };
            let left = sieve.sift(sieve.all(), 0.0);
            let known = bounds.of(&left.patches, asked)?;
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
            let mut reading = Reading::new(deepest, left);
            while reading.step(&|_| Some(looked.clone()))? == Step::More {}
            let undercut_depth_mm = reading.finish().depth_mm;
            let depth_capped = undercut_depth_mm >= DEPTH_CAP_MM;
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
        self.cut.zones.iter().enumerate().map(of_zone).collect()
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
        let sight = self.cut.sight(d);
        let opened = Opened::new(&sight, ask.cone_rad);
        let here = Opened::new(&sight, 0.0);
        let mut most_mm = self.most_mm(d, ask);
        let mut places = Vec::new();
        let mut left = Vec::new();
        for zone in 0..self.zones.len() {
            let floor_mm = (ask.floor_mm)(zone, &most_mm);
            let of_zone = (floor_mm < DEPTH_CAP_MM).then(|| {
                let sieve = self.sieve(zone, &sight, &opened);
                let left = match ask.within {
                    Some(within) => self.left(zone, d, ask, within, floor_mm),
                    None => sieve.all(),
                };
                let of_zone = sieve.sift(left, floor_mm);
                places.extend(of_zone.patches.iter().map(|held| sieve.place(held)));
                of_zone
            });
            left.push(of_zone);
            if stop() {
                return None;
            }
        }
        let at = places.iter().map(|(p, _)| sight.see_point(p).0);
        let heights = Heights::new(
            &self.blocks,
            &sight.axes,
            Frame::around(at).grown(REACH_MM + AROUND_MM),
        );
        let look = |places: &[(Point3<f64>, f64)]| self.cut.try_look_near(d, places, stop);
        let no_ways = Ways::default();
        let mut readings: Vec<Option<Reading<'_>>> = Vec::new();
        for (zone, left) in left.into_iter().enumerate() {
            let within = ask.within.and_then(|within| within.zones.get(zone));
            let deepest = Deepest {
                heights: &heights,
                ways: within.map_or(&no_ways, |within| &within.ways),
                sieve: self.sieve(zone, &sight, &opened),
                here: &here,
                cone_rad: ask.cone_rad,
                floor_mm: (ask.floor_mm)(zone, &most_mm),
                ceiling_mm: ask.ceilings_mm.get(zone).copied().unwrap_or(DEPTH_CAP_MM),
                stop,
            };
            readings.push(left.map(|left| Reading::new(deepest, left)));
        }
        let mut zones = vec![ZoneCone::rest(DEPTH_CAP_MM); self.zones.len()];
        // The less deep first: how deep one is may say what of another matters.
        let mut order: Vec<usize> = (0..self.zones.len()).collect();
        order.sort_by(|&a, &b| most_mm[a].total_cmp(&most_mm[b]));
        let mut is_decided = false;
        while !order.is_empty() {
            let mut more = Vec::new();
            for &zone in &order {
                let Some(mut reading) = readings[zone].take() else {
                    continue;
                };
                // Where the cone is to be cut anyway, or no draw of it is wanted, the others stay known as they were.
                let is_left = is_decided && ask.within.is_some();
                reading.raise_floor((ask.floor_mm)(zone, &most_mm));
                match (!is_left).then(|| reading.step(&look)) {
                    Some(None) => return None,
                    Some(Some(Step::More)) => {
                        readings[zone] = Some(reading);
                        more.push(zone);
                        continue;
                    }
                    Some(Some(Step::Decided)) => is_decided = ask.cone_rad > WAYS_RAD,
                    Some(Some(Step::Done)) | None => (),
                }
                zones[zone] = reading.finish();
                most_mm[zone] = most_mm[zone].min(zones[zone].most_mm(ask.cone_rad));
            }
            order = more;
        }
        Some(DepthCone {
            direction: *d,
            cone_rad: ask.cone_rad,
            zones,
        })
    }

    /// How deep zones are over a cone at the most, as a reading over one that holds it says.
    fn most_mm(&self, d: &UnitVector3<f64>, ask: &DepthAsk<'_>) -> Vec<f64> {
        let known = |zone: usize| {
            let within = ask.within?;
            let rad = within.direction.angle(d) + ask.cone_rad;
            Some(within.zones.get(zone)?.most_mm(rad))
        };
        (0..self.zones.len())
            .map(|zone| known(zone).unwrap_or(DEPTH_CAP_MM))
            .collect()
    }

    fn sieve<'a>(&'a self, zone: usize, sight: &'a Sight<'a>, opened: &'a Opened<'a>) -> Sieve<'a> {
        Sieve {
            sight,
            opened,
            samples: &self.cut.zones[zone].samples,
            patches: &self.cut.patches[zone],
        }
    }

    /// What a reading left open in a zone, with what it says of that beforehand.
    fn left(
        &self,
        zone: usize,
        d: &UnitVector3<f64>,
        ask: &DepthAsk<'_>,
        within: &DepthCone,
        floor_mm: f64,
    ) -> Left {
        let mut left = Left::default();
        let away_rad = within.direction.angle(d);
        let Some(within) = within.zones.get(zone) else {
            return left;
        };
        left.rest_mm = within.rest_mm;
        let patches = &self.cut.patches[zone];
        let patch = |kept: &PatchCone| {
            let corners = patches.patch(kept.patch).corners();
            let mut known = kept.carried(away_rad);
            if known.most_mm(ask.cone_rad) > floor_mm {
                known = known.about(&within.ways, d);
            }
            if known.most_mm(ask.cone_rad) > floor_mm {
                known = known.about_corners(&within.ways, corners, d);
            }
            Held {
                patch: kept.patch,
                is_undercut: false,
                most_mm: known.most_mm(ask.cone_rad),
                here_mm: known.most_mm(0.0),
                known: Some(known),
                samples: 0..0,
            }
        };
        left.patches
            .par_extend(within.patches.par_iter().with_min_len(64).map(patch));
        let patch_of = |kept: &SampleCone| patches.of_sample(kept.sample);
        let mut kept: Vec<SampleCone> = within.samples.clone();
        kept.sort_unstable_by_key(|kept| (patch_of(kept), kept.sample));
        for of_patch in kept.chunk_by(|a, b| patch_of(a) == patch_of(b)) {
            let start = left.samples.len();
            let known = of_patch
                .iter()
                .map(|kept| kept.about(&within.ways, d, away_rad));
            left.samples.extend(known);
            let most = |rad: f64| {
                let of_patch = left.samples[start..].iter().map(|kept| kept.most_mm(rad));
                of_patch.fold(0.0, f64::max)
            };
            left.patches.push(Held {
                patch: patch_of(&of_patch[0]),
                is_undercut: false,
                most_mm: most(ask.cone_rad),
                here_mm: most(0.0),
                known: None,
                samples: start..start + of_patch.len(),
            });
        }
        left
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
