//! What would have to change for some draw to be acceptable with an allowance.
//!
//! At any one draw it is plain what falls short: each wall whose margin is below the wanted allowance, each
//! limit of the ridge that is overrun within it. Over a cell of draws it is known what falls short at every
//! one of them: a margin changes by no more than the angle. A cell where more falls short all over than may be
//! changed, or all of a set that is known already and something else, is done; the others are cut into four.
//! For every set of places the draw with the least total need is kept.
//!
//! What may be missed: a set that works for no draw farther than 0.07 degree from some other draw where more
//! falls short.

use super::apply::{retapered, rounded_up_mm, rounded_up_rad};
use super::{CHANGES_AT_MOST, Change, Target, WANTED_ALLOWANCE_RAD};
use crate::cell::Cell;
use crate::context::Context;
use crate::control::Cancelled;
use crate::deepest::overrun_within_mm;
use crate::evaluation::{is_prep, wall_margin_rad};
use crate::field::Field;
use crate::limit::{LimitKind, OverrunScales, Place};
use std::collections::BTreeMap;
use tiltbench_geometry::coping::{Coping, Side};
use tiltbench_geometry::{UnitVector3, Vector3};

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Radians. Cells are cut down to this: 0.07 degree. Where the draws of a set are known already they are not
/// cut below 0.3 degree, as amounts are rounded up to half a degree.
const FINEST_RAD: f64 = 0.07 * DEGREE;
const FINEST_KNOWN_RAD: f64 = 0.3 * DEGREE;

/// Cells at the most, by whether the ridge has to be read; a bound on work for any input.
const CELLS_AT_MOST: [usize; 2] = [6000, 600];

/// Radians. A retaper is followed no further than this.
const RETAPER_AT_MOST_RAD: f64 = 30.0 * DEGREE;

/// Steps of half a degree that a retaper is followed beyond what its draft falls short by. Tuned: what the
/// metal over a prep wall, which does not follow its taper degree by degree, needs.
const RETAPER_STEPS: u32 = 6;

/// Radians. What a wall that no draw can meet counts as short by.
const NEVER_RAD: f64 = std::f64::consts::FRAC_PI_2;

/// Radians. Tapers that a case may have, per wall: -45 to 60 degrees.
const TAPERS_RAD: std::ops::RangeInclusive<f64> = (-45.0 * DEGREE)..=(60.0 * DEGREE);

/// The best proposal for every set of places, in the order of the places, and its cost.
pub(super) type Proposals = BTreeMap<Vec<Target>, (f64, Vec<Change>)>;

/// What falls short at a draw.
struct Short {
    walls: Vec<ShortWall>,
    /// Limits of the ridge and by how much each is overrun, mm.
    ridge: Vec<(usize, f64)>,
}

/// A wall that falls short, and by how much.
#[derive(Debug, Clone, Copy)]
struct ShortWall {
    coping: usize,
    side: Side,
    by_rad: f64,
}

/// Proposals over all draws within the tilt limit.
pub(super) fn proposals(
    context: &mut Context<'_, '_, '_>,
    scales: &OverrunScales,
) -> Result<Proposals, Cancelled> {
    let mut best = Proposals::new();
    // Places that fall short together at the centre of some cell, and the least cost of that.
    let mut known: Vec<(Vec<Place>, f64)> = Vec::new();
    let step = a_step(scales);
    let cells_at_most = CELLS_AT_MOST[usize::from(context.field.is_limited_by_ridge())];
    let flat = UnitVector3::new_unchecked(Vector3::z());
    let reach_rad = context.field.reach_rad() - WANTED_ALLOWANCE_RAD;
    let mut cells = Cell::tiles_about(&flat, reach_rad.max(0.0));
    let mut taken = 0;
    // Level by level, so that simple sets are known before cells are cut small.
    while !cells.is_empty() {
        let mut next = Vec::new();
        for cell in cells {
            taken += 1;
            if taken > cells_at_most {
                return Ok(best);
            }
            if context.field.control.cancelled() {
                return Err(Cancelled);
            }
            if cell.least_angle_rad(&flat) > reach_rad {
                continue;
            }
            let (sure, least_cost) = sure_places(context, cell, scales)?;
            let holds = |set: &[Place]| set.iter().all(|place| sure.contains(place));
            // More than a known set falls short, or that set by nothing a step of the hand would tell.
            let adds_nothing = |(set, cost): &(Vec<Place>, f64)| {
                let steps = step * sure.len() as f64;
                holds(set) && (set.len() < sure.len() || least_cost >= cost - steps)
            };
            if sure.len() > CHANGES_AT_MOST || known.iter().any(adds_nothing) {
                continue;
            }
            let d = cell.centre();
            let at_table = context.field.reach_rad() - crate::sphere::angle_between(&d, &flat);
            let mut is_known = known.iter().any(|(set, _)| holds(set));
            if at_table >= WANTED_ALLOWANCE_RAD {
                let short = short_at(context, &d)?;
                let places = places_of(context.field, &short);
                let cost = cost_of(&short, scales);
                if !places.is_empty() && places.len() <= CHANGES_AT_MOST {
                    offer(context.field, &short, &d, scales, &mut best);
                    match known.iter_mut().find(|(set, _)| *set == places) {
                        Some((_, least)) => {
                            is_known = true;
                            *least = least.min(cost);
                        }
                        None => known.push((places, cost)),
                    }
                }
            }
            let finest_rad = if is_known {
                FINEST_KNOWN_RAD
            } else {
                FINEST_RAD
            };
            if cell.radius_rad() > finest_rad {
                next.extend(cell.children());
            }
        }
        cells = next;
    }
    Ok(best)
}

/// The least step of a hand, in costs.
fn a_step(scales: &OverrunScales) -> f64 {
    let of_wall = rounded_up_rad(1e-9) / scales.wall_draft_rad;
    of_wall.min(rounded_up_mm(1e-9) / scales.zone_mm)
}

/// What mending costs at the least: every wall by what it falls short, and of the ridge the worst, which
/// clearing one zone may mend together with all others.
fn cost_of(short: &Short, scales: &OverrunScales) -> f64 {
    let walls: f64 = short.walls.iter().map(|wall| wall.by_rad).sum();
    let ridge = short.ridge.iter().map(|(_, mm)| *mm).fold(0.0, f64::max);
    walls / scales.wall_draft_rad + ridge / scales.zone_mm
}

/// Places that fall short at every draw of a cell, and what mending costs at the least at each of them.
fn sure_places(
    context: &mut Context<'_, '_, '_>,
    cell: Cell,
    scales: &OverrunScales,
) -> Result<(Vec<Place>, f64), Cancelled> {
    let (d, radius_rad) = (cell.centre(), cell.radius_rad());
    let field = context.field;
    let mut walls = short_walls(field, &d);
    walls.retain(|wall| wall.by_rad > radius_rad);
    for wall in &mut walls {
        wall.by_rad -= radius_rad;
    }
    let ridge = Vec::new();
    let mut least = Short { walls, ridge };
    let sure = places_of(field, &least);
    if sure.len() <= CHANGES_AT_MOST && field.is_limited_by_ridge() {
        context.tree.read(&[cell], field.control)?;
        let zones = context.tree.bounds(cell);
        // The centre lies within the wanted allowance of every draw of a small cell.
        let is_near = radius_rad <= WANTED_ALLOWANCE_RAD;
        let depths: Vec<f64> = zones
            .iter()
            .map(|zone| {
                if is_near {
                    zone.surely_mm
                } else {
                    zone.least_mm
                }
            })
            .collect();
        let overruns = field.overruns_mm(&depths);
        let limits = field.ridge_limits.iter().copied().zip(overruns);
        least.ridge.extend(limits.filter(|(_, mm)| *mm > 0.0));
    }
    Ok((places_of(field, &least), cost_of(&least, scales)))
}

fn places_of(field: &Field<'_>, short: &Short) -> Vec<Place> {
    let walls = short.walls.iter();
    let walls = walls.map(|wall| Place::Wall(wall.coping, wall.side));
    let ridge = short
        .ridge
        .iter()
        .map(|(index, _)| field.limits[*index].place);
    walls.chain(ridge).collect()
}

fn short_at(context: &mut Context<'_, '_, '_>, d: &UnitVector3<f64>) -> Result<Short, Cancelled> {
    let field = context.field;
    let walls = short_walls(field, d);
    let mut ridge = Vec::new();
    if walls.len() <= CHANGES_AT_MOST {
        for &limit in &field.ridge_limits {
            let over = overrun_within_mm(field, context.tree, limit, d, WANTED_ALLOWANCE_RAD)?;
            if over > 0.0 {
                ridge.push((limit, over));
            }
        }
    }
    Ok(Short { walls, ridge })
}

fn short_walls(field: &Field<'_>, d: &UnitVector3<f64>) -> Vec<ShortWall> {
    let mut short: Vec<ShortWall> = Vec::new();
    for limit in &field.limits {
        let Place::Wall(coping, side) = limit.place else {
            continue;
        };
        let Some(margin) = field.margin_of(limit, d) else {
            continue;
        };
        let by_rad = (WANTED_ALLOWANCE_RAD - margin).min(NEVER_RAD);
        if by_rad <= 0.0 {
            continue;
        }
        match short
            .last_mut()
            .filter(|last| last.coping == coping && last.side == side)
        {
            Some(last) => last.by_rad = last.by_rad.max(by_rad),
            None => short.push(ShortWall {
                coping,
                side,
                by_rad,
            }),
        }
    }
    short
}

/// Keeps the proposals of a draw that are cheaper than what is known for the same places.
fn offer(
    field: &Field<'_>,
    short: &Short,
    d: &UnitVector3<f64>,
    scales: &OverrunScales,
    best: &mut Proposals,
) {
    let walls = if short.walls.is_empty() {
        vec![Vec::new()]
    } else {
        let of = |retaper| wall_changes(field, &short.walls, d, retaper);
        [true, false].into_iter().filter_map(of).collect()
    };
    for walls in walls {
        for zones in zone_changes(field, &short.ridge) {
            let mut set = walls.clone();
            set.extend(zones);
            if set.len() > CHANGES_AT_MOST {
                continue;
            }
            let cost = set.iter().map(|change| change.cost(scales)).sum();
            let key = set.iter().map(Change::target).collect();
            let entry = best.entry(key).or_insert((f64::INFINITY, Vec::new()));
            if cost < entry.0 {
                *entry = (cost, set);
            }
        }
    }
}

/// Changes that give every short wall its allowance; `None` where retapering cannot.
fn wall_changes(
    field: &Field<'_>,
    short: &[ShortWall],
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

/// The smallest retaper, in steps a hand can make, that gives the wall its allowance at `d` and leaves a
/// coping that can be made.
fn retaper_for(field: &Field<'_>, wall: &ShortWall, d: &UnitVector3<f64>) -> Option<Change> {
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
    // No taper mends a wall that no draw can meet.
    if wall.by_rad > RETAPER_AT_MOST_RAD {
        return None;
    }
    // A degree of taper turns the border of its limit by about a degree.
    let first = rounded_up_rad(wall.by_rad);
    let from = if is_prep(&field.problem.copings[wall.coping]) {
        (first - step).max(step)
    } else {
        first
    };
    for more in 0..RETAPER_STEPS {
        let by_rad = from + f64::from(more) * step;
        let change = retapered(field.problem.copings, wall.coping, wall.side, sign * by_rad)?;
        let taper_rad = change.1.wall(wall.side)?.taper_rad;
        if change.1.check_surface().is_err() || !TAPERS_RAD.contains(&taper_rad) {
            return None;
        }
        if all_margins_reach(field, &change.1, wall, d) {
            return Some(change.0);
        }
    }
    None
}

fn all_margins_reach(
    field: &Field<'_>,
    changed: &Coping,
    wall: &ShortWall,
    d: &UnitVector3<f64>,
) -> bool {
    field
        .limits
        .iter()
        .filter(|limit| limit.place == Place::Wall(wall.coping, wall.side))
        .filter_map(|limit| wall_margin_rad(changed, wall.side, limit.kind, limit.bound, d))
        .all(|margin| margin >= WANTED_ALLOWANCE_RAD)
}

/// Ways to clear zones so that the ridge's limits are kept: of a pair the first, or the second, or both
/// by half.
fn zone_changes(field: &Field<'_>, short: &[(usize, f64)]) -> Vec<Vec<Change>> {
    let mut own: BTreeMap<usize, f64> = BTreeMap::new();
    for (index, mm) in short {
        if let Place::Zone(zone) = field.limits[*index].place {
            own.insert(zone, *mm);
        }
    }
    let shares: &[[f64; 2]] = if short
        .iter()
        .any(|(index, _)| matches!(field.limits[*index].place, Place::Zones(_)))
    {
        &[[1.0, 0.0], [0.0, 1.0], [0.5, 0.5]]
    } else {
        &[[1.0, 0.0]]
    };
    let way = |share: &[f64; 2]| {
        let mut depths = own.clone();
        for (index, mm) in short {
            if let Place::Zones(pair) = field.limits[*index].place {
                let taken: f64 = pair.iter().filter_map(|zone| depths.get(zone)).sum();
                let missing = (mm - taken).max(0.0);
                for (zone, part) in pair.iter().zip(share) {
                    if missing * part > 0.0 {
                        *depths.entry(*zone).or_insert(0.0) += missing * part;
                    }
                }
            }
        }
        let changes = depths.into_iter().map(|(zone, mm)| Change::Clear {
            zone,
            depth_mm: rounded_up_mm(mm),
        });
        changes.collect()
    };
    shares.iter().map(way).collect()
}
