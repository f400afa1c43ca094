//! The whole answer for one case.

use crate::allowance::{Judged, judge, judge_alone};
use crate::alternatives::{AlternativeName, least_blockout, least_tilt, most_parallel};
use crate::changes::{ChangeSet, changes};
use crate::common_draw::{CommonDraw, common_draw};
use crate::control::{Cancelled, Control};
use crate::evaluation::{Evaluation, evaluate};
use crate::field::Field;
use crate::least_bad::least_bad;
use crate::limit::{LimitReading, OverrunScales};
use crate::problem::Problem;
use crate::recommend::{governing, recommend};
use crate::ridge_map::RidgeMap;
use crate::search::Chart;
use tiltbench_geometry::tilt::Tilt;

/// What may be chosen about a survey.
#[derive(Debug, Clone, Copy, Default)]
pub struct SurveyOptions {
    /// A tilt of the user's own, to be compared.
    pub held: Option<Tilt>,
    /// How overruns of different kinds are made comparable.
    pub scales: OverrunScales,
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
}

/// A tilt to compare.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// What it is the best at.
    pub name: AlternativeName,
    /// Everything about it.
    pub evaluation: Evaluation,
    /// Its setting allowance; 0 when it is not acceptable.
    pub allowance_rad: f64,
}

/// The whole answer for one case.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// The common draw of all finished guiding walls; `None` if there is no such wall.
    pub common_draw: Option<CommonDraw>,
    /// The recommended tilt; `None` where no tilt is acceptable.
    pub recommended: Option<Recommended>,
    /// The tilt that misses by least; `None` where one is acceptable.
    pub least_bad: Option<LeastBad>,
    /// Other tilts to compare, in the order of [`AlternativeName`].
    pub alternatives: Vec<Alternative>,
    /// Sets of changes that would open a tilt; empty where one is acceptable.
    pub changes: Vec<ChangeSet>,
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
    let mut chart = Chart::default();
    let mut map = RidgeMap::covering(&field, field.reach_rad(), |d| field.analytic_margin(d))?;
    let mut recommended = recommend(&field, &mut chart, &mut map)?;
    let mut least_bad = None;
    if recommended.is_none() {
        map = map.extended(&field, field.reach_rad(), |_| 0.0)?;
        least_bad = explain_least_bad(&field, &map, &options.scales)?;
        // The walk to the least bad tilt may end in a patch of acceptable ones, too small for a search.
        if let Some(least) = least_bad.take_if(|least| least.evaluation.acceptable) {
            recommended = Some(judge(&field, &mut map, least.evaluation.tilt)?);
        }
    }
    let alternatives = compare(
        &field,
        (&mut chart, &mut map),
        recommended.as_ref(),
        options.held,
    )?;
    let changes = match recommended {
        Some(_) => Vec::new(),
        None => changes(&field, &map, &options.scales)?,
    };
    let recommended = recommended
        .map(|judged| explain(&field, &mut map, judged))
        .transpose()?;
    control.progress("done", 1.0);
    Ok(Survey {
        common_draw,
        recommended,
        least_bad,
        alternatives,
        changes,
    })
}

/// Other tilts to compare with the recommended one.
fn compare(
    field: &Field<'_>,
    (chart, map): (&mut Chart, &mut RidgeMap),
    recommended: Option<&Judged>,
    held: Option<Tilt>,
) -> Result<Vec<Alternative>, Cancelled> {
    let mut found = Vec::new();
    if let Some(best) = recommended {
        let progress = |done| field.control.progress("comparing alternatives", done);
        progress(0.0);
        let judged = least_blockout(field, map, best)?;
        found.push((AlternativeName::LeastBlockout, judged));
        progress(0.4);
        let judged = most_parallel(field, map, best)?;
        found.push((AlternativeName::MostParallel, judged));
        progress(0.6);
        let judged = least_tilt(field, chart, map, best)?;
        found.push((AlternativeName::LeastTilt, judged));
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
) -> Result<Recommended, Cancelled> {
    field.control.progress("naming what governs", 0.0);
    let governing = governing(field, map, &judged)?
        .into_iter()
        .map(|index| judged.evaluation.limits[index])
        .collect();
    Ok(Recommended {
        evaluation: judged.evaluation,
        allowance_rad: judged.allowance_rad,
        governing,
    })
}

fn explain_least_bad(
    field: &Field<'_>,
    map: &RidgeMap,
    scales: &OverrunScales,
) -> Result<Option<LeastBad>, Cancelled> {
    let d = least_bad(field, map, scales)?;
    let Ok(tilt) = Tilt::from_direction(&d) else {
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
    }))
}
