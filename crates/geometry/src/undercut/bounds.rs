//! How deep the samples of a zone are along one draw, as far as it decides what is asked.
//!
//! A reading costs a search for the way out, so few are taken: none in patches that are open (see `open`),
//! one in each of the others, and more only where what is known does not decide: see `patches` for what one
//! sample tells of the rest. And no way is shorter than to the nearest exit, whatever lies between.
//!
//! The bounds hold where a way is found within 10 mm; in a patch where none is, or where a facet faces away
//! with nothing over it though its own side has no way out, every sample is read.

use super::cone::ZoneCone;
use super::cut::Looked;
use super::deepest::{Deepest, Held, Left, Sieve};
use super::fillings::may_be_near;
use super::gauge::{Reach, Room};
use super::judge::{is_undercut, is_unknown, reach};
use super::plan::Plan;
use super::reading::{self, Deep};
use super::stop::Stop;
use super::tolerance::{DEPTH_CAP_MM, GAUGE_STEPS_MM};
use rayon::prelude::*;

/// Millimetres. Separates a bound from the rounding of readings.
const ROUNDING_MM: f64 = 1e-6;

/// What is asked of the samples of a zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Asked {
    /// Bounds, from which the depth of the zone is found.
    Depth,
    /// That, and whether each is deeper than each gauge step.
    Steps,
}

/// What is known of a sample, judged at its centroid.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Known {
    pub(crate) undercut: bool,
    /// A hole leaves it unknown: it counts nowhere, so nothing else is said of it.
    pub(crate) unknown: bool,
    /// It is at least and at most so deep: the same where that is known for sure.
    least_mm: f64,
    most_mm: f64,
    /// Never of samples that are open all over, their corners too.
    is_read: bool,
}

impl Known {
    fn read(reach: &Reach, unknown: bool) -> Self {
        let depth_mm = if unknown { 0.0 } else { reach.depth_mm };
        Self {
            undercut: reach.undercut && !unknown,
            unknown,
            least_mm: depth_mm,
            most_mm: depth_mm,
            is_read: true,
        }
    }

    /// Whether it is deeper than a gauge step, once that is known.
    pub(crate) fn is_beyond(&self, step_mm: f64) -> bool {
        self.least_mm > step_mm
    }

    fn decides(&self, step_mm: f64) -> bool {
        self.is_read
            || self.least_mm > step_mm + ROUNDING_MM
            || self.most_mm <= step_mm - ROUNDING_MM
    }
}

/// The samples of one zone along a draw.
pub(crate) struct Bounds<'a> {
    pub(crate) looked: &'a Looked<'a>,
    pub(crate) sieve: Sieve<'a>,
    pub(crate) stop: &'a Stop<'a>,
}

/// A sample of a patch that is looked at.
struct Member {
    sample: u32,
    at: Plan,
    known: Known,
}

impl Bounds<'_> {
    /// What is known of each sample; `None` if it was stopped.
    pub(crate) fn of(&self, asked: Asked) -> Option<Vec<Known>> {
        let all = self.sieve.patches.roots().map(|patch| Held {
            patch,
            is_undercut: false,
            most_mm: DEPTH_CAP_MM,
            here_mm: DEPTH_CAP_MM,
        });
        let all = Left {
            patches: all.collect(),
            ..Left::default()
        };
        let held = self.sieve.sift(all, 0.0).patches;
        let patches: Vec<Vec<Member>> = held
            .par_iter()
            .with_min_len(8)
            .map_init(Room::default, |room, held| {
                (!(self.stop)()).then(|| self.patch(held, asked, room))
            })
            .collect::<Option<_>>()?;
        let mut known = vec![Known::default(); self.sieve.samples.len()];
        for member in patches.into_iter().flatten() {
            known[member.sample as usize] = member.known;
        }
        Some(known)
    }

    /// The undercut samples of a patch.
    fn patch(&self, held: &Held, asked: Asked, room: &mut Room) -> Vec<Member> {
        let gauge = self.looked.gauge();
        let samples = self.sieve.samples;
        let patch = self.sieve.patches.patch(held.patch);
        let member = |&sample: &u32| {
            let undercut =
                held.is_undercut || is_undercut(&gauge, &samples[sample as usize]);
            Member {
                sample,
                at: self.at(sample),
                known: Known {
                    undercut,
                    most_mm: if undercut { DEPTH_CAP_MM } else { 0.0 },
                    is_read: !undercut,
                    ..Known::default()
                },
            }
        };
        let of_patch = self.sieve.patches.samples(held.patch).iter();
        let mut members: Vec<Member> = of_patch.map(member).collect();
        // The sample ways are known to and from; else one in the middle, over that one.
        let left = (0..members.len()).filter(|&i| !members[i].known.is_read);
        let left: Vec<usize> = left.collect();
        let is_chosen = |i: &&usize| members[**i].sample == patch.chosen;
        let chosen = left.iter().find(is_chosen).or(left.get(left.len() / 2));
        let mut next = chosen.copied().unwrap_or(usize::MAX);
        while next < members.len() {
            let level_mm = if members[next].sample == patch.chosen {
                patch.level_mm
            } else {
                2.0 * patch.level_mm
            };
            let read = self.read(&mut members[next], room);
            if read.capped || read.depth_mm <= 0.0 {
                for member in members.iter_mut().filter(|member| !member.known.is_read) {
                    self.read(member, room);
                }
                return members;
            }
            let at = members[next].at;
            for member in members.iter_mut().filter(|member| !member.known.is_read) {
                let way = (read.depth_mm + far(at, member.at)).max(level_mm);
                member.known.most_mm = member.known.most_mm.min(way);
            }
            next = match asked {
                Asked::Depth => break,
                Asked::Steps => self.undecided(&mut members).unwrap_or(usize::MAX),
            };
        }
        for member in &mut members {
            let middle = samples[member.sample as usize].centroid();
            let most_mm = member.known.most_mm;
            if !member.known.is_read && may_be_near(&self.looked.sight, &middle, most_mm, 0.0) {
                self.read(member, room);
            }
        }
        members
    }

    /// One of those of which it is not known whether they are deeper than each gauge step, if any.
    fn undecided(&self, members: &mut [Member]) -> Option<usize> {
        let mut left = Vec::new();
        for (i, member) in members.iter_mut().enumerate() {
            if GAUGE_STEPS_MM.iter().all(|s| member.known.decides(*s)) {
                continue;
            }
            if member.known.least_mm <= 0.0 {
                let exit = self.looked.gauge().undersides.exits.nearest(member.at);
                member.known.least_mm = exit.map_or(DEPTH_CAP_MM, |exit| exit.distance2.sqrt());
            }
            if !GAUGE_STEPS_MM.iter().all(|s| member.known.decides(*s)) {
                left.push(i);
            }
        }
        left.get(left.len() / 2).copied()
    }

    fn read(&self, member: &mut Member, room: &mut Room) -> Reach {
        let gauge = self.looked.gauge();
        let sample = &self.sieve.samples[member.sample as usize];
        let read = reach(&gauge, sample, room);
        member.known = Known::read(&read, is_unknown(&gauge, sample, &read));
        read
    }

    fn at(&self, sample: u32) -> Plan {
        let middle = self.sieve.samples[sample as usize].centroid();
        self.looked.sight.see_point(&middle).0
    }

    /// The depth of the zone to the last bit, and whether it is capped; `None` if it was stopped.
    ///
    /// Samples that may be among the deepest are read at their centroids until the others cannot be, then
    /// at their corners.
    pub(crate) fn depth(
        &self,
        mut known: Vec<Known>,
        deepest: &Deepest<'_>,
    ) -> Option<(f64, bool)> {
        let samples = self.sieve.samples;
        let extents: Vec<f64> = (0_u32..)
            .zip(samples)
            .map(|(i, _)| deepest.extent(i))
            .collect();
        loop {
            let sure: Vec<Deep> = (0..known.len())
                .filter(|&i| known[i].is_read && known[i].most_mm > extents[i])
                .map(|i| {
                    let least_mm = known[i].least_mm - extents[i];
                    Deep::new(samples[i].area, [least_mm; 3], false)
                })
                .collect();
            let sure_mm = reading::depth(&sure).0;
            let may_be = |&i: &usize| {
                known[i].undercut && !known[i].is_read && known[i].most_mm + extents[i] > sure_mm
            };
            let mut left: Vec<usize> = (0..known.len()).filter(may_be).collect();
            if left.is_empty() {
                break;
            }
            left.sort_unstable_by(|&a, &b| known[b].most_mm.total_cmp(&known[a].most_mm));
            left.truncate(AT_ONCE.max(left.len() / 4));
            let gauge = self.looked.gauge();
            let read: Vec<Known> = left
                .par_iter()
                .with_min_len(16)
                .map_init(Room::default, |room, &i| {
                    let sample = &samples[i];
                    (!(self.stop)()).then(|| {
                        let read = reach(&gauge, sample, room);
                        Known::read(&read, is_unknown(&gauge, sample, &read))
                    })
                })
                .collect::<Option<_>>()?;
            for (i, read) in left.into_iter().zip(read) {
                known[i] = read;
            }
        }
        let counted = (0..)
            .zip(&known)
            .filter(|(_, known)| (known.undercut || known.is_read) && !known.unknown);
        let bounds = counted.map(|(i, known): (u32, _)| {
            let most_mm = known.most_mm + extents[i as usize];
            (most_mm.min(DEPTH_CAP_MM), i)
        });
        let zone = deepest.read_corners(bounds.collect(), ZoneCone::default())?;
        let depth_mm = zone.most_mm(0.0);
        Some((depth_mm, depth_mm >= DEPTH_CAP_MM))
    }
}

/// Samples read between one look at what is known and the next.
const AT_ONCE: usize = 256;

fn far(a: Plan, b: Plan) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}
