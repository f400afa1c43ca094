//! Which samples decide the depth of a zone, at one draw or over a cone of draws.
//!
//! The depth is a function of the depths at the corners of all samples. Most cannot decide it: patches
//! that are open over the cone are left out first (see `open`); of the others one sample is read, and the
//! patch is cut into smaller ones, down to the corners of samples, only where what that says of it
//! does not decide and the cone is not so wide that no more could be said.
//!
//! Derivation: from a point `q` of a facet go along the facet, in its air, to another point `p` of it,
//! and out as from there. Each place of that is at most `|pq|` in plan farther from the line through `q`
//! than from that through `p`, so `u(q) <= u(p) + |pq|`. For any other draw `|pq|` is at most the
//! distance in space. For patches see `patches`.
//!
//! What is left out is bounded by what is known of the rest, so at one draw the depth is that of all
//! corners, to the bit.

use super::cone::{PatchCone, PointCone, SampleCone, Standing, ZoneCone};
use super::cut::Looked;
use super::fillings::may_be_near;
use super::gauge::{Probe, Reach, Room};
use super::heights::{Heights, tangent};
use super::judge::{corners, is_covered, is_unknown, reach};
use super::open::{Opened, Stand};
use super::open_cone::open_rad;
use super::patches::{Patches, READ_TIER};
use super::samples::Sample;
use super::sight::Sight;
use super::stop::Stop;
use super::tolerance::DEPTH_CAP_MM;
use nalgebra::Point3;
use rayon::prelude::*;

/// What is left to look at in a zone, each with a bound of how deep it is over the cone, mm.
#[derive(Debug, Default)]
pub(crate) struct Left {
    pub(crate) patches: Vec<Held>,
    pub(crate) samples: Vec<(f64, u32)>,
    /// Bounds all else.
    pub(crate) rest_mm: f64,
}

/// A patch that is left to look at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Held {
    pub(crate) patch: u32,
    /// Known to be undercut all over the cone.
    pub(crate) is_undercut: bool,
    /// How deep it is over the cone at the most, mm.
    pub(crate) most_mm: f64,
    /// The same at the draw that is read.
    pub(crate) here_mm: f64,
}

/// What leaves out patches that are open over a cone.
#[derive(Clone, Copy)]
pub(crate) struct Sieve<'a> {
    pub(crate) sight: &'a Sight<'a>,
    pub(crate) opened: &'a Opened<'a>,
    pub(crate) samples: &'a [Sample],
    pub(crate) patches: &'a Patches,
}

impl Sieve<'_> {
    /// Where a patch is, and what room its samples need at the draw that is read.
    pub(crate) fn place(&self, held: &Held) -> (Point3<f64>, f64) {
        let patch = self.patches.patch(held.patch);
        let middle = self.samples[patch.chosen as usize].centroid();
        (middle, held.here_mm + patch.spread_mm + SLACK_MM)
    }

    /// Cuts patches down to such as one reading says enough of, without those that are open or no deeper than
    /// a floor.
    pub(crate) fn sift(&self, left: Left, floor_mm: f64) -> Left {
        let sifted: Vec<Left> = left
            .patches
            .par_iter()
            .map(|held| {
                let mut found = Left::default();
                self.sift_one(*held, READ_TIER, floor_mm, &mut found);
                found
            })
            .collect();
        let mut all = Left {
            patches: Vec::new(),
            ..left
        };
        for found in sifted {
            all.patches.extend(found.patches);
            all.rest_mm = all.rest_mm.max(found.rest_mm);
        }
        all
    }

    fn sift_one(&self, held: Held, tier: usize, floor_mm: f64, found: &mut Left) {
        if held.most_mm <= floor_mm {
            found.rest_mm = found.rest_mm.max(held.most_mm);
            return;
        }
        let patch = self.patches.patch(held.patch);
        let covered = || is_covered(self.sight, &self.samples[patch.chosen as usize]);
        let is_undercut = held.is_undercut
            || match self.opened.stand(patch, covered) {
                Stand::Open => return,
                Stand::Undercut => true,
                Stand::Mixed => false,
            };
        if patch.tier >= tier {
            found.patches.push(Held {
                is_undercut,
                ..held
            });
            return;
        }
        for part in self.patches.parts(held.patch) {
            let part = Held {
                patch: part,
                is_undercut,
                ..held
            };
            self.sift_one(part, tier, floor_mm, found);
        }
    }
}

/// Millimetres. How much farther than they are known to need samples are looked around: separates bounds
/// from rounding.
pub(crate) const SLACK_MM: f64 = 0.01;

/// Reads what decides one zone.
pub(crate) struct Deepest<'a> {
    pub(crate) looked: &'a Looked<'a>,
    pub(crate) heights: &'a Heights,
    pub(crate) sieve: Sieve<'a>,
    pub(crate) cone_rad: f64,
    /// Depths up to this need not be told apart.
    pub(crate) floor_mm: f64,
    pub(crate) stop: &'a Stop<'a>,
}

/// Samples whose corners one task reads.
const FEW: usize = 16;

/// Millimetres per unit of the sine of the cone's angle. Patches that are no wider than this are not cut further:
/// what their width leaves open is less than what the cone does.
/// Tuned: 5, half of how far a way out usually reaches. Smaller reads more samples, larger says less of each
/// cone.
const WIDTH_MM: f64 = 5.0;

impl Deepest<'_> {
    fn samples(&self) -> &[Sample] {
        self.sieve.samples
    }

    /// What is to be known of the depth of the zone over the cone; `None` if it was stopped.
    pub(crate) fn read(&self, left: Left) -> Option<ZoneCone> {
        let width_mm = WIDTH_MM * self.cone_rad.min(1.0).sin();
        let mut zone = ZoneCone::rest(left.rest_mm);
        let mut bounds = left.samples;
        let mut next = left.patches;
        while !next.is_empty() {
            let read = self.read_patches(&next)?;
            let is_known: Vec<bool> = next.iter().map(|held| held.is_undercut).collect();
            next.clear();
            let before = zone.patches.len();
            zone.patches.extend(read);
            let keep_mm = self.keep_mm(&zone);
            let new = zone.patches.split_off(before);
            for (cone, is_undercut) in new.into_iter().zip(is_known) {
                let most_mm = cone.most_mm(self.cone_rad);
                if most_mm <= keep_mm {
                    zone.rest_mm = zone.rest_mm.max(most_mm);
                } else if cone.spread_mm <= width_mm {
                    zone.patches.push(cone);
                } else {
                    self.cut(&cone, is_undercut, &mut next, &mut bounds);
                }
            }
            let parts = Left {
                patches: next,
                ..Left::default()
            };
            let sifted = self.sieve.sift(parts, self.floor_mm);
            zone.rest_mm = zone.rest_mm.max(sifted.rest_mm);
            next = sifted.patches;
        }
        self.read_corners(bounds, zone)
    }

    /// No less deep than this is the zone anywhere, or it does not matter.
    fn keep_mm(&self, zone: &ZoneCone) -> f64 {
        self.floor_mm.max(zone.least_mm(self.cone_rad))
    }

    fn cut(
        &self,
        cone: &PatchCone,
        is_undercut: bool,
        next: &mut Vec<Held>,
        bounds: &mut Vec<(f64, u32)>,
    ) {
        let most_mm = cone.most_mm(self.cone_rad);
        let patches = self.sieve.patches;
        let parts = patches.parts(cone.patch);
        if parts.is_empty() {
            let samples = patches.samples(cone.patch).iter();
            bounds.extend(samples.map(|&sample| (most_mm, sample)));
        }
        next.extend(parts.map(|patch| Held {
            patch,
            is_undercut,
            most_mm,
            here_mm: cone.most_mm(0.0),
        }));
    }

    fn read_patches(&self, these: &[Held]) -> Option<Vec<PatchCone>> {
        let read = |room: &mut Room, held: &Held| {
            let patch = self.sieve.patches.patch(held.patch);
            let sample = &self.samples()[patch.chosen as usize];
            (!(self.stop)()).then(|| {
                let read = reach(&self.looked.gauge(), sample, room);
                let middle = sample.centroid();
                let mut cone = PatchCone {
                    patch: held.patch,
                    area_mm2: patch.area_mm2,
                    in_doubt: false,
                    point: self.point(&middle, sample.facet, &read),
                    spread_mm: patch.spread_mm,
                    level_mm: patch.level_mm,
                };
                let within_mm = cone.most_mm(self.cone_rad) + patch.spread_mm;
                cone.in_doubt =
                    may_be_near(&self.looked.sight, &middle, within_mm, self.cone_rad);
                cone
            })
        };
        these
            .par_iter()
            .with_min_len(FEW)
            .map_init(Room::default, read)
            .collect()
    }

    /// How far the corners of a sample are from its centroid, in plan or, over a cone, in space.
    pub(crate) fn extent(&self, sample: u32) -> f64 {
        let sample = &self.samples()[sample as usize];
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
    /// with a bound of how deep it is over the cone; `zone` is what is known of the rest.
    pub(crate) fn read_corners(
        &self,
        mut bounds: Vec<(f64, u32)>,
        mut zone: ZoneCone,
    ) -> Option<ZoneCone> {
        bounds.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut left = bounds.as_slice();
        let mut keep_mm = self.keep_mm(&zone);
        let mut rest_mm = zone.rest_mm;
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
            keep_mm = self.keep_mm(&zone);
            left = later;
            next *= 2;
        }
        let mut decides = |most_mm: f64| {
            let decides = most_mm >= keep_mm && most_mm > self.floor_mm;
            if !decides {
                rest_mm = rest_mm.max(most_mm);
            }
            decides
        };
        zone.samples.retain(|sample| {
            let most = |point: &PointCone| point.most_mm(self.cone_rad);
            decides(sample.corners.iter().map(most).fold(0.0, f64::max))
        });
        zone.patches
            .retain(|patch| decides(patch.most_mm(self.cone_rad)));
        zone.samples.sort_unstable_by_key(|sample| sample.sample);
        zone.patches.sort_unstable_by_key(|patch| patch.patch);
        zone.rest_mm = rest_mm;
        zone.depth_mm = zone.most_mm(0.0);
        Some(zone)
    }

    fn sample(&self, sample: u32, room: &mut Room) -> Option<SampleCone> {
        if (self.stop)() {
            return None;
        }
        let of = &self.samples()[sample as usize];
        let read = corners(&self.looked.gauge(), of, room);
        let places = of.inner_corners();
        let corners = [0, 1, 2].map(|k| self.point(&places[k], of.facet, &read[k]));
        Some(SampleCone {
            sample,
            area_mm2: of.area,
            standing: self.standing(sample, &corners, room),
            corners,
        })
    }

    /// What is known of a sample over the cone, judged at its centroid.
    fn standing(&self, sample: u32, corners: &[PointCone; 3], room: &mut Room) -> Standing {
        let most = corners.iter().map(|point| point.most_mm(self.cone_rad));
        let most_mm = most.fold(0.0, f64::max) + self.extent(sample);
        let of = &self.samples()[sample as usize];
        let sight = &self.looked.sight;
        if !may_be_near(sight, &of.centroid(), most_mm, self.cone_rad) {
            return Standing::Known;
        }
        let gauge = self.looked.gauge();
        if is_unknown(&gauge, of, &reach(&gauge, of, room)) {
            Standing::Unknown
        } else if self.cone_rad > 0.0 {
            Standing::InDoubt
        } else {
            Standing::Known
        }
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
            return PointCone {
                depth_mm,
                rise_mm: self.above(at, height),
                fall_mm: 0.0,
                free_rad: open_rad(&self.looked.sight, &probe, self.cone_rad),
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
