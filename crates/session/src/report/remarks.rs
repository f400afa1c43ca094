//! What an evaluation gives reason to point out, as sentences for people and scripts alike.

use crate::names::Names;
use tiltbench_geometry::coping::{Coping, WallBasis};
use tiltbench_geometry::undercut::{IN_DOUBT_SHARE, ZoneReading};
use tiltbench_geometry::work::Standing;
use tiltbench_sheet::format::numbers::{amount, angle, length};
use tiltbench_sheet::format::words::RELIABLE_RAD;
use tiltbench_solver::Problem;
use tiltbench_solver::evaluation::{Evaluation, WallReading};

/// Remarks on one tilt, those of consequence first. Limits that are not met are not repeated; nor is a tight
/// allowance where it is not given.
pub fn tilt_remarks(
    names: Names<'_>,
    problem: &Problem<'_>,
    evaluation: &Evaluation,
    allowance_rad: Option<f64>,
) -> Vec<String> {
    let mut remarks = tilt_consequences(names, problem, evaluation);
    remarks.extend(tilt_notes(names, problem, evaluation, allowance_rad));
    remarks
}

/// What a rigid base would lock on, and zones that are in doubt: to be said first.
pub fn tilt_consequences(
    names: Names<'_>,
    problem: &Problem<'_>,
    evaluation: &Evaluation,
) -> Vec<String> {
    let walls = evaluation.walls.iter();
    let locks = walls.filter_map(|wall| undercut(names, wall, &problem.copings[wall.coping]));
    let zones = evaluation.zones.iter().enumerate();
    let in_doubt = zones
        .filter(|(_, zone)| zone.is_in_doubt())
        .filter_map(|(index, zone)| unknown(&names.zone(index), zone));
    locks.chain(in_doubt).collect()
}

/// What else there is to say of a tilt.
pub fn tilt_notes(
    names: Names<'_>,
    problem: &Problem<'_>,
    evaluation: &Evaluation,
    allowance_rad: Option<f64>,
) -> Vec<String> {
    let mut remarks = Vec::new();
    if let Some(allowance) = allowance_rad.filter(|a| evaluation.acceptable && *a < RELIABLE_RAD) {
        remarks.push(format!(
            "the setting allowance of {} in any direction is tighter than a hand sets reliably \
             (1 degree)",
            angle(allowance)
        ));
    }
    for wall in &evaluation.walls {
        if wall.metal.is_some_and(|metal| !metal.least_mm.is_finite()) {
            remarks.push(format!(
                "{} leans so far from this draw that no wall of its mill taper can be milled",
                names.wall_in_full(wall.coping, wall.side)
            ));
        }
    }
    for (index, zone) in evaluation.zones.iter().enumerate() {
        let name = names.zone(index);
        if zone.depth_capped {
            remarks.push(format!(
                "{name}: the gauge finds no way out of the undercut within 10 mm, so its depth \
                 reads 10 mm and may be more"
            ));
        }
        if let Some(remark) = unknown(&name, zone).filter(|_| !zone.is_in_doubt()) {
            remarks.push(remark);
        }
        if zone.blockout_open {
            remarks.push(format!(
                "{name}: part of the blockout has no scan surface below it; there it is counted \
                 down to the lowest point of the zone, so its volume depends on where the scan ends"
            ));
        }
    }
    let stays = |(_, coping): &(usize, &Coping)| coping.standing == Standing::Stays;
    for (index, coping) in problem.copings.iter().enumerate().filter(stays) {
        if let Some(canal) = coping.canal_angle_rad(&evaluation.direction) {
            remarks.push(format!(
                "{}: its canal lies {} from this draw: check that the post can be seated along this draw",
                names.coping_in_full(index),
                angle(canal)
            ));
        }
    }
    remarks
}

/// What lies under a filled hole of the scan.
fn unknown(name: &str, zone: &ZoneReading) -> Option<String> {
    if zone.unknown_area_mm2 <= 0.0 {
        return None;
    }
    let place = zone.unknown_at.map_or_else(String::new, |at| {
        let [x, y, z] = [at.x, at.y, at.z].map(amount);
        format!(", around x {x}, y {y}, z {z} mm")
    });
    let doubt = if zone.is_in_doubt() {
        format!(
            "; that is {} % of the zone (more than {} %), so its figures are in doubt: scan the place again",
            amount(100.0 * zone.unknown_share()),
            100.0 * IN_DOUBT_SHARE
        )
    } else {
        String::new()
    };
    Some(format!(
        "{name}: {} mm² lie, or would come out, under a hole of the scan{place}; nothing is known of them, and they are \
         left out of its figures{doubt}",
        amount(zone.unknown_area_mm2)
    ))
}

/// A wall that does not guide is nobody's limit, but the base meets it.
fn undercut(names: Names<'_>, wall: &WallReading, coping: &Coping) -> Option<String> {
    let stands = matches!(coping.basis, WallBasis::Finished) && coping.standing == Standing::Stays;
    if wall.guides || !stands || wall.undercut_mm <= tiltbench_geometry::tolerance::MET_MM {
        return None;
    }
    Some(format!(
        "{} does not guide and is undercut by {} (least draft {} per wall): block out or relieve \
         there, or a rigid base locks on it",
        names.wall_in_full(wall.coping, wall.side),
        length(wall.undercut_mm),
        angle(wall.draft.least_rad)
    ))
}
