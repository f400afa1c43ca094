//! Everything there is to say about one tilt.

use crate::field::depth_value;
use crate::limit::{
    Limit, LimitClass, LimitKind, LimitReading, Place, anything_to_judge, limits_of,
};
use crate::problem::Problem;
use tiltbench_geometry::coping::{
    Coping, MetalLimit, OpposingConvergence, OpposingPair, Side, WallBasis, WallDraft, WallMetal,
};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::tolerance::MET_RAD;
use tiltbench_geometry::undercut::ZoneReading;
use tiltbench_geometry::{UnitVector3, Vector3};

/// One wall at one draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallReading {
    /// Index of the coping in the problem.
    pub coping: usize,
    /// Side of the wall.
    pub side: Side,
    /// Whether the wall has to share the common draw.
    pub guides: bool,
    /// Drafts, per wall; of a coping before waxing, those of its prep walls.
    pub draft: WallDraft,
    /// How far the top of the wall overhangs its foot across the draw; 0 when it releases.
    pub undercut_mm: f64,
    /// Metal thickness over the wall; `None` for a finished wall.
    pub metal: Option<WallMetal>,
}

/// A pair of opposing walls at one draw. Both figures are totals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpposingReading {
    /// Index of the coping in the problem.
    pub coping: usize,
    /// Convergence of the coping itself and for this draw.
    pub convergence: OpposingConvergence,
}

/// Everything there is to say about one tilt.
#[derive(Debug, Clone, PartialEq)]
pub struct Evaluation {
    /// The tilt.
    pub tilt: Tilt,
    /// Its draw direction.
    pub direction: UnitVector3<f64>,
    /// All existing walls, in coping order.
    pub walls: Vec<WallReading>,
    /// All complete pairs of opposing walls, in coping order.
    pub opposing: Vec<OpposingReading>,
    /// All zones, in order.
    pub zones: Vec<ZoneReading>,
    /// All limits.
    pub limits: Vec<LimitReading>,
    /// Whether every limit is met, and at least one of them is rigid or of the seat.
    pub acceptable: bool,
}

impl Evaluation {
    /// Total blockout volume over all zones, mm³.
    pub fn total_blockout_mm3(&self) -> f64 {
        self.zones.iter().map(|zone| zone.blockout_mm3).sum()
    }

    /// What of it is owed over all zones, mm³: along lines deeper than what may stay.
    pub fn total_blockout_owed_mm3(&self) -> f64 {
        self.zones.iter().map(|zone| zone.blockout_owed_mm3).sum()
    }

    /// Undercut depths of all zones of the cast as it stands, mm.
    pub fn depths_mm(&self) -> Vec<f64> {
        self.zones
            .iter()
            .map(|zone| zone.undercut_depth_mm)
            .collect()
    }

    /// Whether every rigid limit and every limit of the seat is met: nothing binds. Preferences are not
    /// asked.
    pub fn holds(&self) -> bool {
        let decide = |reading: &&LimitReading| reading.limit.kind.class() != LimitClass::Preference;
        self.limits.iter().filter(decide).all(|reading| reading.met)
    }

    /// The limits that are not met, in order.
    pub fn broken(&self) -> impl Iterator<Item = &LimitReading> {
        self.limits.iter().filter(|reading| !reading.met)
    }
}

/// Evaluates one tilt: all walls in closed form, all zones read accurately.
pub fn evaluate(problem: &Problem<'_>, tilt: Tilt) -> Evaluation {
    let direction = tilt.direction();
    let zones = problem
        .ridge
        .map_or_else(Vec::new, |ridge| ridge.read(&direction));
    let depths: Vec<f64> = zones.iter().map(|zone| zone.undercut_depth_mm).collect();
    let limits: Vec<LimitReading> = limits_of(problem)
        .into_iter()
        .map(|limit| {
            let value = limit_value(problem, &limit, &direction, &depths);
            LimitReading {
                limit,
                value,
                met: limit.is_met(value),
            }
        })
        .collect();
    Evaluation {
        tilt,
        direction,
        walls: read_walls(problem.copings, &direction),
        opposing: read_opposing(problem.copings, &direction),
        zones,
        acceptable: anything_to_judge(limits.iter().map(|reading| reading.limit.kind))
            && limits.iter().all(|reading| reading.met),
        limits,
    }
}

/// How the limits of the ridge stand for depths of all zones of the cast, mm, in order: of a limit of the zones, what
/// is left once the planned blockout is in place. Empty where not every zone has a depth.
pub fn seat_readings(problem: &Problem<'_>, depths_mm: &[f64]) -> Vec<LimitReading> {
    if depths_mm.len() != problem.zones().len() {
        return Vec::new();
    }
    let limits = limits_of(problem).into_iter();
    limits
        .filter(|limit| limit.kind.is_of_ridge())
        .map(|limit| {
            let value = depth_value(problem.zones(), &limit, depths_mm);
            LimitReading {
                limit,
                value,
                met: limit.is_met(value),
            }
        })
        .collect()
}

/// The angle within which all preferences are met about a draw; `None` where one is broken there.
pub fn preference_allowance_rad(problem: &Problem<'_>, d: &UnitVector3<f64>) -> Option<f64> {
    let preferences = limits_of(problem)
        .into_iter()
        .filter(|limit| limit.kind.class() == LimitClass::Preference);
    let margins = preferences.filter_map(|limit| margin_of(problem, &limit, d));
    let least = margins.fold(f64::INFINITY, f64::min);
    (least >= -MET_RAD).then_some(least.max(0.0))
}

/// Signed angle from `d` to the nearest draw that breaks `limit`; `None` for a limit of the ridge.
pub(crate) fn margin_of(problem: &Problem<'_>, limit: &Limit, d: &UnitVector3<f64>) -> Option<f64> {
    match (limit.kind, limit.place) {
        (LimitKind::TiltMax | LimitKind::Window, _) => Some(limit.bound - total_tilt_rad(d)),
        (kind, Place::Wall(coping, side)) => {
            wall_margin_rad(&problem.copings[coping], side, kind, limit.bound, d)
        }
        _ => None,
    }
}

/// Angle between a draw and the cast's own.
pub(crate) fn total_tilt_rad(d: &UnitVector3<f64>) -> f64 {
    crate::sphere::angle_between(d, &UnitVector3::new_unchecked(Vector3::z()))
}

/// All existing walls at a draw, in coping order.
pub fn read_walls(copings: &[Coping], d: &UnitVector3<f64>) -> Vec<WallReading> {
    copings
        .iter()
        .enumerate()
        .flat_map(|(index, coping)| {
            coping.existing_walls().filter_map(move |(side, wall)| {
                Some(WallReading {
                    coping: index,
                    side,
                    guides: wall.guides,
                    draft: coping.wall_draft(side, d)?,
                    undercut_mm: coping.wall_undercut_mm(side, d)?,
                    metal: coping.wall_metal(side, d),
                })
            })
        })
        .collect()
}

fn read_opposing(copings: &[Coping], d: &UnitVector3<f64>) -> Vec<OpposingReading> {
    copings
        .iter()
        .enumerate()
        .flat_map(|(index, coping)| {
            OpposingPair::ALL.into_iter().filter_map(move |pair| {
                let convergence = coping.opposing_convergence(pair, d)?;
                Some(OpposingReading {
                    coping: index,
                    convergence,
                })
            })
        })
        .collect()
}

/// The value that `limit` looks at; `depths` are those of all zones, mm.
pub(crate) fn limit_value(
    problem: &Problem<'_>,
    limit: &Limit,
    d: &UnitVector3<f64>,
    depths: &[f64],
) -> f64 {
    match limit.place {
        Place::Table => total_tilt_rad(d),
        Place::Wall(coping, side) => wall_value(&problem.copings[coping], side, limit.kind, d),
        Place::Zone(_) | Place::Zones(_) => depth_value(problem.zones(), limit, depths),
    }
}

fn wall_value(coping: &Coping, side: Side, kind: LimitKind, d: &UnitVector3<f64>) -> f64 {
    let draft = coping.wall_draft(side, d);
    let metal = coping.wall_metal(side, d);
    match kind {
        LimitKind::DraftMin => draft.map(|draft| draft.least_rad),
        LimitKind::DraftMax => draft.map(|draft| draft.centre_rad),
        LimitKind::MetalMin => metal.map(|metal| metal.least_mm),
        LimitKind::MetalMax => metal.map(|metal| metal.most_mm),
        _ => None,
    }
    // Limits are only listed for walls that exist, of the right basis.
    .unwrap_or(f64::NAN)
}

/// Signed angle from `d` to the nearest draw that breaks a limit of one wall.
///
/// For drafts this is exact: the draft at one azimuth is the angle from `d` to the great circle
/// across its normal, and the circle of draws with a given draft about that normal is parallel to
/// it. For metal see [`Coping::metal_allowance_rad`].
pub(crate) fn wall_margin_rad(
    coping: &Coping,
    side: Side,
    kind: LimitKind,
    bound: f64,
    d: &UnitVector3<f64>,
) -> Option<f64> {
    match kind {
        LimitKind::DraftMin => Some(coping.wall_draft(side, d)?.allowance_to_min_rad(bound)),
        LimitKind::DraftMax => Some(coping.wall_draft(side, d)?.allowance_to_max_rad(bound)),
        LimitKind::MetalMin => coping.metal_allowance_rad(side, d, MetalLimit::AtLeast(bound)),
        LimitKind::MetalMax => coping.metal_allowance_rad(side, d, MetalLimit::AtMost(bound)),
        _ => None,
    }
}

/// Whether limits of this coping's walls are about metal.
pub(crate) fn is_prep(coping: &Coping) -> bool {
    matches!(coping.basis, WallBasis::Prep(_))
}
