//! The recommended tilt: the least that a hand can set.
//!
//! A hand sets whole steps of a protractor. Among the tilts on that grid that are acceptable and leave the
//! hand the allowance it wants, the flattest is recommended: flat itself, unless there is a reason to leave
//! it. Where none leaves so much, what is wanted becomes half a degree less than the best of them leave.

use crate::allowance::{Judged, judge};
use crate::control::Cancelled;
use crate::evaluation::total_tilt_rad;
use crate::field::Field;
use crate::limit::LimitReading;
use crate::most_forgiving::TIE_RAD;
use crate::ridge_map::RidgeMap;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::tolerance::MET_RAD;

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Radians. Where no settable tilt leaves what is wanted, so much less than the best does is wanted.
const BELOW_BEST_RAD: f64 = 0.5 * DEGREE;

/// Radians. Totals closer than this are one: a millionth of a degree.
const SAME_TOTAL_RAD: f64 = 1e-6 * DEGREE;

/// Radians. How much more allowance a tilt may have than the ridge's map shows, for it to be read.
/// Tuned: 0.1 degree; on the samples the map is off by 0.003 where it has been read around. Smaller passes
/// over a flatter tilt, larger takes readings.
const MAP_SLACK_RAD: f64 = 0.1 * DEGREE;

/// What chose the recommended tilt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// The least settable tilt that leaves the allowance wanted.
    LeastWithWanted,
    /// No settable tilt leaves that much: the least that comes within half a degree of the best.
    LeastNearBest,
    /// No settable tilt is acceptable: the same on half steps.
    HalfSteps,
    /// No half step is acceptable either: the most forgiving tilt, unrounded.
    MostForgiving,
}

impl Rule {
    /// The name in machine-readable answers.
    pub fn key(self) -> &'static str {
        match self {
            Self::LeastWithWanted => "least_with_wanted",
            Self::LeastNearBest => "least_near_best",
            Self::HalfSteps => "half_steps",
            Self::MostForgiving => "most_forgiving",
        }
    }
}

/// Why a tilt is recommended.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// What chose it.
    pub rule: Rule,
    /// The allowance that was asked of it, radians: what the case wants, or what was left to want.
    pub wanted_rad: f64,
    /// The largest allowance of a settable tilt, radians; known where that is less than the case wants.
    pub best_settable_rad: Option<f64>,
    /// The step it is set in, radians.
    pub step_rad: f64,
    /// What flat breaks.
    pub flat_breaks: Vec<LimitReading>,
}

/// A tilt that a hand can set.
struct Candidate {
    /// Steps anterior and lateral.
    steps: [i32; 2],
    tilt: Tilt,
    direction: UnitVector3<f64>,
    /// Its total tilt, in units of [`SAME_TOTAL_RAD`].
    total: i64,
    /// Its allowance by walls and metal.
    margin_rad: f64,
}

/// Tilts on a grid, with what was read of them.
struct Grid {
    candidates: Vec<Candidate>,
    judged: BTreeMap<[i32; 2], Judged>,
}

impl Grid {
    /// All that meet what has a closed form, the flattest first.
    fn new(field: &Field<'_>, step_rad: f64, arch: Arch) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "at most 160 quarter degrees"
        )]
        let most = ((field.reach_rad() + MET_RAD) / step_rad).floor() as i32;
        let mut candidates = Vec::new();
        for anterior in -most..=most {
            for lateral in -most..=most {
                let [a, b] = [anterior, lateral].map(|k| f64::from(k) * step_rad);
                let Ok(tilt) = Tilt::new(a, b) else { continue };
                let direction = tilt.direction();
                let margin_rad = field.setting_margin(&direction);
                let is_met = margin_rad.min(field.preference_margin(&direction)) >= -MET_RAD;
                if is_met {
                    candidates.push(Candidate {
                        steps: [anterior, lateral],
                        tilt,
                        direction,
                        total: in_units(total_tilt_rad(&direction)),
                        margin_rad,
                    });
                }
            }
        }
        candidates.sort_by_key(|candidate: &Candidate| (candidate.total, candidate.order(arch)));
        Self {
            candidates,
            judged: BTreeMap::new(),
        }
    }

    fn judge(
        &mut self,
        field: &Field<'_>,
        map: &mut RidgeMap,
        index: usize,
    ) -> Result<&Judged, Cancelled> {
        let candidate = &self.candidates[index];
        match self.judged.entry(candidate.steps) {
            Entry::Occupied(known) => Ok(known.into_mut()),
            Entry::Vacant(place) => Ok(place.insert(judge(field, map, candidate.tilt)?)),
        }
    }

    /// The flattest acceptable tilt that leaves an allowance.
    fn flattest(
        &mut self,
        field: &Field<'_>,
        map: &mut RidgeMap,
        wanted_rad: f64,
    ) -> Result<Option<Judged>, Cancelled> {
        let mut found: Vec<(i64, Judged)> = Vec::new();
        for index in 0..self.candidates.len() {
            let candidate = &self.candidates[index];
            let total = candidate.total;
            if found.iter().any(|(flattest, _)| total > *flattest) {
                break;
            }
            if candidate.promise_rad(map) + MAP_SLACK_RAD < wanted_rad {
                continue;
            }
            let judged = self.judge(field, map, index)?;
            if judged.evaluation.acceptable && judged.allowance_rad >= wanted_rad - MET_RAD {
                found.push((total, judged.clone()));
            }
        }
        let widest = found
            .iter()
            .map(|(_, judged)| judged.allowance_rad)
            .fold(0.0, f64::max);
        // In the order of what is liked best.
        let mut ties = found.into_iter().map(|(_, judged)| judged);
        Ok(ties.find(|judged| judged.allowance_rad >= widest - TIE_RAD))
    }

    /// The largest allowance of those that are acceptable; `None` where none is.
    fn widest_rad(
        &mut self,
        field: &Field<'_>,
        map: &mut RidgeMap,
    ) -> Result<Option<f64>, Cancelled> {
        let mut order: Vec<(f64, usize)> = Vec::new();
        for (index, candidate) in self.candidates.iter().enumerate() {
            order.push((candidate.promise_rad(map), index));
        }
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut widest: Option<f64> = None;
        for (promise_rad, index) in order {
            let least = widest.unwrap_or(0.0);
            if promise_rad + MAP_SLACK_RAD < least {
                break;
            }
            // What was read since has taught the map.
            if self.candidates[index].promise_rad(map) + MAP_SLACK_RAD < least {
                continue;
            }
            let judged = self.judge(field, map, index)?;
            if judged.evaluation.acceptable {
                widest = Some(least.max(judged.allowance_rad));
            }
        }
        Ok(widest)
    }
}

/// A total tilt in whole units, so that rounding parts no tie.
#[expect(clippy::cast_possible_truncation, reason = "at most a few billion")]
fn in_units(total_rad: f64) -> i64 {
    (total_rad / SAME_TOTAL_RAD).round() as i64
}

impl Candidate {
    fn promise_rad(&self, map: &RidgeMap) -> f64 {
        self.margin_rad.min(map.clearance_rad(&self.direction))
    }

    /// What is liked best first: less sideways, the posterior down, the patient's right down.
    fn order(&self, arch: Arch) -> (i32, bool, bool) {
        let [anterior, lateral] = self.steps;
        let right = match arch {
            Arch::Mandibular => lateral > 0,
            Arch::Maxillary => lateral < 0,
        };
        (lateral.abs(), anterior > 0, !right)
    }
}

/// A recommended tilt with its reason.
pub(crate) type Chosen = (Judged, Reason);

/// The recommended tilt of a case that has an acceptable one. `map` must cover every draw with a margin.
pub(crate) fn recommend(
    field: &Field<'_>,
    map: &mut RidgeMap,
    most_forgiving: &Judged,
    arch: Arch,
) -> Result<Chosen, Cancelled> {
    let limits = &field.problem.limits;
    let step_rad = limits.setting_step_rad;
    field
        .control
        .progress("searching the least tilt a hand can set", 0.0);
    let wanted_rad = limits.allowance_wanted_rad;
    let reason = |rule, wanted_rad, best_settable_rad, step_rad| Reason {
        rule,
        wanted_rad,
        best_settable_rad,
        step_rad,
        flat_breaks: Vec::new(),
    };
    for (step_rad, halved) in [(step_rad, false), (0.5 * step_rad, true)] {
        let mut grid = Grid::new(field, step_rad, arch);
        let rule = |rule| if halved { Rule::HalfSteps } else { rule };
        if let Some(judged) = grid.flattest(field, map, wanted_rad)? {
            let rule = rule(Rule::LeastWithWanted);
            return Ok((judged, reason(rule, wanted_rad, None, step_rad)));
        }
        if let Some(best_rad) = grid.widest_rad(field, map)? {
            let left_rad = (best_rad - BELOW_BEST_RAD).max(0.0).min(wanted_rad);
            if let Some(judged) = grid.flattest(field, map, left_rad)? {
                let rule = rule(Rule::LeastNearBest);
                return Ok((judged, reason(rule, left_rad, Some(best_rad), step_rad)));
            }
        }
        field
            .control
            .progress("searching the least tilt a hand can set", 0.5);
    }
    let reason = reason(Rule::MostForgiving, wanted_rad, None, step_rad);
    Ok((most_forgiving.clone(), reason))
}
