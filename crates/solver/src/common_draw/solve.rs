//! Puts the search, its proof and the region together.

use super::certificate::optimality_weights;
use super::envelope::Cap;
use super::exchange::{Goal, Solution, maximise};
use super::hull::{AT_ORIGIN, HullOf, NearestPoint, nearest_to_origin};
use super::region::region;
use super::types::{Certificate, CertificateKind, CommonDraw, WallRef};
use super::walls::{GuidingWall, guiding_walls, least_of_all_rad, margin_rad};
use nalgebra::UnitVector3;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::tolerance::MET_RAD;

/// Radians. Added to every bound for the rounding of the products and of the arc sine.
const ROUNDING_RAD: f64 = 1e-12;

/// The common draw of the guiding walls of finished copings, among draws with a total tilt of at
/// most `tilt_max_rad`. `None` where there is no such wall.
///
/// The best draw maximises the least draft (required drafts aside), globally and for either sign,
/// to [`CommonDraw::bound_rad`], usually under 1e-11 rad. A limit that is negative or not a number
/// counts as 0, one beyond [`Tilt::LIMIT_RAD`] as that.
///
/// The order of the copings does not matter, but for the indices in the answer.
pub fn common_draw(copings: &[Coping], tilt_max_rad: f64) -> Option<CommonDraw> {
    let walls = guiding_walls(copings);
    let cap = Cap::new(if tilt_max_rad.is_nan() {
        0.0
    } else {
        tilt_max_rad.clamp(0.0, Tilt::LIMIT_RAD)
    });
    let best = maximise(&walls, cap, Goal::BestDraft)?;
    let direction = best.peak.direction;
    let best_least_draft_rad = least_of_all_rad(&walls, &direction);
    let bound = best.upper.clamp(-1.0, 1.0).asin() - best_least_draft_rad;

    let well_inside = maximise(&walls, cap, Goal::WellInside)?;
    let meets = |draw: &UnitVector3<f64>| margin_rad(&walls, draw) >= -MET_RAD;
    let region = if meets(&well_inside.peak.direction) {
        let margin = well_inside.peak.value;
        Some(region(&walls, cap, &well_inside.peak.direction, margin))
    } else if meets(&direction) {
        Some(region(&walls, cap, &direction, 0.0))
    } else {
        None
    };
    Some(CommonDraw {
        exists: region.is_some(),
        best_least_draft_rad,
        direction,
        at_tilt_limit: direction.x.hypot(direction.y).atan2(direction.z) >= cap.limit_rad - MET_RAD,
        bound_rad: bound.max(0.0) + ROUNDING_RAD,
        certificate: certificate(&walls, &best, &cap, best_least_draft_rad),
        region,
        limiting: limiting(&walls, &direction, best_least_draft_rad),
    })
}

/// The walls whose least draft is the best one. All of them, rather than those a certificate
/// happens to weigh, so that symmetrical cases do not depend on the order of the copings.
fn limiting(walls: &[GuidingWall<'_>], draw: &UnitVector3<f64>, best_rad: f64) -> Vec<WallRef> {
    walls
        .iter()
        .filter(|wall| wall.least_rad(draw) <= best_rad + MET_RAD)
        .map(|wall| wall.name)
        .collect()
}

fn certificate(
    walls: &[GuidingWall<'_>],
    best: &Solution,
    cap: &Cap,
    best_rad: f64,
) -> Certificate {
    let optimal = |kind| {
        let weights = optimality_weights(&best.normals, &best.master, best.upper, cap);
        Certificate {
            kind,
            terms: weights.terms,
            tilt_limit_weight: weights.tilt_limit_weight,
            up_weight: 0.0,
            residual: weights.residual,
        }
    };
    if best_rad >= -MET_RAD {
        let found = optimal(CertificateKind::Optimal);
        return if best_rad <= MET_RAD && found.residual > ROUNDING_RAD {
            at_origin(walls, best, found)
        } else {
            found
        };
    }
    match beyond(walls, cap) {
        Beyond::Draw(direction, least_draft_rad) => optimal(CertificateKind::OnlyBeyondTiltLimit {
            direction,
            least_draft_rad,
        }),
        Beyond::None(nearest) => Certificate {
            kind: CertificateKind::NoDrawAnywhere,
            residual: nearest.point.norm(),
            terms: nearest.terms,
            tilt_limit_weight: 0.0,
            up_weight: nearest.up_weight,
        },
        Beyond::NoWalls => optimal(CertificateKind::Optimal),
    }
}

/// Parallel walls: along an arc of draws the least draft hardly changes, so the best draw, and with
/// it the weights that balance there, is known less well than its draft. The point of the normals'
/// hull nearest to the origin proves the same and does not depend on the draw.
fn at_origin(walls: &[GuidingWall<'_>], best: &Solution, found: Certificate) -> Certificate {
    let Some(nearest) = nearest_to_origin(walls, HullOf::Normals) else {
        return found;
    };
    let residual = (nearest.point - best.master.as_ref() * best.upper).norm();
    if residual < found.residual {
        Certificate {
            kind: CertificateKind::Optimal,
            terms: nearest.terms,
            tilt_limit_weight: 0.0,
            up_weight: 0.0,
            residual,
        }
    } else {
        found
    }
}

/// What lies beyond the tilt limit.
enum Beyond {
    Draw(UnitVector3<f64>, f64),
    None(NearestPoint),
    NoWalls,
}

/// A draw that releases every wall whatever the tilt limit, or the proof that there is none. Where
/// the normals' hull touches the origin only from one side, walls exactly parallel to a draw may
/// still share it: it is looked for within the reach of a table.
fn beyond(walls: &[GuidingWall<'_>], cap: &Cap) -> Beyond {
    let Some(mut nearest) = nearest_to_origin(walls, HullOf::Normals) else {
        return Beyond::NoWalls;
    };
    // The best direction may lead into the ridge; then only those that leave the cast count.
    if nearest.point.norm() > AT_ORIGIN
        && nearest.point.z <= 0.0
        && let Some(upward) = nearest_to_origin(walls, HullOf::NormalsAndUp)
    {
        nearest = upward;
    }
    if nearest.point.norm() > AT_ORIGIN
        && let Some(direction) = UnitVector3::try_new(nearest.point, 0.0)
    {
        return Beyond::Draw(direction, least_of_all_rad(walls, &direction));
    }
    if cap.limit_rad < Tilt::LIMIT_RAD
        && let Some(reach) = maximise(walls, Cap::new(Tilt::LIMIT_RAD), Goal::BestDraft)
    {
        let least = least_of_all_rad(walls, &reach.peak.direction);
        if least >= -MET_RAD {
            return Beyond::Draw(reach.peak.direction, least);
        }
    }
    Beyond::None(nearest)
}
