//! What would have to change for one draw to be acceptable with an allowance.

use super::apply::{retapered, rounded_down_mm, rounded_up_mm, rounded_up_rad};
use super::{Change, Target, WANTED_ALLOWANCE_RAD};
use crate::control::Cancelled;
use crate::evaluation::{is_prep, wall_margin_rad};
use crate::field::{Field, depth_value};
use crate::limit::{Limit, LimitClass, LimitKind, OverrunScales, Place};
use crate::ridge_map::RidgeMap;
use crate::sphere::{chart_grid, travel};
use std::collections::BTreeMap;
use std::f64::consts::TAU;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_geometry::work::Blockout;

/// A set of changes and the draw it was made for.
pub(super) type Proposal = (Vec<Change>, UnitVector3<f64>);

/// Spacing of the draws that are visited: half a degree.
const SPACING_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;

/// Draws on the rim of the wanted allowance at which the map is asked.
const RIM: usize = 12;

/// Radians. A retaper is followed no further than this.
const RETAPER_AT_MOST_RAD: f64 = 30.0 * std::f64::consts::PI / 180.0;

/// The best proposal of at most so many changes for every set of places met on the grid, in the order of
/// the places. `map` covers the search window.
pub(super) fn proposals(
    field: &Field<'_>,
    map: &RidgeMap,
    scales: &OverrunScales,
    changes_at_most: usize,
) -> Result<Vec<Proposal>, Cancelled> {
    let mut best: BTreeMap<Vec<Target>, (f64, Proposal)> = BTreeMap::new();
    let mut fewest = usize::MAX;
    for d in chart_grid(field.reach_rad(), SPACING_RAD) {
        if field.control.cancelled() {
            return Err(Cancelled);
        }
        let short = short_walls(field, &d);
        let of_one = |a: &Short, b: &Short| a.coping == b.coping;
        let copings: Vec<&[Short]> = short.chunk_by(of_one).collect();
        let zones = zone_needs(field, map, &d);
        // A coping takes one change at the least.
        let least = copings.len() + zones.len();
        let is_small = changes_at_most < usize::MAX;
        if least == 0 || least > changes_at_most || (!is_small && least > fewest) {
            continue;
        }
        fewest = fewest.min(least);
        // Where more than a few are needed, nothing is said but the fewest.
        let room = if is_small { changes_at_most } else { least };
        for mut set in wall_changes(field, &copings, &d, room - zones.len()) {
            set.extend(&zones);
            let cost = set.iter().map(|change| change.cost(scales)).sum();
            let key = set.iter().map(Change::target).collect();
            let entry = best.entry(key).or_insert((f64::INFINITY, (Vec::new(), d)));
            if cost < entry.0 {
                *entry = (cost, (set, d));
            }
        }
    }
    Ok(best.into_values().map(|(_, proposal)| proposal).collect())
}

/// A wall that falls short, and by how much.
struct Short {
    coping: usize,
    side: Side,
    by_rad: f64,
}

fn short_walls(field: &Field<'_>, d: &UnitVector3<f64>) -> Vec<Short> {
    let mut short: Vec<Short> = Vec::new();
    for limit in &field.limits {
        let Place::Wall(coping, side) = limit.place else {
            continue;
        };
        let Some(margin) = field.margin_of(limit, d) else {
            continue;
        };
        // A preference need only be met: nothing binds where the hand misses it.
        let by_rad = match limit.kind.class() {
            LimitClass::Preference if margin >= -MET_RAD => 0.0,
            LimitClass::Preference => -margin,
            _ => WANTED_ALLOWANCE_RAD - margin,
        };
        if by_rad <= 0.0 {
            continue;
        }
        match short
            .last_mut()
            .filter(|last| last.coping == coping && last.side == side)
        {
            Some(last) => last.by_rad = last.by_rad.max(by_rad),
            None => short.push(Short {
                coping,
                side,
                by_rad,
            }),
        }
    }
    short
}

/// Every way of giving all short walls their allowance with at most so many changes: one of those of each
/// coping.
fn wall_changes(
    field: &Field<'_>,
    copings: &[&[Short]],
    d: &UnitVector3<f64>,
    room: usize,
) -> Vec<Vec<Change>> {
    let mut sets = vec![Vec::new()];
    for (index, short) in copings.iter().enumerate() {
        let still_to_come = copings.len() - index - 1;
        let ways = coping_changes(field, short, d, room);
        sets = sets
            .iter()
            .flat_map(|set: &Vec<Change>| ways.iter().map(move |way| [&set[..], &way[..]].concat()))
            .filter(|set| set.len() + still_to_come <= room)
            .collect();
    }
    sets
}

/// Every way of giving the short walls of one coping their allowance: each retapered or left out of guiding,
/// but never all of those that guide; or the coping made anew, or left out.
fn coping_changes(
    field: &Field<'_>,
    short: &[Short],
    d: &UnitVector3<f64>,
    room: usize,
) -> Vec<Vec<Change>> {
    let coping = short[0].coping;
    let mut ways = vec![
        vec![Change::Reprepare { coping }],
        vec![Change::Omit { coping }],
    ];
    if short.len() > room {
        return ways;
    }
    let walls = field.problem.copings[coping].existing_walls();
    let guiding = walls.filter(|(_, wall)| wall.guides).count();
    let retapers: Vec<Option<Change>> = short
        .iter()
        .map(|wall| retaper_for(field, wall, d))
        .collect();
    for left_out in 0..1_usize << short.len() {
        if left_out.count_ones() as usize == guiding {
            continue;
        }
        let change = |(index, wall): (usize, &Short)| {
            if left_out & (1 << index) == 0 {
                return retapers[index];
            }
            Some(Change::Unguide {
                coping,
                side: wall.side,
                short_by_rad: rounded_up_rad(wall.by_rad),
            })
        };
        ways.extend(
            short
                .iter()
                .enumerate()
                .map(change)
                .collect::<Option<Vec<_>>>(),
        );
    }
    ways
}

/// The smallest retaper, in steps a hand can make, that gives the wall its allowance at `d`.
fn retaper_for(field: &Field<'_>, wall: &Short, d: &UnitVector3<f64>) -> Option<Change> {
    let step = rounded_up_rad(1e-9);
    // More taper raises the draft of a finished wall, and makes room for metal over a prep wall.
    let needs_more = field.limits.iter().any(|limit| {
        limit.place == Place::Wall(wall.coping, wall.side)
            && matches!(limit.kind, LimitKind::DraftMin | LimitKind::MetalMin)
            && field
                .margin_of(limit, d)
                .is_some_and(|margin| margin < WANTED_ALLOWANCE_RAD)
    });
    let sign = if needs_more { 1.0 } else { -1.0 };
    let mut by_rad = if is_prep(&field.problem.copings[wall.coping]) {
        step
    } else {
        rounded_up_rad(wall.by_rad)
    };
    while by_rad <= RETAPER_AT_MOST_RAD {
        let (change, changed) =
            retapered(field.problem.copings, wall.coping, wall.side, sign * by_rad)?;
        if all_margins_reach(field, &changed, wall, d) {
            return Some(change);
        }
        by_rad += step;
    }
    None
}

fn all_margins_reach(
    field: &Field<'_>,
    changed: &tiltbench_geometry::coping::Coping,
    wall: &Short,
    d: &UnitVector3<f64>,
) -> bool {
    field
        .limits
        .iter()
        .filter(|limit| limit.place == Place::Wall(wall.coping, wall.side))
        .filter_map(|limit| {
            let margin = wall_margin_rad(changed, wall.side, limit.kind, limit.bound, d)?;
            Some((limit.kind.class(), margin))
        })
        .all(|(class, margin)| match class {
            LimitClass::Preference => margin >= -MET_RAD,
            _ => margin >= WANTED_ALLOWANCE_RAD,
        })
}

/// Blockout that keeps the draws around `d` within the ridge's limits. Of a pair one zone, the deeper first;
/// both only where neither will do alone.
fn zone_needs(field: &Field<'_>, map: &RidgeMap, d: &UnitVector3<f64>) -> Vec<Change> {
    let rim = (0..RIM).map(|i| travel(d, i as f64 / RIM as f64 * TAU, WANTED_ALLOWANCE_RAD));
    let draws: Vec<Vec<f64>> = std::iter::once(*d)
        .chain(rim)
        .filter_map(|draw| map.depths_mm(&draw))
        .collect();
    let mut seat = Seat {
        zones: field.problem.zones().to_vec(),
        draws,
        needed: BTreeMap::new(),
    };
    for limit in field.seat_limits() {
        if let Place::Zone(zone) = limit.place
            && seat.worst(limit) > MET_MM
        {
            seat.block_out(zone, limit.bound);
        }
    }
    for limit in field.seat_limits() {
        let Place::Zones([a, b]) = limit.place else {
            continue;
        };
        if seat.worst(limit) <= MET_MM {
            continue;
        }
        let [deeper, other] = if seat.deepest_mm(b) > seat.deepest_mm(a) {
            [b, a]
        } else {
            [a, b]
        };
        let rest = |seat: &Seat, pair| rounded_down_mm(seat.rest_mm(pair, limit.bound));
        let alone = [rest(&seat, [deeper, other]), rest(&seat, [other, deeper])];
        if alone[0] >= 0.0 {
            seat.block_out(deeper, alone[0]);
        } else if alone[1] >= 0.0 {
            seat.block_out(other, alone[1]);
        } else {
            seat.block_out(deeper, 0.0);
            seat.block_out(other, rest(&seat, [other, deeper]).max(0.0));
        }
    }
    let needed = seat.needed.into_iter();
    needed
        .map(|(zone, blockout)| Change::Blockout { zone, blockout })
        .collect()
}

/// The zones with what they need at some draws.
struct Seat {
    zones: Vec<SeatZone>,
    /// Depths of all zones, draw by draw.
    draws: Vec<Vec<f64>>,
    needed: BTreeMap<usize, Blockout>,
}

impl Seat {
    /// By how much a limit is broken at the worst.
    fn worst(&self, limit: &Limit) -> f64 {
        let overruns = self.draws.iter().map(|depths| {
            let value = depth_value(&self.zones, limit, depths);
            limit.overrun(value)
        });
        overruns.fold(f64::NEG_INFINITY, f64::max)
    }

    fn deepest_mm(&self, zone: usize) -> f64 {
        let depths = self.draws.iter().map(|depths| depths[zone]);
        depths.fold(0.0, f64::max)
    }

    /// What may be left of a zone, so that with another one it stays within a bound; below 0 where the other
    /// alone is beyond it.
    fn rest_mm(&self, [zone, other]: [usize; 2], bound_mm: f64) -> f64 {
        let left = |zone: usize, depths: &[f64]| self.zones[zone].left_of_mm(depths[zone].max(0.0));
        let beside = |depths: &Vec<f64>| {
            let is_too_deep = left(zone, depths) + left(other, depths) > bound_mm;
            is_too_deep.then(|| bound_mm - left(other, depths))
        };
        let rests = self.draws.iter().filter_map(beside);
        rests.fold(bound_mm, f64::min)
    }

    /// Blocks a zone out down to a rest.
    fn block_out(&mut self, zone: usize, left_mm: f64) {
        let blockout = Blockout {
            wax_mm: rounded_up_mm(self.deepest_mm(zone) - left_mm),
            left_mm,
        };
        self.zones[zone].blockout = Some(blockout);
        self.needed.insert(zone, blockout);
    }
}
