//! What would have to change for one draw to be acceptable with an allowance.

use super::apply::{retapered, rounded_up_mm, rounded_up_rad};
use super::{CHANGES_AT_MOST, Change, Target, WANTED_ALLOWANCE_RAD};
use crate::control::Cancelled;
use crate::evaluation::{is_prep, wall_margin_rad};
use crate::field::Field;
use crate::limit::{LimitClass, LimitKind, OverrunScales, Place};
use crate::ridge_map::RidgeMap;
use crate::sphere::{chart_grid, travel};
use std::collections::BTreeMap;
use std::f64::consts::TAU;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::tolerance::MET_RAD;

/// A set of changes and the draw it was made for.
pub(super) type Proposal = (Vec<Change>, UnitVector3<f64>);

/// Spacing of the draws that are visited: half a degree.
const SPACING_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;

/// Draws on the rim of the wanted allowance at which the map is asked.
const RIM: usize = 12;

/// Radians. A retaper is followed no further than this.
const RETAPER_AT_MOST_RAD: f64 = 30.0 * std::f64::consts::PI / 180.0;

/// The best proposal for every set of places met on the grid, in the order of the places. `map`
/// covers the tilts up to the limit.
pub(super) fn proposals(
    field: &Field<'_>,
    map: &RidgeMap,
    scales: &OverrunScales,
) -> Result<Vec<Proposal>, Cancelled> {
    let mut best: BTreeMap<Vec<Target>, (f64, Proposal)> = BTreeMap::new();
    for d in chart_grid(field.reach_rad(), SPACING_RAD) {
        if field.control.cancelled() {
            return Err(Cancelled);
        }
        let walls = short_walls(field, &d);
        if walls.len() > CHANGES_AT_MOST {
            continue;
        }
        let zones = zone_needs(field, map, &d);
        if walls.len() + zones.len() > CHANGES_AT_MOST || walls.len() + zones.len() == 0 {
            continue;
        }
        for retaper in [true, false] {
            if !retaper && walls.is_empty() {
                continue;
            }
            let Some(mut set) = wall_changes(field, &walls, &d, retaper) else {
                continue;
            };
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

/// Changes that give every short wall its allowance; `None` where retapering cannot.
fn wall_changes(
    field: &Field<'_>,
    short: &[Short],
    d: &UnitVector3<f64>,
    retaper: bool,
) -> Option<Vec<Change>> {
    short
        .iter()
        .map(|wall| {
            if retaper {
                retaper_for(field, wall, d)
            } else {
                Some(Change::Unguide {
                    coping: wall.coping,
                    side: wall.side,
                    short_by_rad: rounded_up_rad(wall.by_rad),
                })
            }
        })
        .collect()
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
        let change = retapered(field.problem.copings, wall.coping, wall.side, sign * by_rad)?;
        if all_margins_reach(field, &change.1, wall, d) {
            return Some(change.0);
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

/// Depths that have to be taken out of zones, so that the draws around `d` keep the ridge's limits.
fn zone_needs(field: &Field<'_>, map: &RidgeMap, d: &UnitVector3<f64>) -> Vec<Change> {
    let rim = (0..RIM).map(|i| travel(d, i as f64 / RIM as f64 * TAU, WANTED_ALLOWANCE_RAD));
    let mut needed = map.overruns_mm(d).unwrap_or_default();
    for there in rim {
        for (need, mm) in needed
            .iter_mut()
            .zip(map.overruns_mm(&there).unwrap_or_default())
        {
            *need = need.max(mm);
        }
    }
    let limits: Vec<_> = field
        .ridge_limits
        .iter()
        .map(|&index| field.limits[index])
        .collect();
    let mut depths: BTreeMap<usize, f64> = BTreeMap::new();
    for (limit, need) in limits.iter().zip(&needed).filter(|(_, need)| **need > 0.0) {
        if let Place::Zone(zone) = limit.place {
            depths.insert(zone, *need);
        }
    }
    for (limit, need) in limits.iter().zip(&needed).filter(|(_, need)| **need > 0.0) {
        if let Place::Zones([a, b]) = limit.place {
            let taken = depths.get(&a).unwrap_or(&0.0) + depths.get(&b).unwrap_or(&0.0);
            if taken < *need {
                // The first of the pair that is already being cleared, else the first.
                let zone = if depths.contains_key(&b) && !depths.contains_key(&a) {
                    b
                } else {
                    a
                };
                *depths.entry(zone).or_insert(0.0) += need - taken;
            }
        }
    }
    depths
        .into_iter()
        .map(|(zone, mm)| Change::Clear {
            zone,
            depth_mm: rounded_up_mm(mm),
        })
        .collect()
}
