//! Which samples decide the depth of a zone, at one draw or over a cone of draws.
//!
//! The depth is a function of the depths at the corners of all samples. Most cannot decide it. Patches that are
//! open over the cone are left out first (see `open`). Of each of the others one sample is read, which bounds
//! all of it; where that does not decide, and the cone is not so wide that no more could be said, the
//! way out of that sample is held to the others, and only what is still in doubt is read by itself.
//!
//! Derivation: what is a way out for one point of a patch is one for every other: from a point `q` go along
//! the patch to the point `p` that was read, then along its way. What that needs is known: the
//! greatest distance from `q` of the places where the way bends, or of the way along the patch (see `patches`).
//! And no way is shorter than to the nearest exit, whatever lies between. Both are nearly the same where the
//! way is straight: beside it by `t` the distance `u` grows by `t^2 / 2u`.
//!
//! On one facet the way from `q` to `p` is straight, so `u(q) <= u(p) + |pq|` in plan, and for any other draw
//! in space.
//!
//! What is left out is bounded by what is known of the rest, so at one draw the depth is that of all
//! corners, to the bit.

use super::cone::{NO_WAY, PatchCone, PointCone, SampleCone, Standing, TakeUp, Ways, ZoneCone};
use super::cut::Looked;
use super::fillings::may_be_near;
use super::gauge::{Gauge, Probe, Reach, Room};
use super::heights::{Heights, tangent};
use super::judge::{is_covered, is_undercut_at, is_unknown, reach, reach_at};
use super::open::{Opened, Stand};
use super::open_cone::open_rad;
use super::patches::{Patch, Patches, READ_TIER};
use super::plan::Plan;
use super::samples::Sample;
use super::sight::Sight;
use super::stop::Stop;
use super::tolerance::DEPTH_CAP_MM;
use nalgebra::{Point3, Vector3};
use rayon::prelude::*;
use std::ops::Range;

/// What is left to look at in a zone.
#[derive(Debug, Default)]
pub(crate) struct Left {
    pub(crate) patches: Vec<Held>,
    /// Samples of patches of which not all are left, with what a reading over a wider cone says of them.
    pub(crate) samples: Vec<SampleCone>,
    /// Bounds all else.
    pub(crate) rest_mm: f64,
}

/// A patch that is left to look at.
#[derive(Debug, Clone)]
pub(crate) struct Held {
    pub(crate) patch: u32,
    /// Known to be undercut all over the cone.
    pub(crate) is_undercut: bool,
    /// How deep it is over the cone at the most, mm.
    pub(crate) most_mm: f64,
    /// The same at the draw that is read.
    pub(crate) here_mm: f64,
    /// What a reading over a wider cone says of it, if it says no more of its samples.
    pub(crate) known: Option<PatchCone>,
    /// The place of its samples among those that are left; if none, all of it is.
    pub(crate) samples: Range<usize>,
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
    /// All of the zone.
    pub(crate) fn all(&self) -> Left {
        let all = self.patches.roots().map(|patch| Held {
            patch,
            is_undercut: false,
            most_mm: DEPTH_CAP_MM,
            here_mm: DEPTH_CAP_MM,
            known: None,
            samples: 0..0,
        });
        Left {
            patches: all.collect(),
            ..Left::default()
        }
    }

    /// Where a patch is, and what room its samples need at the draw that is read.
    pub(crate) fn place(&self, held: &Held) -> (Point3<f64>, f64) {
        let patch = self.patches.patch(held.patch);
        let middle = self.samples[patch.chosen as usize].centroid();
        (middle, held.here_mm + patch.spread_mm + SLACK_MM)
    }

    /// Cuts patches down to those that are read, without those that are open or no deeper than a floor.
    pub(crate) fn sift(&self, left: Left, floor_mm: f64) -> Left {
        let sifted: Vec<Left> = left
            .patches
            .par_iter()
            .with_min_len(FEW)
            .fold(Left::default, |mut found, held| {
                self.sift_one(held, floor_mm, &mut found);
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

    fn sift_one(&self, held: &Held, floor_mm: f64, found: &mut Left) {
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
        let of = |patch: u32| Held {
            patch,
            is_undercut,
            ..held.clone()
        };
        if patch.tier >= READ_TIER {
            found.patches.push(of(held.patch));
            return;
        }
        for part in self.patches.parts(held.patch) {
            self.sift_one(&of(part), floor_mm, found);
        }
    }
}

/// Millimetres. How much farther than they are known to need samples are looked around: separates bounds
/// from rounding.
pub(crate) const SLACK_MM: f64 = 0.01;

/// Reads what decides one zone.
#[derive(Clone, Copy)]
pub(crate) struct Deepest<'a> {
    pub(crate) heights: &'a Heights,
    pub(crate) sieve: Sieve<'a>,
    /// Ways that a reading over a wider cone kept of what is left.
    pub(crate) ways: &'a Ways,
    /// What is open along the draw that is read.
    pub(crate) here: &'a Opened<'a>,
    pub(crate) cone_rad: f64,
    /// Depths up to this need not be told apart.
    pub(crate) floor_mm: f64,
    /// Whether it is deeper than this is all that is asked.
    pub(crate) ceiling_mm: f64,
    pub(crate) stop: &'a Stop<'a>,
}

/// The same, near some of what is left.
#[derive(Clone, Copy)]
struct Near<'a> {
    of: Deepest<'a>,
    gauge: Gauge<'a>,
}

/// Looks at the cast near some places, each with the room it is known to need; `None` if it was stopped.
pub(crate) type Look<'l, 'a> = dyn Fn(&[(Point3<f64>, f64)]) -> Option<Looked<'a>> + 'l;

/// Samples whose corners one task reads.
const FEW: usize = 16;

/// Radians. Over cones no wider than this the samples of patches are told apart.
/// Tuned: 1.2 degrees, over which a flank 8 mm high is bounded to half a patch's width.
const FRESH_RAD: f64 = 1.2 * std::f64::consts::PI / 180.0;

/// Patches read between one look at what is known and the next, at first; then twice as many each time.
/// Tuned: 16. Fewer leaves cores idle, more reads what one would not have to.
const AT_ONCE: usize = 16;

/// Millimetres per unit of the sine of the cone's angle. Samples that are known to this are not read by themselves.
/// Tuned: 8, as much as a cone leaves open of most.
const KNOWN_MM: f64 = 8.0;

/// Radians. Over cones no wider than this each corner that may decide has a way of its own.
/// Tuned: 0.3 degrees, within which another way is shorter by a few micrometres at most.
pub(crate) const WAYS_RAD: f64 = 0.3 * std::f64::consts::PI / 180.0;

/// What was read at the chosen sample of a patch, or at another.
struct Read {
    reach: Reach,
    way: Vec<Plan>,
    /// The same in space, up to where it is clear of all draws of the cone.
    bends: Vec<Vector3<f64>>,
    /// The facet of that sample.
    facet: u32,
    /// How far ways to it over the patch go.
    level_mm: f64,
    /// A height from which no draw of the cone meets the scan over the end of the way.
    clear: f64,
    /// Least and greatest height of the scan near what the patch may need.
    near: [f64; 2],
    /// How near that is, about any point of the patch.
    near_mm: f64,
}

impl Read {
    /// What room the way needs from another point of the patch.
    fn way_mm(&self, at: Plan, facet: u32) -> f64 {
        let far2 = |x: &Plan| (x[0] - at[0]).powi(2) + (x[1] - at[1]).powi(2);
        let far_mm = self.way.iter().map(far2).fold(0.0, f64::max).sqrt();
        far_mm.max(self.along_mm(facet))
    }

    /// How far the way from a point of a facet goes over the patch.
    fn along_mm(&self, facet: u32) -> f64 {
        if facet == self.facet {
            0.0
        } else {
            self.level_mm
        }
    }
}

/// Holds the way out of one sample of a patch to others.
struct Hold<'d, 'a> {
    near: &'d Near<'a>,
    held: &'d Held,
    read: &'d Read,
    /// What is no deeper than this cannot decide.
    keep_mm: f64,
}

/// What holding a way to samples said of them, with a bound of each.
#[derive(Default)]
struct HeldTo {
    samples: Vec<(f64, SampleCone)>,
    ways: Ways,
    /// Bounds the rest.
    rest_mm: f64,
}

/// The way of a sample of a patch, and its bends among those that are kept.
struct HeldWay<'r> {
    read: &'r Read,
    bends: Range<u32>,
}

impl Hold<'_, '_> {
    /// To some samples; if there are none, to all of the patch, which is no deeper than `most_mm`.
    fn hold(&self, kept: &[SampleCone], most_mm: f64, room: &mut Room) -> HeldTo {
        let deepest = &self.near.of;
        let patches = deepest.sieve.patches;
        let mut found = HeldTo::default();
        // The sample that was read may be open where another is not.
        let mut other = None;
        let bends = found.ways.bends(&self.read.bends);
        let mut hold = |number, most_mm, stand, found: &mut HeldTo| {
            let first = HeldWay {
                read: self.read,
                bends: bends.clone(),
            };
            self.sample(number, most_mm, stand, (first, &mut other), room, found);
        };
        if !kept.is_empty() {
            let stand = self.stand(self.held.patch);
            for of in kept {
                let most_mm = of.most_mm(deepest.cone_rad).min(most_mm);
                hold(of.sample, most_mm, stand, &mut found);
            }
            return found;
        }
        for part in patches.parts(self.held.patch) {
            let stand = self.stand(part);
            let part_mm = self.part_mm(part, stand).unwrap_or(most_mm).min(most_mm);
            if part_mm <= self.keep_mm {
                found.rest_mm = found.rest_mm.max(part_mm);
                continue;
            }
            for &sample in patches.samples(part) {
                hold(sample, part_mm, stand, &mut found);
            }
        }
        found
    }

    /// How the patch or a part of it stands at the draw that is read.
    fn stand(&self, number: u32) -> Stand {
        if self.held.is_undercut {
            return Stand::Undercut;
        }
        let deepest = &self.near.of;
        let part = deepest.sieve.patches.patch(number);
        let sample = &deepest.samples()[part.chosen as usize];
        deepest
            .here
            .stand(part, || is_covered(self.near.gauge.sight, sample))
    }

    /// How deep a part of the patch is over the cone at the most, as the way held to one sample of it says.
    fn part_mm(&self, number: u32, stand: Stand) -> Option<f64> {
        let deepest = &self.near.of;
        let part = deepest.sieve.patches.patch(number);
        let sample = &deepest.samples()[part.chosen as usize];
        let middle = sample.centroid();
        let sight = self.near.gauge.sight;
        let is_undercut = match stand {
            Stand::Open => false,
            Stand::Undercut => true,
            Stand::Mixed => is_undercut_at(sight, sample, &middle),
        };
        let point = if !is_undercut {
            deepest.open_point(&middle, sample.facet)
        } else if self.read.way.is_empty() {
            return None;
        } else {
            self.near.held_point(self.read, &middle, sample.facet)
        };
        let most_mm = point.most_mm(deepest.cone_rad) + part.spread_mm;
        Some(most_mm.max(part.level_mm))
    }

    fn sample(
        &self,
        number: u32,
        most_mm: f64,
        stand: Stand,
        (first, other): (HeldWay<'_>, &mut Option<(Read, Range<u32>)>),
        room: &mut Room,
        found: &mut HeldTo,
    ) {
        let deepest = &self.near.of;
        if most_mm <= self.keep_mm {
            found.rest_mm = found.rest_mm.max(most_mm);
            return;
        }
        let sample = &deepest.samples()[number as usize];
        let sight = self.near.gauge.sight;
        let mut corners = [PointCone::UNKNOWN; 3];
        for (place, corner) in sample.inner_corners().iter().zip(&mut corners) {
            let is_undercut = match stand {
                Stand::Open => false,
                Stand::Undercut => true,
                Stand::Mixed => is_undercut_at(sight, sample, place),
            };
            if !is_undercut {
                *corner = deepest.open_point(place, sample.facet);
                continue;
            }
            let way = if self.read.reach.undercut {
                HeldWay {
                    read: first.read,
                    bends: first.bends.clone(),
                }
            } else {
                // The sample that was read is open; this one is not.
                let (read, bends) = other.get_or_insert_with(|| {
                    let patch = deepest.sieve.patches.patch(self.held.patch);
                    let ways = [2.0 * patch.level_mm, 2.0 * patch.spread_mm];
                    let read = self.near.read_at(sample, place, ways, room);
                    let bends = found.ways.bends(&read.bends);
                    (read, bends)
                });
                HeldWay {
                    read,
                    bends: bends.clone(),
                }
            };
            if !way.read.way.is_empty() {
                *corner = self.near.held_point(way.read, place, sample.facet);
                let level_mm = way.read.along_mm(sample.facet);
                if deepest.cone_rad > 0.0 {
                    corner.way = found.ways.push(place.coords, way.bends, level_mm);
                }
            }
        }
        let most = |point: &PointCone| point.most_mm(deepest.cone_rad);
        let most_mm = corners.iter().map(most).fold(0.0, f64::max).min(most_mm);
        let near_mm = most_mm + deepest.extent(number);
        let standing = if may_be_near(sight, &sample.centroid(), near_mm, deepest.cone_rad) {
            Standing::Either
        } else {
            Standing::Known
        };
        let cone = SampleCone {
            sample: number,
            area_mm2: sample.area,
            standing,
            corners,
        };
        found.samples.push((most_mm, cone));
    }
}

impl Deepest<'_> {
    fn samples(&self) -> &[Sample] {
        self.sieve.samples
    }

    /// Takes up what is left unread.
    fn take_up(&self, queue: &[Held], samples: &[SampleCone], keep_mm: f64, zone: &mut ZoneCone) {
        let mut ways = TakeUp::new(self.ways);
        for held in queue {
            if held.most_mm <= keep_mm {
                zone.rest_mm = zone.rest_mm.max(held.most_mm);
            } else if let Some(mut known) = held.known {
                ways.point(&mut known.points, &mut zone.ways);
                zone.patches.push(known);
            } else {
                for mut sample in samples[held.samples.clone()].iter().copied() {
                    for corner in &mut sample.corners {
                        ways.point(corner, &mut zone.ways);
                    }
                    zone.samples.push(sample);
                }
            }
        }
    }

    /// Looks whether a patch of which no way is kept is open along the draw: then it is nowhere deeper than
    /// what lies over it, leaning as far as the cone does.
    fn look_again(&self, held: &mut Held) {
        let Some(known) = &mut held.known else {
            return;
        };
        if held.is_undercut || known.points.way != NO_WAY || held.most_mm <= self.floor_mm {
            return;
        }
        let patch = self.sieve.patches.patch(held.patch);
        if let Some(points) = self.open_patch(patch) {
            known.points = points;
            held.here_mm = 0.0;
            held.most_mm = held.most_mm.min(known.most_mm(self.cone_rad));
        }
    }

    /// What is to be known of a patch that is open along the draw; `None` if it is not.
    fn open_patch(&self, patch: &Patch) -> Option<PointCone> {
        let sample = &self.samples()[patch.chosen as usize];
        let sight = self.sieve.sight;
        if self.here.stand(patch, || is_covered(sight, sample)) != Stand::Open {
            return None;
        }
        let (at, height) = sight.see_point(&sample.centroid());
        let rise_mm = if self.cone_rad > 0.0 {
            self.above(at, height, patch.spread_mm)
        } else {
            0.0
        };
        Some(PointCone {
            rise_mm,
            ..PointCone::STILL
        })
    }

    /// A patch with the way of its sample that was read.
    fn with_way(&self, mut cone: PatchCone, read: Option<&Read>, ways: &mut Ways) -> PatchCone {
        if let Some(read) = read.filter(|read| !read.way.is_empty()) {
            let patch = self.sieve.patches.patch(cone.patch);
            let of = self.samples()[patch.chosen as usize].centroid();
            let bends = ways.bends(&read.bends);
            cone.points.way = ways.push(of.coords, bends, read.level_mm);
        }
        cone
    }

    /// No less deep than this is the zone anywhere, or it does not matter.
    fn keep_mm(&self, zone: &ZoneCone) -> f64 {
        self.floor_mm.max(zone.least_mm(self.cone_rad))
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
                let ([x, y], _) = self.sieve.sight.axes.see(&away);
                x.hypot(y)
            }
        });
        far.fold(0.0, f64::max)
    }

    /// What is left of a zone without what cannot decide.
    fn kept(&self, mut zone: ZoneCone, keep_mm: f64) -> ZoneCone {
        let mut rest_mm = zone.rest_mm;
        let mut decides = |most_mm: f64| {
            let decides = most_mm >= keep_mm && most_mm > self.floor_mm;
            if !decides {
                rest_mm = rest_mm.max(most_mm);
            }
            decides
        };
        zone.samples
            .retain(|sample| decides(sample.most_mm(self.cone_rad)));
        zone.patches
            .retain(|patch| decides(patch.most_mm(self.cone_rad)));
        zone.samples.sort_unstable_by_key(|sample| sample.sample);
        zone.patches.sort_unstable_by_key(|patch| patch.patch);
        zone.rest_mm = rest_mm;
        zone.depth_mm = zone.most_mm(0.0);
        zone
    }

    /// Where the way of a point that was read bends, up to where it is clear of all draws of the cone.
    fn bends(&self, room: &Room, [x, y]: Plan, clear: f64) -> Vec<Vector3<f64>> {
        let axes = &self.sieve.sight.axes;
        let place = |[x, y, h]: [f64; 3]| axes.right * x + axes.ahead * y + axes.up * h;
        let bends = room.bends.iter().copied();
        bends.chain([[x, y, clear]]).map(place).collect()
    }

    /// How far from a point any place of its way is, up to where it is clear over its end.
    fn rise(&self, read: &Reach, height: f64, clear: f64) -> f64 {
        (clear - height)
            .max(height - read.heights[0])
            .hypot(read.depth_mm)
    }

    /// What is known of a point that is not undercut.
    fn open_point(&self, p: &Point3<f64>, facet: u32) -> PointCone {
        if self.cone_rad <= 0.0 {
            return PointCone::STILL;
        }
        let (at, height) = self.sieve.sight.see_point(p);
        let probe = Probe { at, height, facet };
        let rise_mm = self.above(at, height, 0.0);
        // Where it stays below what is told apart anyway, how long it stays open is not asked.
        let is_asked = rise_mm * self.cone_rad.sin() > self.floor_mm && self.cone_rad <= OPEN_RAD;
        PointCone {
            rise_mm,
            free_rad: if is_asked {
                open_rad(self.sieve.sight, &probe, self.cone_rad)
            } else {
                0.0
            },
            ..PointCone::STILL
        }
    }

    /// How high over a point that is open the scan reaches where a line of a draw of the cone may come:
    /// the way out of a draw at which it is still open goes straight up so far. The same for all points
    /// within a distance.
    fn above(&self, at: Plan, height: f64, within_mm: f64) -> f64 {
        let height = height - within_mm;
        let most = (self.heights.range[1] - height).max(0.0);
        let reach_mm = 2.0 * most * tangent(self.cone_rad) + within_mm;
        let [_, top] = self.heights.within(at, reach_mm);
        (top - height).max(0.0) / self.cone_rad.cos().max(1e-3)
    }

    /// How far from a point any place of the best way of any draw of the cone is at most.
    ///
    /// Derivation: that way stays within `most_mm` of the point's own line along that draw. By then
    /// hugging what is above, it never sinks below the lowest of the scan near that line, nor needs to
    /// rise above the highest within reach of its end. Seen along the draw that was read, what lies
    /// there lies within `most_mm / cos + 2 h tan` of the point, with `h` the greatest difference of
    /// height; and its heights change by at most the sine times that distance.
    fn fall(&self, at: Plan, height: f64, most_mm: f64) -> f64 {
        let near = self.heights.within(at, self.near_mm(height, most_mm));
        self.fall_in(near, height, most_mm)
    }

    /// The same where the least and greatest height of what is near are known.
    fn fall_in(&self, [low, high]: [f64; 2], height: f64, most_mm: f64) -> f64 {
        let sin = self.cone_rad.sin();
        let reach_mm = self.near_mm(height, most_mm);
        let high = (high - height).max(height - low).max(0.0);
        (high + reach_mm.min(2.0 * self.most_high(height)) * sin).hypot(most_mm)
    }

    /// How near lies what such a way may meet.
    fn near_mm(&self, height: f64, most_mm: f64) -> f64 {
        let cos = self.cone_rad.cos().max(1e-3);
        most_mm / cos + 2.0 * self.most_high(height) * tangent(self.cone_rad)
    }

    fn most_high(&self, height: f64) -> f64 {
        let [bottom, top] = self.heights.range;
        (top - height).abs().max((height - bottom).abs())
    }
}

/// Whether more of a zone is left to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Step {
    More,
    Done,
    /// The zone is too deep all over the cone, or the cone is too wide to say that it is not.
    Decided,
}

/// What is known of the depth of a zone over the cone, as more of it is read.
///
/// Patches that may be deepest are read first, until it is decided, or until what was read shows that
/// the cone is too wide to decide: the others stay known as they were.
pub(crate) struct Reading<'a> {
    deepest: Deepest<'a>,
    /// Patches, those that may be deepest first.
    queue: Vec<Held>,
    /// What is known of their samples.
    samples: Vec<SampleCone>,
    next: usize,
    count: usize,
    zone: ZoneCone,
    keep_mm: f64,
}

impl<'a> Reading<'a> {
    pub(crate) fn new(deepest: Deepest<'a>, left: Left) -> Self {
        let mut queue = left.patches;
        queue
            .par_iter_mut()
            .with_min_len(FEW)
            .for_each(|held| deepest.look_again(held));
        queue.sort_unstable_by(|a, b| b.most_mm.total_cmp(&a.most_mm).then(a.patch.cmp(&b.patch)));
        Self {
            deepest,
            queue,
            samples: left.samples,
            next: 0,
            count: AT_ONCE,
            zone: ZoneCone::rest(left.rest_mm),
            keep_mm: deepest.floor_mm,
        }
    }

    /// Depths up to this, no less than before, need not be told apart.
    pub(crate) fn raise_floor(&mut self, floor_mm: f64) {
        self.deepest.floor_mm = self.deepest.floor_mm.max(floor_mm);
        self.keep_mm = self.keep_mm.max(floor_mm);
    }

    /// Reads some more; `None` if it was stopped.
    pub(crate) fn step(&mut self, look: &Look<'_, '_>) -> Option<Step> {
        let Deepest {
            cone_rad,
            ceiling_mm,
            sieve,
            ..
        } = self.deepest;
        let left = &self.queue[self.next..];
        let left = &left[..left.partition_point(|held| held.most_mm > self.keep_mm)];
        let Some(first) = left.first() else {
            return Some(Step::Done);
        };
        // Where nothing is known beforehand, all is read.
        let is_known = first.known.is_some() || !first.samples.is_empty();
        let now = if is_known {
            &left[..self.count.min(left.len())]
        } else {
            left
        };
        self.next += now.len();
        self.count = if cone_rad > WAYS_RAD {
            2 * self.count
        } else {
            usize::MAX
        };
        let places: Vec<_> = now.iter().map(|held| sieve.place(held)).collect();
        let looked = look(&places)?;
        let near = Near {
            of: self.deepest,
            gauge: looked.gauge(),
        };
        let read = near.read_patches(now)?;
        let zone = &mut self.zone;
        if !is_known && cone_rad > FRESH_RAD {
            // The next time what may be deepest is known.
            for (cone, read) in read {
                let cone = self.deepest.with_way(cone, read.as_ref(), &mut zone.ways);
                zone.patches.push(cone);
            }
            return Some(Step::Done);
        }
        let sure = ZoneCone {
            patches: read.iter().map(|(cone, _)| *cone).collect(),
            samples: zone.samples.clone(),
            ..ZoneCone::default()
        };
        self.keep_mm = self.keep_mm.max(sure.least_mm(cone_rad));
        let mut cut = Vec::new();
        for (held, (cone, read)) in now.iter().zip(&read) {
            let most_mm = cone.most_mm(cone_rad).min(held.most_mm);
            match read {
                _ if most_mm <= self.keep_mm => zone.rest_mm = zone.rest_mm.max(most_mm),
                Some(read) => cut.push((held, read, most_mm)),
                None => zone.patches.push(*cone),
            }
        }
        near.hold_all(&cut, &self.samples, &mut self.keep_mm, zone)?;
        if cone_rad <= 0.0 {
            return Some(Step::More);
        }
        let is_broken = self.keep_mm > ceiling_mm;
        // Where ways are kept of each corner, they may decide for smaller cones what is open over this one.
        let is_open = cone_rad > WAYS_RAD && zone.of_samples_mm(cone_rad) > ceiling_mm;
        Some(if is_broken || is_open {
            Step::Decided
        } else if cone_rad > FRESH_RAD {
            Step::Done
        } else {
            Step::More
        })
    }

    /// What is known; what was not read as it was.
    pub(crate) fn finish(self) -> ZoneCone {
        let Self {
            deepest,
            queue,
            samples,
            mut zone,
            ..
        } = self;
        deepest.take_up(&queue[self.next..], &samples, self.keep_mm, &mut zone);
        deepest.kept(zone, self.keep_mm)
    }
}

impl Near<'_> {
    /// Holds ways to the samples of their patches, and reads those of which that does not say enough.
    fn hold_all(
        &self,
        cut: &[(&Held, &Read, f64)],
        samples: &[SampleCone],
        keep_mm: &mut f64,
        zone: &mut ZoneCone,
    ) -> Option<()> {
        // In small cones each sample has a way of its own.
        let known_mm = if self.of.cone_rad <= WAYS_RAD {
            0.0
        } else {
            KNOWN_MM * self.of.cone_rad.min(1.0).sin()
        };
        let so_far_mm = *keep_mm;
        let held: Vec<HeldTo> = cut
            .par_iter()
            .map_init(Room::default, |room, (held, read, most_mm)| {
                let hold = Hold {
                    near: self,
                    held,
                    read,
                    keep_mm: so_far_mm,
                };
                let kept = &samples[held.samples.clone()];
                (!(self.of.stop)()).then(|| hold.hold(kept, *most_mm, room))
            })
            .collect::<Option<_>>()?;
        let before = zone.samples.len();
        for found in &held {
            zone.rest_mm = zone.rest_mm.max(found.rest_mm);
            zone.samples
                .extend(found.samples.iter().map(|(_, cone)| *cone));
        }
        *keep_mm = self.of.keep_mm(zone).max(*keep_mm);
        zone.samples.truncate(before);
        let mut bounds = Vec::new();
        for found in &held {
            let mut ways = TakeUp::new(&found.ways);
            for (most_mm, cone) in &found.samples {
                let slack = |point: &PointCone| point.depth_mm - point.surely_mm;
                let slack_mm = cone.corners.iter().map(slack).fold(0.0, f64::max);
                if most_mm <= keep_mm {
                    zone.rest_mm = zone.rest_mm.max(*most_mm);
                } else if slack_mm <= known_mm && cone.standing == Standing::Known {
                    let mut cone = *cone;
                    for corner in &mut cone.corners {
                        ways.point(corner, &mut zone.ways);
                    }
                    zone.samples.push(cone);
                } else {
                    bounds.push((*most_mm, cone.sample));
                }
            }
        }
        self.read_corners(bounds, keep_mm, zone)
    }

    fn read_patches(&self, these: &[Held]) -> Option<Vec<(PatchCone, Option<Read>)>> {
        these
            .par_iter()
            .with_min_len(FEW)
            .map_init(Room::default, |room, held| {
                (!(self.of.stop)()).then(|| self.read_patch(held, room))
            })
            .collect()
    }

    /// What one reading says of all of a patch; no reading where all of it is open.
    fn read_patch(&self, held: &Held, room: &mut Room) -> (PatchCone, Option<Read>) {
        let patch = self.of.sieve.patches.patch(held.patch);
        let sample = &self.of.samples()[patch.chosen as usize];
        let middle = sample.centroid();
        let mut cone = PatchCone {
            patch: held.patch,
            area_mm2: patch.area_mm2,
            in_doubt: false,
            spread_mm: patch.spread_mm,
            points: PointCone::STILL,
        };
        if !held.is_undercut
            && let Some(points) = self.of.open_patch(patch)
        {
            cone.points = points;
            return (cone, None);
        }
        let ways = [patch.level_mm, patch.spread_mm];
        let read = self.read_at(sample, &middle, ways, room);
        let own = self.point(&middle, sample.facet, &read.reach);
        let all_mm = (own.depth_mm + patch.spread_mm).max(patch.level_mm);
        let depth_mm = if self.of.cone_rad <= FRESH_RAD && !read.way.is_empty() {
            all_mm.min(self.all_mm(held, &read))
        } else {
            all_mm
        };
        let sure = own.surely_mm > patch.level_mm;
        cone.points = PointCone {
            depth_mm: depth_mm.min(DEPTH_CAP_MM),
            surely_mm: if sure {
                own.surely_mm - patch.level_mm
            } else {
                0.0
            },
            // No place is farther from any other point of it.
            rise_mm: own.rise_mm + patch.level_mm,
            fall_mm: if sure { own.fall_mm } else { 0.0 },
            free_rad: 0.0,
            way: NO_WAY,
        };
        let within_mm = cone.most_mm(self.of.cone_rad) + patch.spread_mm;
        cone.in_doubt = may_be_near(self.gauge.sight, &middle, within_mm, self.of.cone_rad);
        (cone, Some(read))
    }

    /// How deep the samples of a patch are at the draw that is read at the most, as the way of one says.
    fn all_mm(&self, held: &Held, read: &Read) -> f64 {
        let samples = self.of.sieve.patches.samples(held.patch).iter();
        let of_sample = |&number: &u32| {
            let sample = &self.of.samples()[number as usize];
            let (at, _) = self.gauge.sight.see_point(&sample.centroid());
            let far = sample.corners.iter().map(|p| {
                let x = self.gauge.sight.see_point(p).0;
                (x[0] - at[0]).powi(2) + (x[1] - at[1]).powi(2)
            });
            read.way_mm(at, sample.facet) + far.fold(0.0, f64::max).sqrt()
        };
        samples.map(of_sample).fold(0.0, f64::max)
    }

    /// Reads a point of a sample, and keeps its way. How far ways to it over the patch go is told with how
    /// far the patch does.
    fn read_at(
        &self,
        sample: &Sample,
        p: &Point3<f64>,
        [level_mm, spread_mm]: [f64; 2],
        room: &mut Room,
    ) -> Read {
        let reach = reach_at(&self.gauge, sample, p, room);
        let (at, height) = self.gauge.sight.see_point(p);
        let (clear, near_mm) = if self.of.cone_rad > 0.0 && !room.way.is_empty() {
            let clear = self
                .of
                .heights
                .clear(reach.out, reach.heights[1], self.of.cone_rad);
            let rise_mm = self.of.rise(&reach, height, clear) + level_mm;
            let most_mm = reach.depth_mm + spread_mm + rise_mm * self.of.cone_rad.sin();
            (clear, spread_mm + self.of.near_mm(height, most_mm))
        } else {
            (height, 0.0)
        };
        let has_way = self.of.cone_rad > 0.0 && !room.way.is_empty();
        Read {
            bends: if has_way {
                self.of.bends(room, reach.out, clear)
            } else {
                Vec::new()
            },
            way: room.way.clone(),
            facet: sample.facet,
            level_mm,
            clear,
            near: self.of.heights.within(at, near_mm + spread_mm),
            near_mm,
            reach,
        }
    }

    /// What the way of another sample says of an undercut point.
    fn held_point(&self, read: &Read, p: &Point3<f64>, facet: u32) -> PointCone {
        let (at, height) = self.gauge.sight.see_point(p);
        let depth_mm = read.way_mm(at, facet).min(DEPTH_CAP_MM);
        let along_mm = read.along_mm(facet);
        let exit = self.gauge.undersides.exits.nearest(at);
        let surely_mm = exit.map_or(DEPTH_CAP_MM, |exit| exit.distance2.sqrt());
        let surely_mm = surely_mm.min(depth_mm);
        if self.of.cone_rad <= 0.0 {
            return PointCone {
                depth_mm,
                surely_mm,
                ..PointCone::STILL
            };
        }
        let sides_mm = (read.clear - height).max(height - read.reach.heights[0]);
        let rise_mm = sides_mm.hypot(depth_mm).max(along_mm);
        let most_mm = (depth_mm + rise_mm * self.of.cone_rad.sin()).min(DEPTH_CAP_MM);
        PointCone {
            depth_mm,
            surely_mm,
            rise_mm,
            fall_mm: if self.of.near_mm(height, most_mm) <= read.near_mm {
                self.of.fall_in(read.near, height, most_mm)
            } else {
                self.of.fall(at, height, most_mm)
            },
            free_rad: 0.0,
            way: NO_WAY,
        }
    }

    /// Reads corners, those that may be deepest first, until the others cannot decide. Each sample comes
    /// with a bound of how deep it is over the cone.
    fn read_corners(
        &self,
        mut bounds: Vec<(f64, u32)>,
        keep_mm: &mut f64,
        zone: &mut ZoneCone,
    ) -> Option<()> {
        bounds.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut left = bounds.as_slice();
        let mut next = 64;
        while let Some((most_mm, _)) = left.first() {
            if *most_mm <= *keep_mm {
                zone.rest_mm = zone.rest_mm.max(*most_mm);
                break;
            }
            let count = left.partition_point(|(most, _)| *most > *keep_mm).min(next);
            let (now, later) = left.split_at(count);
            let read: Vec<(SampleCone, Ways)> = now
                .par_iter()
                .with_min_len(FEW)
                .map_init(Room::default, |room, (_, sample)| {
                    self.sample(*sample, room)
                })
                .collect::<Option<_>>()?;
            for (mut sample, ways) in read {
                let more = zone.ways.take_up(&ways);
                for corner in &mut sample.corners {
                    if corner.way != NO_WAY {
                        corner.way += more;
                    }
                }
                zone.samples.push(sample);
            }
            *keep_mm = self.of.keep_mm(zone).max(*keep_mm);
            left = later;
            next *= 2;
        }
        Some(())
    }

    fn sample(&self, sample: u32, room: &mut Room) -> Option<(SampleCone, Ways)> {
        if (self.of.stop)() {
            return None;
        }
        let of = &self.of.samples()[sample as usize];
        let places = of.inner_corners();
        let mut ways = Ways::default();
        let mut corners = [PointCone::UNKNOWN; 3];
        for (place, corner) in places.iter().zip(&mut corners) {
            let read = reach_at(&self.gauge, of, place, room);
            *corner = self.point(place, of.facet, &read);
            if self.of.cone_rad > 0.0 && !room.way.is_empty() {
                let clear = self
                    .of
                    .heights
                    .clear(read.out, read.heights[1], self.of.cone_rad);
                let bends = ways.bends(&self.of.bends(room, read.out, clear));
                corner.way = ways.push(place.coords, bends, 0.0);
            }
        }
        let cone = SampleCone {
            sample,
            area_mm2: of.area,
            standing: self.standing(sample, &corners, room),
            corners,
        };
        Some((cone, ways))
    }

    /// What is known of a sample over the cone, judged at its centroid.
    fn standing(&self, sample: u32, corners: &[PointCone; 3], room: &mut Room) -> Standing {
        let most = corners.iter().map(|point| point.most_mm(self.of.cone_rad));
        let most_mm = most.fold(0.0, f64::max) + self.of.extent(sample);
        let of = &self.of.samples()[sample as usize];
        let sight = self.gauge.sight;
        if !may_be_near(sight, &of.centroid(), most_mm, self.of.cone_rad) {
            return Standing::Known;
        }
        let gauge = self.gauge;
        if is_unknown(&gauge, of, &reach(&gauge, of, room)) {
            Standing::Unknown
        } else if self.of.cone_rad > 0.0 {
            Standing::InDoubt
        } else {
            Standing::Known
        }
    }

    /// What the reading at a point says over the cone: see [`super::cone`].
    fn point(&self, p: &Point3<f64>, facet: u32, read: &Reach) -> PointCone {
        let depth_mm = read.depth_mm;
        if self.of.cone_rad <= 0.0 {
            return PointCone {
                depth_mm,
                surely_mm: depth_mm,
                ..PointCone::STILL
            };
        }
        if !read.undercut {
            return self.of.open_point(p, facet);
        }
        let (at, height) = self.gauge.sight.see_point(p);
        let rise_mm = if read.capped {
            0.0
        } else {
            let clear = self
                .of
                .heights
                .clear(read.out, read.heights[1], self.of.cone_rad);
            self.of.rise(read, height, clear)
        };
        let most_mm = (depth_mm + rise_mm * self.of.cone_rad.sin()).min(DEPTH_CAP_MM);
        PointCone {
            depth_mm,
            surely_mm: depth_mm,
            rise_mm,
            fall_mm: self.of.fall(at, height, most_mm),
            free_rad: 0.0,
            way: NO_WAY,
        }
    }
}

/// Radians. Over wider cones it is not asked how long a point stays open, which costs the more the wider
/// they are: 0.3 degrees.
const OPEN_RAD: f64 = 0.3 * std::f64::consts::PI / 180.0;
