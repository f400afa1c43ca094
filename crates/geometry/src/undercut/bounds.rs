//! How deep the samples of a zone are along one draw, as far as it decides what is asked.
//!
//! A reading costs a search for the way out, so few are taken: none in patches that are open (see `open`),
//! one in each of the others, and more only where what is known does not decide: see `deepest` for what one
//! sample tells of the rest.
//!
//! The bounds hold where a way is found within 10 mm; in a patch where none is, or where a facet faces away
//! with nothing over it though its own side has no way out, every sample is read.

use super::cut::Looked;
use super::deepest::{Held, Sieve};
use super::fillings::may_be_near;
use super::gauge::{Reach, Room};
use super::judge::{is_undercut_at, is_unknown, reach};
use super::plan::Plan;
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
    /// What is known of each sample, given the patches that are not open; `None` if it was stopped.
    pub(crate) fn of(&self, held: &[Held], asked: Asked) -> Option<Vec<Known>> {
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
        let samples = self.sieve.samples;
        let patch = self.sieve.patches.patch(held.patch);
        let member = |&sample: &u32| {
            let of = &samples[sample as usize];
            let undercut =
                held.is_undercut || is_undercut_at(&self.looked.sight, of, &of.centroid());
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
        let middle = samples[patch.chosen as usize].centroid();
        let within_mm = DEPTH_CAP_MM + patch.spread_mm;
        if asked == Asked::Depth && !may_be_near(&self.looked.sight, &middle, within_mm, 0.0) {
            return members;
        }
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
            let facet = samples[members[next].sample as usize].facet;
            for member in members.iter_mut().filter(|member| !member.known.is_read) {
                let along_mm = if samples[member.sample as usize].facet == facet {
                    0.0
                } else {
                    level_mm
                };
                let far = |x: &Plan| (x[0] - member.at[0]).hypot(x[1] - member.at[1]);
                let way = room.way.iter().map(far).fold(along_mm, f64::max);
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
}
