//! Which samples decide the depth of a zone, at one draw or over a cone of draws.
//!
//! The depth is a function of the depths at the corners of all samples. Most cannot decide it: depth
//! changes along the surface no faster than one goes in plan.
//!
//! Derivation: from a point `q` of a facet go along the facet, in its air, to another point `p` of it,
//! and out as from there. Each place of that is at most `|pq|` in plan farther from the line through `q`
//! than from that through `p`, so `u(q) <= u(p) + |pq|`. For any other draw `|pq|` is at most the
//! distance in space.
//!
//! So the gauge is first held to centroids, and to the corners of samples that may be deeper than the
//! zone is known to be. What is left out is bounded by what is known of the rest, so the depth is that
//! of all corners, to the bit.

use super::cone::{PatchCone, PointCone, SampleCone, ZoneCone};
use super::cut::Looked;
use super::gauge::{Probe, Reach, Room};
use super::heights::{Heights, tangent};
use super::judge::{corners, reach};
use super::open_cone::open_rad;
use super::patches::Patch;
use super::samples::Sample;
use super::stop::Stop;
use super::tolerance::DEPTH_CAP_MM;
use nalgebra::Point3;
use rayon::prelude::*;

/// Reads what decides one zone.
#[derive(Clone, Copy)]
pub(crate) struct Deepest<'a> {
    pub(crate) looked: &'a Looked<'a>,
    pub(crate) heights: &'a Heights,
    pub(crate) samples: &'a [Sample],
    pub(crate) cone_rad: f64,
    /// Depths up to this need not be told apart.
    pub(crate) floor_mm: f64,
    pub(crate) stop: &'a Stop<'a>,
}

/// Radians. Cones wider than this are read by patches.
/// Tuned: 3 degrees, over which a flank 8 mm high is bounded to 0.4 mm, as much as a patch is wide. Smaller
/// takes up samples of which little can be said, larger says less than could be.
pub(crate) const WIDE_RAD: f64 = 3.0 * std::f64::consts::PI / 180.0;

/// Samples whose corners one task reads.
const FEW: usize = 16;

impl Deepest<'_> {
    /// What is to be known of the depth of the zone over the cone, looking at all of its samples; `None`
    /// if it was stopped.
    pub(crate) fn read(&self) -> Option<ZoneCone> {
        let centroids: Vec<PointCone> = self
            .samples
            .par_iter()
            .with_min_len(FEW)
            .map_init(Room::default, |room, sample| {
                (!(self.stop)()).then(|| self.centroid(sample, room))
            })
            .collect::<Option<_>>()?;
        let bounds: Vec<(f64, u32)> = (0..)
            .zip(&centroids)
            .map(|(sample, point)| {
                let most = point.most_mm(self.cone_rad) + self.extent(sample);
                (most.min(DEPTH_CAP_MM), sample)
            })
            .collect();
        self.read_corners(bounds, 0.0)
    }

    fn centroid(&self, sample: &Sample, room: &mut Room) -> PointCone {
        let read = reach(&self.looked.gauge(), sample, room);
        self.point(&sample.centroid(), sample.facet, &read)
    }

    /// The same over a wide cone, by one sample of each patch; `rest_mm` bounds patches that do not come.
    /// The depth at the draw itself is read all the same.
    pub(crate) fn read_patches(
        &self,
        patches: &[Patch],
        these: &[u32],
        mut rest_mm: f64,
    ) -> Option<ZoneCone> {
        let read = |room: &mut Room, &number: &u32| {
            let patch = &patches[number as usize];
            let sample = &self.samples[patch.chosen as usize];
            (!(self.stop)()).then(|| PatchCone {
                patch: number,
                area_mm2: patch.area_mm2,
                point: self.centroid(sample, room),
                spread_mm: patch.spread_mm,
                level_mm: patch.level_mm,
            })
        };
        let read: Vec<PatchCone> = these
            .par_iter()
            .with_min_len(FEW)
            .map_init(Room::default, read)
            .collect::<Option<_>>()?;
        let mut zone = ZoneCone {
            patches: read,
            ..ZoneCone::default()
        };
        let keep_mm = self.floor_mm.max(zone.least_mm(self.cone_rad));
        // The depth here, exactly: by the samples of those patches that may be deepest here.
        let bounds = zone.patches.iter().flat_map(|cone| {
            let most_mm = cone.most_mm(0.0);
            let samples = &patches[cone.patch as usize].samples;
            samples.iter().map(move |&sample| (most_mm, sample))
        });
        let here = Deepest {
            cone_rad: 0.0,
            ..*self
        };
        zone.depth_mm = here.read_corners(bounds.collect(), rest_mm)?.depth_mm;
        zone.patches.retain(|cone| {
            let most_mm = cone.most_mm(self.cone_rad);
            let decides = most_mm >= keep_mm && most_mm > self.floor_mm;
            if !decides {
                rest_mm = rest_mm.max(most_mm);
            }
            decides
        });
        zone.rest_mm = rest_mm;
        Some(zone)
    }

    /// How far the corners of a sample are from its centroid, in plan or, over a cone, in space.
    fn extent(&self, sample: u32) -> f64 {
        let sample = &self.samples[sample as usize];
        let middle = sample.centroid();
        let far = sample.corners.iter().map(|p| {
            let away = p - middle;
            if self.cone_rad > 0.0 {
                away.norm()
            } else {
                let ([x, y], _) = self.looked.sight.axes.see(&away);
                x.hypot(y)
            }
        });
        far.fold(0.0, f64::max)
    }

    /// Reads corners, those that may be deepest first, until the others cannot decide. Each sample comes
    /// with a bound of how deep it is over the cone; `rest_mm` bounds those that do not come at all.
    pub(crate) fn read_corners(
        &self,
        mut bounds: Vec<(f64, u32)>,
        mut rest_mm: f64,
    ) -> Option<ZoneCone> {
        bounds.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut zone = ZoneCone::default();
        let mut left = bounds.as_slice();
        let mut keep_mm = self.floor_mm;
        let mut next = 64;
        while let Some((most_mm, _)) = left.first() {
            if *most_mm <= keep_mm {
                rest_mm = rest_mm.max(*most_mm);
                break;
            }
            let count = left.partition_point(|(most, _)| *most > keep_mm).min(next);
            let (now, later) = left.split_at(count);
            let read: Vec<SampleCone> = now
                .par_iter()
                .with_min_len(FEW)
                .map_init(Room::default, |room, (_, sample)| {
                    self.sample(*sample, room)
                })
                .collect::<Option<_>>()?;
            zone.samples.extend(read);
            keep_mm = keep_mm.max(zone.least_mm(self.cone_rad));
            left = later;
            next *= 2;
        }
        zone.samples.retain(|sample| {
            let most = |point: &PointCone| point.most_mm(self.cone_rad);
            let most_mm = sample.corners.iter().map(most).fold(0.0, f64::max);
            let decides = most_mm >= keep_mm && most_mm > self.floor_mm;
            if !decides {
                rest_mm = rest_mm.max(most_mm);
            }
            decides
        });
        zone.samples.sort_unstable_by_key(|sample| sample.sample);
        Some(ZoneCone::of_samples(zone.samples, rest_mm))
    }

    fn sample(&self, sample: u32, room: &mut Room) -> Option<SampleCone> {
        if (self.stop)() {
            return None;
        }
        let of = &self.samples[sample as usize];
        let read = corners(&self.looked.gauge(), of, room);
        let places = of.inner_corners();
        Some(SampleCone {
            sample,
            area_mm2: of.area,
            corners: [0, 1, 2].map(|k| self.point(&places[k], of.facet, &read[k])),
        })
    }

    /// What the reading at a point says over the cone: see [`super::cone`].
    fn point(&self, p: &Point3<f64>, facet: u32, read: &Reach) -> PointCone {
        let depth_mm = read.depth_mm;
        if self.cone_rad <= 0.0 {
            return PointCone {
                depth_mm,
                rise_mm: 0.0,
                fall_mm: 0.0,
                free_rad: 0.0,
            };
        }
        let (at, height) = self.looked.sight.see_point(p);
        if !read.undercut {
            let probe = Probe { at, height, facet };
            let rise_mm = self.above(at, height);
            // Where it stays below what is told apart anyway, how long it stays open is not asked.
            let free_rad =
                if rise_mm * self.cone_rad.sin() > self.floor_mm && self.cone_rad <= WIDE_RAD {
                    open_rad(&self.looked.sight, &probe, self.cone_rad)
                } else {
                    0.0
                };
            return PointCone {
                depth_mm,
                rise_mm,
                fall_mm: 0.0,
                free_rad,
            };
        }
        let rise_mm = if read.capped {
            0.0
        } else {
            let clear = self.heights.clear(read.out, read.heights[1], self.cone_rad);
            (clear - height)
                .max(height - read.heights[0])
                .hypot(depth_mm)
        };
        let most_mm = (depth_mm + rise_mm * self.cone_rad.sin()).min(DEPTH_CAP_MM);
        PointCone {
            depth_mm,
            rise_mm,
            fall_mm: self.fall(at, height, most_mm),
            free_rad: 0.0,
        }
    }

    /// How high over a point that is open the scan reaches where a line of a draw of the cone may come:
    /// the way out of a draw at which it is still open goes straight up so far.
    fn above(&self, at: [f64; 2], height: f64) -> f64 {
        let most = (self.heights.range[1] - height).max(0.0);
        let [_, top] = self.heights.within(at, 2.0 * most * tangent(self.cone_rad));
        (top - height).max(0.0) / self.cone_rad.cos().max(1e-3)
    }

    /// How far from a point any place of the best way of any draw of the cone is at most.
    ///
    /// Derivation: that way stays within `most_mm` of the point's own line along that draw. By then
    /// hugging what is above, it never sinks below the lowest of the scan near that line, nor needs to
    /// rise above the highest within reach of its end. Seen along the draw that was read, what lies
    /// there lies within `most_mm / cos + 2 h tan` of the point, with `h` the greatest difference of
    /// height; and its heights change by at most the sine times that distance.
    fn fall(&self, at: [f64; 2], height: f64, most_mm: f64) -> f64 {
        let [bottom, top] = self.heights.range;
        let most_high = (top - height).abs().max((height - bottom).abs());
        let (sin, cos) = self.cone_rad.sin_cos();
        let reach_mm = most_mm / cos.max(1e-3) + 2.0 * most_high * tangent(self.cone_rad);
        let [low, high] = self.heights.within(at, reach_mm);
        let high = (high - height).max(height - low).max(0.0);
        (high + reach_mm.min(2.0 * most_high) * sin).hypot(most_mm)
    }
}

/// The depth of a zone at a draw, and whether it is capped, given what is read at all centroids.
pub(crate) fn depth(
    looked: &Looked<'_>,
    heights: &Heights,
    samples: &[Sample],
    read: &[Reach],
) -> (f64, bool) {
    let deepest = Deepest {
        looked,
        heights,
        samples,
        cone_rad: 0.0,
        floor_mm: 0.0,
        stop: &super::stop::never,
    };
    let bounds = (0..)
        .zip(read)
        .map(|(i, read)| ((read.depth_mm + deepest.extent(i)).min(DEPTH_CAP_MM), i))
        .collect();
    let zone = deepest.read_corners(bounds, 0.0).unwrap_or_default();
    let depth_mm = zone.most_mm(0.0);
    (depth_mm, depth_mm >= DEPTH_CAP_MM)
}
