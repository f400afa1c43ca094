//! The whole answer for one case.

use crate::allowance::{Judged, judge, judge_alone};
use crate::alternatives::{AlternativeName, best_for_copings, least_blockout, most_parallel};
use crate::changes::{ChangeSet, OddCoping, Ways, changes};
use crate::common_draw::{CommonDraw, common_draw};
use crate::control::{Cancelled, Control};
use crate::evaluation::{Evaluation, evaluate};
use crate::field::Field;
use crate::least_bad::{LeastOverrun, least_bad};
use crate::limit::{LimitClass, LimitReading, OverrunScales};
use crate::most_forgiving::{governing, most_forgiving};
use crate::problem::Problem;
use crate::recommend::{Reason, recommend};
use crate::ridge_map::RidgeMap;
use crate::search::Chart;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;

/// What may be chosen about a survey.
#[derive(Debug, Clone, Copy)]
pub struct SurveyOptions {
    /// Which jaw it is: of two tilts that are as good, the one that lowers the patient's right is taken.
    pub arch: Arch,
    /// A tilt of the user's own, to be compared.
    pub held: Option<Tilt>,
    /// How overruns of different kinds are made comparable.
    pub scales: OverrunScales,
}

impl Default for SurveyOptions {
    /// A lower jaw, with nothing held.
    fn default() -> Self {
        Self {
            arch: Arch::Mandibular,
            held: None,
            scales: OverrunScales::default(),
        }
    }
}

/// The recommended tilt.
#[derive(Debug, Clone, PartialEq)]
pub struct Recommended {
    /// Everything about it.
    pub evaluation: Evaluation,
    /// Its setting allowance.
    pub allowance_rad: f64,
    /// The limits that touch the allowance circle.
    pub governing: Vec<LimitReading>,
    /// Why it is this one.
    pub reason: Reason,
}

/// The tilt that misses by least, where none is acceptable.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastBad {
    /// Everything about it.
    pub evaluation: Evaluation,
    /// The worst overrun divided by its scale.
    pub worst_overrun: f64,
    /// The limits that miss by the worst overrun, or within a tenth of it.
    pub blocking: Vec<LimitReading>,
    /// The first class of limits that no draw of the search window meets together with those before it.
    pub forbidden_by: LimitClass,
}

/// A tilt to compare.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// What it is the best at.
    pub name: AlternativeName,
    /// Everything about it.
    pub evaluation: Evaluation,
    /// Its setting allowance; 0 where it does not hold: see [`Evaluation::holds`].
    pub allowance_rad: f64,
}

/// The whole answer for one case.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// The common draw of all finished guiding walls; `None` if there is no such wall.
    pub common_draw: Option<CommonDraw>,
    /// The recommended tilt; `None` where no tilt is acceptable.
    pub recommended: Option<Recommended>,
    /// The tilt that misses by least; `None` where one is acceptable, or where there is nothing to judge.
    pub least_bad: Option<LeastBad>,
    /// Other tilts to compare, in the order of [`AlternativeName`].
    pub alternatives: Vec<Alternative>,
    /// Sets of changes that would open a tilt; empty where one is acceptable.
    pub changes: Vec<ChangeSet>,
    /// The coping whose removal opens most, if one stands out; `None` where a tilt is acceptable.
    pub odd_coping: Option<OddCoping>,
}

impl Survey {
    /// The alternative of a name; `None` where it does not exist.
    pub fn alternative(&self, name: AlternativeName) -> Option<&Alternative> {
        self.alternatives.iter().find(|other| other.name == name)
    }
}

/// Surveys a case.
///
/// # Errors
/// [`Cancelled`] when the control says so.
pub fn survey(
    problem: Problem<'_>,
    options: &SurveyOptions,
    control: &dyn Control,
) -> Result<Survey, Cancelled> {
    control.progress("finding the common draw", 0.0);
    let common_draw = common_draw(problem.copings, problem.limits.tilt_max_rad);
    let field = Field::new(problem, control);
    let mut map = RidgeMap::covering(&field, field.window_rad, |d| field.setting_margin(d))?;
    let (best, least_bad) = best_or_least_bad(&field, &mut map, &options.scales)?;
    let chosen = match &best {
        Some(best) => Some(recommend(&field, &mut map, best, options.arch)?),
        None => None,
    };
    let alternatives = compare(&field, &mut map, best.as_ref(), options.held)?;
    let Ways { sets, odd_coping } = match best {
        None if field.is_judged() => changes(&field, &map, &options.scales, options.arch)?,
        _ => Ways::default(),
    };
    let flat = alternatives
        .iter()
        .find(|found| found.name == AlternativeName::Flat);
    let recommended = chosen
        .map(|(judged, reason)| {
            let flat_breaks =
                flat.map_or_else(Vec::new, |flat| flat.evaluation.broken().copied().collect());
            let reason = Reason {
                flat_breaks,
                ..reason
            };
            explain(&field, &mut map, judged, reason)
        })
        .transpose()?;
    control.progress("done", 1.0);
    Ok(Survey {
        common_draw,
        recommended,
        least_bad,
        alternatives,
        changes: sets,
        odd_coping,
    })
}

/// The most forgiving tilt or, where none is acceptable, the least bad one; neither where there is nothing to
/// judge. `map` must cover every draw with a margin; where none is acceptable, it then covers the window.
pub(crate) fn best_or_least_bad(
    field: &Field<'_>,
    map: &mut RidgeMap,
    scales: &OverrunScales,
) -> Result<(Option<Judged>, Option<LeastBad>), Cancelled> {
    if !field.is_judged() {
        return Ok((None, None));
    }
    if let Some(best) = most_forgiving(field, &mut Chart::default(), map)? {
        return Ok((Some(best), None));
    }
    *map = std::mem::take(map).extended(field, field.window_rad, |_| 0.0)?;
    // The walk to the least bad tilt may end in a patch of acceptable ones, too small for a search.
    match explain_least_bad(field, map, scales)? {
        Some(least) if least.evaluation.acceptable => {
            Ok((Some(judge(field, map, least.evaluation.tilt)?), None))
        }
        least_bad => Ok((None, least_bad)),
    }
}

/// Other tilts to compare with the recommended one.
fn compare(
    field: &Field<'_>,
    map: &mut RidgeMap,
    most_forgiving: Option<&Judged>,
    held: Option<Tilt>,
) -> Result<Vec<Alternative>, Cancelled> {
    let mut found = Vec::new();
    let progress = |done| field.control.progress("comparing alternatives", done);
    progress(0.0);
    if let Some(best) = most_forgiving {
        found.push((AlternativeName::MostForgiving, Some(best.clone())));
        let judged = least_blockout(field, map, best)?;
        found.push((AlternativeName::LeastBlockout, judged));
    }
    progress(0.4);
    if let Some(d) = best_for_copings(field)?
        && let Ok(tilt) = Tilt::from_direction(&d)
    {
        let judged = judge(field, map, tilt)?;
        found.push((AlternativeName::BestForCopings, Some(judged)));
    }
    if let Some(best) = most_forgiving {
        progress(0.6);
        let judged = most_parallel(field, map, best)?;
        found.push((AlternativeName::MostParallel, judged));
    }
    let flat = judge(field, map, Tilt::FLAT)?;
    found.push((AlternativeName::Flat, Some(flat)));
    if let Some(held) = held {
        found.push((AlternativeName::Held, Some(judge(field, map, held)?)));
    }
    let of = |(name, judged): (AlternativeName, Option<Judged>)| {
        let judged = judged?;
        Some(Alternative {
            name,
            evaluation: judged.evaluation,
            allowance_rad: judged.allowance_rad,
        })
    };
    Ok(found.into_iter().filter_map(of).collect())
}

/// Evaluates one tilt with its setting allowance.
///
/// # Errors
/// [`Cancelled`] when the control says so.
pub fn check(
    problem: Problem<'_>,
    tilt: Tilt,
    control: &dyn Control,
) -> Result<(Evaluation, f64), Cancelled> {
    let judged = judge_alone(&Field::new(problem, control), tilt)?;
    Ok((judged.evaluation, judged.allowance_rad))
}

fn explain(
    field: &Field<'_>,
    map: &mut RidgeMap,
    judged: Judged,
    reason: Reason,
) -> Result<Recommended, Cancelled> {
    field.control.progress("naming what governs", 0.0);
    let governing = governing(field, map, &judged)?;
    Ok(Recommended {
        evaluation: judged.evaluation,
        allowance_rad: judged.allowance_rad,
        governing,
        reason,
    })
}

fn explain_least_bad(
    field: &Field<'_>,
    map: &RidgeMap,
    scales: &OverrunScales,
) -> Result<Option<LeastBad>, Cancelled> {
    let LeastOverrun {
        direction,
        forbidden_by,
    } = least_bad(field, map, scales)?;
    let Ok(tilt) = Tilt::from_direction(&direction) else {
        return Ok(None);
    };
    let evaluation = evaluate(&field.problem, tilt);
    let scaled = |reading: &LimitReading| {
        reading.limit.overrun(reading.value) / scales.of(reading.limit.kind)
    };
    let worst_overrun = evaluation.limits.iter().map(scaled).fold(0.0, f64::max);
    let blocking = evaluation
        .broken()
        .filter(|reading| scaled(reading) >= 0.9 * worst_overrun)
        .copied()
        .collect();
    Ok(Some(LeastBad {
        evaluation,
        worst_overrun,
        blocking,
        forbidden_by,
    }))
}
