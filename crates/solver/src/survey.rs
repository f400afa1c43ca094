//! The whole answer for one case.

use crate::allowance::{Judged, governing, judge};
use crate::alternatives::{AlternativeName, least_blockout, least_tilt, most_parallel};
use crate::changes::{ChangeSet, changes};
use crate::common_draw::{CommonDraw, common_draw};
use crate::context::Context;
use crate::control::{Cancelled, Control};
use crate::depth_tree::DepthTree;
use crate::evaluation::{Evaluation, evaluate};
use crate::field::Field;
use crate::least_bad::least_bad;
use crate::limit::{LimitReading, OverrunScales};
use crate::problem::Problem;
use crate::recommend::recommend;
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
    /// Its setting allowance, as proved: every draw within this meets every limit.
    pub allowance_rad: f64,
    /// Its setting allowance is no more than this: some draw at this angle breaks a limit.
    pub allowance_upper_rad: f64,
    /// The limits whose own circle is no larger than the upper figure and 0.05 degree.
    pub governing: Vec<LimitReading>,
}

/// The tilt that misses by least, where none is acceptable.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastBad {
    /// Everything about it.
    pub evaluation: Evaluation,
    /// The worst overrun divided by its scale.
    pub worst_overrun: f64,
    /// Proved: at no tilt the worst overrun divided by its scale is less than this.
    pub worst_at_least: f64,
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
    /// Its setting allowance, as proved; 0 when it is not acceptable.
    pub allowance_rad: f64,
    /// Its setting allowance is no more than this.
    pub allowance_upper_rad: f64,
}

/// What a survey took.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Work {
    /// Readings of the ridge's depths.
    pub readings: usize,
    /// Cells of draws that searches took up.
    pub cells: usize,
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
    /// Proved: no tilt has a larger setting allowance than this, radians. Minus infinity where it is proved
    /// that none is acceptable.
    pub widest_at_most_rad: f64,
    /// What it took.
    pub work: Work,
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
    let mut tree = DepthTree::new(&problem);
    let context = &mut Context::new(&field, &mut tree);
    let best = recommend(context)?;
    let mut recommended = best.judged;
    let mut least_bad = None;
    if recommended.is_none() {
        context.tree.tell_overruns();
        least_bad = explain_least_bad(context, &options.scales)?;
        // Acceptable by less than a search tells apart: limits that meet in one draw.
        if let Some(least) = least_bad.take_if(|least| least.evaluation.acceptable) {
            recommended = Some(judge(context, least.evaluation.tilt)?);
        }
    }
    let alternatives = compare(context, recommended.as_ref(), options.held)?;
    let changes = match recommended {
        Some(_) => Vec::new(),
        None => changes(context, &options.scales)?,
    };
    let recommended = recommended
        .map(|judged| explain(context, judged))
        .transpose()?;
    control.progress("done", 1.0);
    let work = Work {
        readings: context.tree.readings(),
        cells: context.cells,
    };
    Ok(Survey {
        common_draw,
        recommended,
        least_bad,
        alternatives,
        changes,
        widest_at_most_rad: best.at_most_rad,
        work,
    })
}

/// Other tilts to compare with the recommended one.
fn compare(
    context: &mut Context<'_, '_, '_>,
    recommended: Option<&Judged>,
    held: Option<Tilt>,
) -> Result<Vec<Alternative>, Cancelled> {
    let mut found = Vec::new();
    if let Some(best) = recommended {
        let control = context.field.control;
        let progress = |done| control.progress("comparing alternatives", done);
        progress(0.0);
        found.push((
            AlternativeName::LeastBlockout,
            least_blockout(context, best)?,
        ));
        progress(0.4);
        found.push((AlternativeName::MostParallel, most_parallel(context, best)?));
        progress(0.6);
        found.push((AlternativeName::LeastTilt, least_tilt(context, best)?));
    }
    found.push((AlternativeName::Flat, Some(judge(context, Tilt::FLAT)?)));
    if let Some(held) = held {
        found.push((AlternativeName::Held, Some(judge(context, held)?)));
    }
    let of = |(name, judged): (AlternativeName, Option<Judged>)| {
        let judged = judged?;
        Some(Alternative {
            name,
            evaluation: judged.evaluation,
            allowance_rad: judged.allowance.lower_rad,
            allowance_upper_rad: judged.allowance.upper_rad,
        })
    };
    Ok(found.into_iter().filter_map(of).collect())
}

/// One tilt with its setting allowance: the figures that [`survey`] gives of it, to the bit.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// Everything about it.
    pub evaluation: Evaluation,
    /// Its setting allowance, as proved; 0 when it is not acceptable.
    pub allowance_rad: f64,
    /// Its setting allowance is no more than this.
    pub allowance_upper_rad: f64,
}

/// Evaluates one tilt with its setting allowance. Without that, see [`evaluate`].
///
/// # Errors
/// [`Cancelled`] when the control says so.
pub fn check(
    problem: Problem<'_>,
    tilt: Tilt,
    control: &dyn Control,
) -> Result<Checked, Cancelled> {
    let field = Field::new(problem, control);
    let mut tree = DepthTree::new(&problem);
    let judged = judge(&mut Context::new(&field, &mut tree), tilt)?;
    Ok(Checked {
        evaluation: judged.evaluation,
        allowance_rad: judged.allowance.lower_rad,
        allowance_upper_rad: judged.allowance.upper_rad,
    })
}

fn explain(context: &mut Context<'_, '_, '_>, judged: Judged) -> Result<Recommended, Cancelled> {
    (context.field.control).progress("naming what governs", 0.0);
    let governing = governing(context, &judged)?;
    Ok(Recommended {
        evaluation: judged.evaluation,
        allowance_rad: judged.allowance.lower_rad,
        allowance_upper_rad: judged.allowance.upper_rad,
        governing,
    })
}

fn explain_least_bad(
    context: &mut Context<'_, '_, '_>,
    scales: &OverrunScales,
) -> Result<Option<LeastBad>, Cancelled> {
    let missing = least_bad(context, scales)?;
    let Ok(tilt) = Tilt::from_direction(&missing.direction) else {
        return Ok(None);
    };
    let evaluation = evaluate(&context.field.problem, tilt);
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
        worst_at_least: missing.worst_at_least.min(worst_overrun),
        blocking,
    }))
}
