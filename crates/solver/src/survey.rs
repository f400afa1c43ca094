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
    let mut named: Vec<(AlternativeName, UnitVector3<f64>)> = Vec::new();
    if let Some(allowed) = &recommended {
        control.progress("comparing alternatives", 0.0);
        let mut push = |name, d: Option<UnitVector3<f64>>| named.extend(d.map(|d| (name, d)));
        push(
            AlternativeName::LeastBlockout,
            least_blockout(&field, &mut map, allowed)?,
        );
        control.progress("comparing alternatives", 0.4);
        push(
            AlternativeName::MostParallel,
            most_parallel(&field, &map, allowed)?,
        );
        control.progress("comparing alternatives", 0.6);
        push(
            AlternativeName::LeastTilt,
            least_tilt(&field, &mut chart, &mut map, allowed)?,
        );
    }
    named.push((AlternativeName::Flat, Tilt::FLAT.direction()));
    named.extend(
        options
            .held
            .map(|tilt| (AlternativeName::Held, tilt.direction())),
    );
    let mut alternatives = Vec::with_capacity(named.len());
    for (name, d) in named {
        // Searches stay within the table; the user's own tilt is a tilt by construction.
        let Ok(tilt) = Tilt::from_direction(&d) else {
            continue;
        };
        let evaluation = evaluate(&problem, tilt);
        let allowance_rad = if evaluation.acceptable {
            allowance_on(&field, &mut map, &d)?
        } else {
            0.0
        };
        alternatives.push(Alternative {
            name,
            evaluation,
            allowance_rad,
        });
    }
    let mut answer = Survey {
        common_draw,
        recommended: None,
        least_bad: None,
        alternatives,
        changes: Vec::new(),
    };
    if let Some(allowed) = recommended {
        answer.recommended = explain(&field, &map, &allowed);
    } else {
        let everywhere = map.extended(&field, field.reach_rad(), |_| 0.0)?;
        answer.least_bad = explain_least_bad(&field, &everywhere, &options.scales)?;
        answer.changes = changes(&field, &everywhere, &options.scales)?;
    }
    control.progress("done", 1.0);
    Ok(answer)
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
    let allowance_rad = allowance_of(&field, &evaluation.direction)?;
    Ok((evaluation, allowance_rad))
}

fn explain(field: &Field<'_>, map: &RidgeMap, allowed: &Allowed) -> Option<Recommended> {
    let tilt = Tilt::from_direction(&allowed.direction).ok()?;
    let evaluation = evaluate(&field.problem, tilt);
    let governing = governing(field, map, allowed)
        .into_iter()
        .map(|index| evaluation.limits[index])
        .collect();
    Some(Recommended {
        evaluation,
        allowance_rad: allowed.allowance_rad,
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
