//! Which limits steer the recommended tilt.
//!
//! A limit that somebody remembered may decide where a denture is drawn. So each limit that governs the
//! recommended tilt, and each that keeps the cast from staying flat, is changed by a fifth both ways where it is
//! set, and the tilt is asked for again. Planned work stays in effect, or out of it, as the case is judged.

use crate::CaseLimit;
use crate::command::tidy;
use crate::problem::Variant;
use tiltbench_case::Case;
use tiltbench_case::defaults::{Basis, ZONE_UNDERCUT_LIMIT};
use tiltbench_case::schema::v1::{self, CaseFile, UndercutLimit};
use tiltbench_geometry::coping::Side;
use tiltbench_solver::control::{Cancelled, Control};
use tiltbench_solver::limit::{Limit, LimitKind, LimitReading, Place, Sense};
use tiltbench_solver::{
    Problem, Recommendation, RidgeReader, Survey, SurveyOptions, recommended_of,
};

/// By how much of itself a limit is changed, and by how much at the least (project convention).
const PART: f64 = 0.2;
const AT_LEAST_DEG: f64 = 0.5;
const AT_LEAST_MM: f64 = 0.1;

/// Where a limit is set. Indices are into the copings and the zones of the case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SetAt {
    /// The required draft that a wall states for itself.
    WallDraftMin(usize, Side),
    /// The greatest draft that a wall states for itself.
    WallDraftMax(usize, Side),
    /// A zone.
    Zone(usize),
    /// The case as a whole.
    Case(CaseLimit),
}

/// A limit, and what becomes of the recommended tilt when it is changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Steering {
    /// The limit at the recommended tilt; of several that are set in one place, the first.
    pub limit: LimitReading,
    /// Where it is set.
    pub set_at: SetAt,
    /// What it rests on where the case leaves it to its default.
    pub default_basis: Option<Basis>,
    /// Tighter: a greater floor, a lower ceiling. `None` where the case file would not take it.
    pub tighter: Option<Retried>,
    /// Looser. `None` where the case file would not take it.
    pub looser: Option<Retried>,
}

/// The case with a limit changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Retried {
    /// The bound it is changed to, degrees or mm: as the case file has it.
    pub bound: f64,
    /// The recommended tilt; `None` where none is acceptable.
    pub recommended: Option<Recommendation>,
}

impl SetAt {
    /// Where a limit of a case is set; `None` for the rim of the search window, which nobody sets.
    fn of(limit: &Limit, case: &Case) -> Option<Self> {
        let own = |of: fn(&v1::Wall) -> Option<f64>| match limit.place {
            Place::Wall(coping, side) => {
                let coping_of = case.file().copings.get(coping)?;
                let wall = coping_of.basis.walls().get(side)?;
                of(wall).map(|_| (coping, side))
            }
            _ => None,
        };
        Some(match limit.kind {
            LimitKind::DraftMin => match own(|wall| wall.draft_min_deg) {
                Some((coping, side)) => Self::WallDraftMin(coping, side),
                None => Self::Case(CaseLimit::WallDraftMin),
            },
            LimitKind::DraftMax => match own(|wall| wall.draft_max_deg) {
                Some((coping, side)) => Self::WallDraftMax(coping, side),
                None => Self::Case(CaseLimit::WallDraftMax),
            },
            LimitKind::MetalMin => Self::Case(CaseLimit::MetalMin),
            LimitKind::MetalMax => Self::Case(CaseLimit::MetalMax),
            LimitKind::OpposingDepth => Self::Case(CaseLimit::OpposingUndercut),
            LimitKind::TiltMax => Self::Case(CaseLimit::TiltMax),
            LimitKind::ZoneDepth => match limit.place {
                Place::Zone(zone) => Self::Zone(zone),
                _ => return None,
            },
            LimitKind::Window => return None,
        })
    }

    /// Its path in the case file.
    pub fn path(self) -> String {
        let wall = |coping: usize, side: Side, key: &str| {
            format!("copings[{coping}].walls.{}.{key}", side.key())
        };
        match self {
            Self::WallDraftMin(coping, side) => wall(coping, side, "draft_min_deg"),
            Self::WallDraftMax(coping, side) => wall(coping, side, "draft_max_deg"),
            Self::Zone(zone) => format!("seat_zones[{zone}].undercut_limit_mm"),
            Self::Case(limit) => limit.default().key.to_owned(),
        }
    }

    /// What a file states there, and what the default is where it states nothing.
    fn stated(self, file: &CaseFile) -> (Option<f64>, Option<tiltbench_case::defaults::Default>) {
        let wall = |coping: usize, side| file.copings.get(coping)?.basis.walls().get(side);
        match self {
            Self::WallDraftMin(coping, side) => {
                (wall(coping, side).and_then(|wall| wall.draft_min_deg), None)
            }
            Self::WallDraftMax(coping, side) => {
                (wall(coping, side).and_then(|wall| wall.draft_max_deg), None)
            }
            Self::Zone(zone) => {
                let zone = file.seat_zones.get(zone);
                let stated = match zone.and_then(|zone| zone.undercut_limit_mm) {
                    Some(UndercutLimit::Depth(mm)) => Some(mm),
                    _ => None,
                };
                (stated, Some(ZONE_UNDERCUT_LIMIT))
            }
            Self::Case(limit) => (limit.of(&file.limits), Some(limit.default())),
        }
    }

    fn set(self, file: &mut CaseFile, bound: f64) {
        match self {
            Self::WallDraftMin(coping, side) | Self::WallDraftMax(coping, side) => {
                let coping_of = file.copings.get_mut(coping);
                let wall = coping_of.and_then(|coping| {
                    let (v1::Basis::Finished { walls } | v1::Basis::Prep { prep: walls, .. }) =
                        &mut coping.basis;
                    walls.get_mut(side).as_mut()
                });
                if let Some(wall) = wall {
                    let place = match self {
                        Self::WallDraftMin(..) => &mut wall.draft_min_deg,
                        _ => &mut wall.draft_max_deg,
                    };
                    *place = Some(bound);
                }
            }
            Self::Zone(zone) => {
                if let Some(zone) = file.seat_zones.get_mut(zone) {
                    zone.undercut_limit_mm = Some(UndercutLimit::Depth(bound));
                }
            }
            Self::Case(limit) => *limit.place(&mut file.limits) = Some(bound),
        }
    }
}

/// A limit with what it is changed to, before anything has been tried.
struct Changed<'a> {
    steering: Steering,
    /// Tighter and looser.
    cases: [Option<Variant<'a>>; 2],
    bounds: [f64; 2],
}

/// What steers the recommended tilt of a survey of this case, in the order of its limits: every limit that
/// governs it, and every one that flat breaks. Empty where nothing is recommended.
///
/// Every tilt is the one that a survey of the case with the changed limit recommends. With `options` as the survey
/// had them. Each limit takes up to the time of a survey.
///
/// # Errors
/// [`Cancelled`] when the control says so.
pub fn sensitivity<R: RidgeReader>(
    case: &Case,
    ridge: Option<&R>,
    survey: &Survey,
    options: &SurveyOptions,
    control: &dyn Control,
) -> Result<Vec<Steering>, Cancelled> {
    let Some(best) = &survey.recommended else {
        return Ok(Vec::new());
    };
    let steers = |reading: &&LimitReading| {
        let mut named = best.governing.iter().chain(&best.reason.flat_breaks);
        named.any(|named| named.limit == reading.limit)
    };
    let mut changed: Vec<Changed<'_>> = Vec::new();
    for reading in best.evaluation.limits.iter().filter(steers) {
        let Some(set_at) = SetAt::of(&reading.limit, case) else {
            continue;
        };
        if changed.iter().all(|known| known.steering.set_at != set_at) {
            changed.extend(Changed::of(case, ridge, *reading, set_at));
        }
    }
    let variants = changed.iter().flat_map(|one| one.cases.iter().flatten());
    let problems: Vec<Problem<'_>> = variants.map(Variant::problem).collect();
    let mut found = recommended_of(&problems, options, control)?.into_iter();
    let steering = changed.into_iter().map(|mut one| {
        let [tighter, looser] = [0, 1].map(|which| {
            one.cases[which].as_ref()?;
            Some(Retried {
                bound: one.bounds[which],
                recommended: found.next()?,
            })
        });
        (one.steering.tighter, one.steering.looser) = (tighter, looser);
        one.steering
    });
    Ok(steering.collect())
}

impl<'a> Changed<'a> {
    /// `None` where the limit has no value, which no limit that is judged lacks.
    fn of<R: RidgeReader>(
        case: &Case,
        ridge: Option<&'a R>,
        limit: LimitReading,
        set_at: SetAt,
    ) -> Option<Self> {
        let (stated, default) = set_at.stated(case.file());
        let value = stated.or(default.map(|default| default.value))?;
        let kind = limit.limit.kind;
        let at_least = if kind.is_angle() {
            AT_LEAST_DEG
        } else {
            AT_LEAST_MM
        };
        let by = (PART * value).max(at_least);
        let tighter = match kind.sense() {
            Sense::Min => by,
            Sense::Max => -by,
        };
        let bounds = [value + tighter, value - tighter].map(tidy);
        let cases = bounds.map(|bound| {
            let mut file = case.file().clone();
            set_at.set(&mut file, bound);
            // What the reader refuses is out of range, or contradicts another limit.
            let edited = case.edited(&file).ok()?;
            let judged_alike = if case.is_as_planned() {
                edited
            } else {
                edited.as_measured()
            };
            Some(Variant::new(judged_alike, ridge))
        });
        Some(Self {
            steering: Steering {
                limit,
                set_at,
                default_basis: default.filter(|_| stated.is_none()).map(|of| of.basis),
                tighter: None,
                looser: None,
            },
            cases,
            bounds,
        })
    }
}
