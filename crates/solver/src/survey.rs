//! The whole answer for one case.

use crate::allowance::{allowance_of, allowance_on};
use crate::alternatives::{AlternativeName, least_blockout, least_tilt, most_parallel};
use crate::changes::{ChangeSet, changes};
use crate::common_draw::{CommonDraw, common_draw};
use crate::control::{Cancelled, Control};
use crate::evaluation::{Evaluation, evaluate};
use crate::field::Field;
use crate::least_bad::least_bad;
use crate::limit::{LimitReading, OverrunScales};
use crate::problem::Problem;
use crate::recommend::{Allowed, governing, recommend};
use crate::ridge_map::RidgeMap;
use crate::search::Chart;
use tiltbench_geometry::UnitVector3;
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
    let recommended = recommend(&field, &mut chart, &mut map)?;
    let mut alternatives = Vec::new();
    let mut push = |name, found: Option<Allowed>| {
        // Searches stay within the table, so every draw found is a tilt.
        let tilt = found.and_then(|found| Tilt::from_direction(&found.direction).ok());
        if let (Some(tilt), Some(found)) = (tilt, found) {
            alternatives.push(Alternative {
                name,
                evaluation: evaluate(&problem, tilt),
                allowance_rad: found.allowance_rad,
            });
        }
    };
    if let Some(best) = &recommended {
        control.progress("comparing alternatives", 0.0);
        let found = least_blockout(&field, &mut map, best)?;
        push(AlternativeName::LeastBlockout, found);
        control.progress("comparing alternatives", 0.4);
        let found = most_parallel(&field, &map, best)?;
        let found = found.map(|d| measured(&field, &mut map, d)).transpose()?;
        push(AlternativeName::MostParallel, found);
        control.progress("comparing alternatives", 0.6);
        let found = least_tilt(&field, &mut chart, &mut map, best)?;
        push(AlternativeName::LeastTilt, found);
    }
    let flat = measured(&field, &mut map, Tilt::FLAT.direction())?;
    push(AlternativeName::Flat, Some(flat));
    if let Some(held) = options.held {
        let held = measured(&field, &mut map, held.direction())?;
        push(AlternativeName::Held, Some(held));
    }
    let mut answer = Survey {
        common_draw,
        recommended: None,
        least_bad: None,
        alternatives,
        changes: Vec::new(),
    };
    if let Some(allowed) = recommended {
        answer.recommended = explain(&field, &mut map, &allowed)?;
    } else {
        let everywhere = map.extended(&field, field.reach_rad(), |_| 0.0)?;
        answer.least_bad = explain_least_bad(&field, &everywhere, &options.scales)?;
        answer.changes = changes(&field, &everywhere, &options.scales)?;
    }
    control.progress("done", 1.0);
    Ok(answer)
}

/// A draw with its setting allowance, 0 where it is not acceptable.
fn measured(
    field: &Field<'_>,
    map: &mut RidgeMap,
    direction: UnitVector3<f64>,
) -> Result<Allowed, Cancelled> {
    let allowance_rad = allowance_on(field, map, &direction)?.unwrap_or(0.0);
    Ok(Allowed {
        direction,
        allowance_rad,
    })
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
    let evaluation = evaluate(&problem, tilt);
    if !evaluation.acceptable {
        return Ok((evaluation, 0.0));
    }
    let field = Field::new(problem, control);
    let allowance_rad = allowance_of(&field, &evaluation.direction)?.unwrap_or(0.0);
    Ok((evaluation, allowance_rad))
}

fn explain(
    field: &Field<'_>,
    map: &mut RidgeMap,
    allowed: &Allowed,
) -> Result<Option<Recommended>, Cancelled> {
    let Ok(tilt) = Tilt::from_direction(&allowed.direction) else {
        return Ok(None);
    };
    field.control.progress("naming what governs", 0.0);
    let evaluation = evaluate(&field.problem, tilt);
    let governing = governing(field, map, allowed)?
        .into_iter()
        .map(|index| evaluation.limits[index])
        .collect();
    Ok(Some(Recommended {
        evaluation,
        allowance_rad: allowed.allowance_rad,
        governing,
    }))
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
