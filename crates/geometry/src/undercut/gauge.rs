//! The undercut gauge: from an undercut point, the shortest way out across the draw.
//!
//! Definition: the length of the shortest straight segment across the draw that starts at the point,
//! leaves on the outward side of the surface, runs in air, and ends where the line along the draw
//! meets no more of the scan.
//!
//! Why rims are enough: at the point's height the plan parts into places that are covered and
//! places that are open. The segment starts covered; its end is the first open place, so it lies
//! where covered changes to open. There the top of the cast falls through the height: either by a
//! drop, which happens at a rim seen along the draw, or by running down through the height, and
//! then the segment would come from under the surface and meet it. So the shortest way out ends on
//! a rim. On one straight rim piece the shortest is the nearest place, if that place passes. The
//! pieces are asked nearest first, the sky over the end and the air along the way are checked with
//! the facets themselves, and the first that passes is the answer.
//!
//! Where the nearest place of a piece is shut and an end of it open, as where rims cross in plan or
//! where something in the way ends, the place where it opens is found to 0.01 mm, and asked in its
//! turn.
//!
//! What it may miss: an opening within one piece (0.15 mm) that reaches neither of its ends. After
//! several ways in a row were shut, directions are first felt out every 2 degrees, and a rim beyond
//! what is free on both sides of its direction is taken as shut: a slit narrower than that is
//! missed.
//!
//! Bumps: a line across the draw that starts on a scan of a flat floor would be stopped by the
//! noise of the scanner at once. So a gauge passes over what faces the draw and is at most
//! `BUMP_MM` high: at the first such thing it goes on that much higher, and from there on may
//! enter no facet.

use super::rim::{RimPiece, Rims};
use super::tolerance::{BUMP_MM, DEPTH_CAP_MM, FLOOR_SLACK_MM, START_MM};
use super::view::{Plan, View};
use crate::tolerance::MET_RAD;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// A point of the surface, as the gauge needs it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Probe {
    pub(crate) at: Plan,
    pub(crate) height: f64,
    pub(crate) facet: u32,
}

/// What the gauge reads at a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reach {
    pub(crate) depth_mm: f64,
    /// Unit plan direction of the way out; zero if there is none or it has no length.
    pub(crate) toward: Plan,
    pub(crate) capped: bool,
}

/// Share of a rim piece to which it is found where it opens: 0.01 mm.
const OPENING_STEP: f64 = 1.0 / 16.0;

/// Ways found shut before directions are felt out.
/// Tuned: 6. Smaller feels out points that have a way; larger wastes lines in closed pockets.
const SHUT_BEFORE_FEELING: u32 = 6;

/// Directions felt out, 2 degrees apart.
const DIRECTIONS: usize = 180;

/// Millimetres. A rim this little beyond what was felt to be free is still tried.
const FEEL_SLACK_MM: f64 = 0.25;

#[derive(Debug, Clone, Copy)]
struct Candidate {
    /// Square of the distance.
    distance2: f64,
    piece: u32,
    foot: Plan,
    /// Whether the nearest place of the piece was shut, and this is where it opens.
    second: bool,
}

impl PartialEq for Candidate {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Candidate {}

impl PartialOrd for Candidate {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Candidate {
    /// The nearest is the greatest, so that a heap gives it first.
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .distance2
            .total_cmp(&self.distance2)
            .then(other.piece.cmp(&self.piece))
    }
}

/// Room for the candidates of one probe after another.
#[derive(Debug, Default)]
pub(crate) struct Candidates(BinaryHeap<Candidate>);

/// The gauge of one view.
#[derive(Debug)]
pub(crate) struct Gauge<'v> {
    pub(crate) view: &'v View<'v>,
    pub(crate) rims: &'v Rims,
}

/// A probe lifted off its surface.
struct Start {
    at: Plan,
    height: f64,
    own: u32,
    /// Plan part of the outward normal.
    normal: Plan,
    faces_draw: bool,
}

impl Start {
    /// Whether the way to an end leads into the surface.
    fn is_inward(&self, end: Plan) -> bool {
        let way = [end[0] - self.at[0], end[1] - self.at[1]];
        let outward = way[0] * self.normal[0] + way[1] * self.normal[1];
        outward < 0.0 && outward < -MET_RAD * way[0].hypot(way[1])
    }
}

/// A straight way at one height.
#[derive(Clone, Copy)]
struct Level {
    /// Share of it that runs in air.
    share: f64,
    /// Whether a gauge may pass over what stops it, if that is low.
    passable: bool,
}

/// Search state of one probe.
struct Search<'n> {
    near: &'n mut BinaryHeap<Candidate>,
    shut: u32,
    felt: Option<Box<Felt>>,
    found: Option<Candidate>,
}

struct Felt {
    free: [f64; DIRECTIONS],
    most: f64,
}

impl Gauge<'_> {
    /// What the gauge reads at an undercut point that is covered along the draw.
    pub(crate) fn read(&self, probe: &Probe, near: &mut Candidates) -> Reach {
        let normal = self.view.surface.normals[probe.facet as usize];
        let (plan_normal, rise) = self.view.axes.see(&normal);
        let start = Start {
            at: [0, 1].map(|k| probe.at[k] + START_MM * plan_normal[k]),
            height: probe.height + START_MM * rise,
            own: probe.facet,
            normal: plan_normal,
            faces_draw: self.view.facing[probe.facet as usize] > 0,
        };
        near.0.clear();
        let mut search = Search {
            near: &mut near.0,
            shut: 0,
            felt: None,
            found: None,
        };
        self.rims.rings(
            probe.at,
            &mut search,
            |search, index| {
                let piece = &self.rims.pieces[index as usize];
                if piece.top < start.height || piece.floor > start.height + FLOOR_SLACK_MM {
                    return;
                }
                let (foot, distance2) = piece.nearest(probe.at);
                if distance2 < DEPTH_CAP_MM * DEPTH_CAP_MM {
                    search.near.push(Candidate {
                        distance2,
                        piece: index,
                        foot,
                        second: false,
                    });
                }
            },
            |search, away| self.try_nearer_than(search, &start, away),
        );
        match search.found {
            None => Reach {
                depth_mm: DEPTH_CAP_MM,
                toward: [0.0; 2],
                capped: true,
            },
            Some(Candidate {
                distance2, foot, ..
            }) => {
                let distance = distance2.sqrt();
                Reach {
                    depth_mm: distance,
                    toward: if distance > 0.0 {
                        [0, 1].map(|k| (foot[k] - probe.at[k]) / distance)
                    } else {
                        [0.0; 2]
                    },
                    capped: false,
                }
            }
        }
    }

    /// Tries the candidates that no later one can be nearer than. Says whether to search on.
    fn try_nearer_than(&self, search: &mut Search<'_>, start: &Start, away: f64) -> bool {
        while let Some(&next) = search.near.peek() {
            if away < 0.0 || next.distance2 > away * away {
                break;
            }
            search.near.pop();
            let end = self.beyond(next);
            let worth = match &search.felt {
                Some(felt) => {
                    let felt = felt.free_toward(start.at, end) + FEEL_SLACK_MM;
                    felt * felt >= next.distance2
                }
                None => true,
            };
            if worth {
                if self.opens(start, end) {
                    search.found = Some(next);
                    return false;
                }
                if !next.second {
                    search.near.extend(self.where_it_opens(start, next));
                }
            }
            search.shut += 1;
            if search.shut == SHUT_BEFORE_FEELING {
                search.felt = Some(Box::new(self.feel(start)));
            }
        }
        let limit = search
            .felt
            .as_ref()
            .map_or(DEPTH_CAP_MM, |felt| felt.most + FEEL_SLACK_MM);
        away < limit.min(DEPTH_CAP_MM)
    }

    /// Where the sky over a way out is judged.
    fn beyond(&self, way: Candidate) -> Plan {
        self.rims.pieces[way.piece as usize].beyond(way.foot)
    }

    /// The nearest place of a piece that is open, when its nearest place of all is shut and an end
    /// of it is open: where rims cross in plan, or something in the way ends, the way out leads to
    /// a place within a piece.
    fn where_it_opens(&self, start: &Start, shut: Candidate) -> Option<Candidate> {
        let piece: &RimPiece = &self.rims.pieces[shut.piece as usize];
        let open = |foot: Plan| self.opens(start, piece.beyond(foot));
        let away = |foot: Plan| {
            let way = [foot[0] - start.at[0], foot[1] - start.at[1]];
            way[0] * way[0] + way[1] * way[1]
        };
        let [one, other] = piece.ends_inside();
        let ends = if away(one) <= away(other) {
            [one, other]
        } else {
            [other, one]
        };
        let further = |end: &Plan| away(*end) > shut.distance2;
        let end = ends.into_iter().filter(further).find(|&end| open(end))?;
        let at = |t: f64| [0, 1].map(|k| shut.foot[k] + t * (end[k] - shut.foot[k]));
        // It mostly opens nearby: in doubling steps, and then by halving the last.
        let (mut bad, mut good) = (0.0, OPENING_STEP);
        while good < 1.0 && !open(at(good)) {
            bad = good;
            good *= 2.0;
        }
        while good - bad > OPENING_STEP {
            let middle = 0.5 * (bad + good);
            if open(at(middle)) {
                good = middle;
            } else {
                bad = middle;
            }
        }
        let good = at(good);
        Some(Candidate {
            distance2: away(good),
            foot: good,
            second: true,
            ..shut
        })
    }

    /// Whether the straight way to an end runs in air, and the sky over the end is open.
    fn opens(&self, start: &Start, end: Plan) -> bool {
        if start.is_inward(end) && !start.faces_draw {
            return false;
        }
        // What covers the end even above a bump shuts every way to it; asking is cheap.
        let bump = start.height + BUMP_MM;
        let top = self.view.top(end, bump);
        if top > bump {
            return false;
        }
        let level = self.level(start, end);
        if level.share >= 1.0 && top <= start.height {
            return true;
        }
        // A floor that rises over the end stops the way just as a bump on the way does.
        self.over_bump(start, end, level) >= 1.0
    }

    /// The way at the start's own height, as far as it runs in air.
    fn level(&self, start: &Start, end: Plan) -> Level {
        let way = [end[0] - start.at[0], end[1] - start.at[1]];
        if start.is_inward(end) {
            return Level {
                share: 0.0,
                passable: start.faces_draw,
            };
        }
        let met = self
            .view
            .first_across(start.at, end, start.height, |f| f != start.own);
        match met {
            None => Level {
                share: 1.0,
                passable: true,
            },
            Some(met) => Level {
                share: (met.share - START_MM / way[0].hypot(way[1])).max(0.0),
                passable: self.view.facing[met.facet as usize] > 0,
            },
        }
    }

    /// Share of the way that runs in air if the gauge passes over what stopped it. From there on
    /// nothing may be entered.
    fn over_bump(&self, start: &Start, end: Plan, level: Level) -> f64 {
        if !level.passable {
            return level.share;
        }
        let way = [end[0] - start.at[0], end[1] - start.at[1]];
        let enters = |f: u32| {
            let (n, _) = self.view.axes.see(&self.view.surface.normals[f as usize]);
            n[0] * way[0] + n[1] * way[1] < 0.0
        };
        let from = [0, 1].map(|k| start.at[k] + level.share * way[k]);
        let height = start.height + BUMP_MM;
        match self.view.first_across(from, end, height, enters) {
            None => 1.0,
            Some(met) => level.share + met.share * (1.0 - level.share),
        }
    }

    /// How far it is free in each direction.
    fn feel(&self, start: &Start) -> Felt {
        let mut felt = Felt {
            free: [0.0; DIRECTIONS],
            most: 0.0,
        };
        for (i, free) in felt.free.iter_mut().enumerate() {
            let (sin, cos) = (i as f64 * FELT_STEP_RAD).sin_cos();
            let end = [
                start.at[0] + DEPTH_CAP_MM * cos,
                start.at[1] + DEPTH_CAP_MM * sin,
            ];
            let level = self.level(start, end);
            let share = if level.share < 1.0 {
                self.over_bump(start, end, level)
            } else {
                1.0
            };
            *free = share * DEPTH_CAP_MM;
            felt.most = felt.most.max(*free);
        }
        felt
    }
}

const FELT_STEP_RAD: f64 = std::f64::consts::TAU / DIRECTIONS as f64;

impl Felt {
    fn free_toward(&self, from: Plan, to: Plan) -> f64 {
        let angle = (to[1] - from[1]).atan2(to[0] - from[0]);
        let place = angle.rem_euclid(std::f64::consts::TAU) / FELT_STEP_RAD;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the number of directions"
        )]
        let below = place as usize;
        self.free[below % DIRECTIONS].max(self.free[(below + 1) % DIRECTIONS])
    }
}
