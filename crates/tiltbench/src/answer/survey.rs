//! The answer of `survey`.

use super::allowance::AllowanceAnswer;
use super::case::CaseAnswer;
use super::changes::ChangeSetAnswer;
use super::common_draw::CommonDrawAnswer;
use super::evaluation::EvaluationAnswer;
use super::limit::LimitAnswer;
use super::number::Number;
use super::planned::AsMeasuredAnswer;
use super::sensitivity::SteeringAnswer;
use crate::run::Loaded;
use serde::Serialize;
use tiltbench_session::names::Names;
use tiltbench_session::report::advice;
use tiltbench_session::sensitivity::Steering;
use tiltbench_solver::evaluation::Evaluation;
use tiltbench_solver::{Reason, Survey, parallelism_rad};

#[derive(Debug, Serialize)]
pub(crate) struct SurveyAnswer {
    contract: u32,
    case: CaseAnswer,
    common_draw: Option<CommonDrawAnswer>,
    acceptable: bool,
    /// The answer in one sentence.
    advice: String,
    recommended: Option<RecommendedAnswer>,
    least_bad: Option<LeastBadAnswer>,
    alternatives: Vec<AlternativeAnswer>,
    changes: Vec<ChangeSetAnswer>,
    /// The coping whose removal opens most; null where none stands out, or a tilt is acceptable.
    odd_coping: Option<OddCopingAnswer>,
    /// Which limits steer the recommended tilt; empty where nothing is recommended, null where it was not asked for.
    sensitivity: Option<Vec<SteeringAnswer>>,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
struct RecommendedAnswer {
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
    #[serde(flatten)]
    allowance: AllowanceAnswer,
    governing: Vec<LimitAnswer>,
    /// The same tilt before any planned work; null where nothing is planned.
    as_measured: Option<AsMeasuredAnswer>,
    reason: ReasonAnswer,
}

/// The coping whose removal opens most, and the widest allowance without it.
#[derive(Debug, Serialize)]
struct OddCopingAnswer {
    coping: String,
    setting_allowance_deg: Number,
}

/// Why a tilt is recommended.
#[derive(Debug, Serialize)]
struct ReasonAnswer {
    rule: &'static str,
    wanted_deg: Number,
    /// The largest allowance of a settable tilt; null where the one wanted is reached.
    best_settable_deg: Option<Number>,
    step_deg: Number,
    flat_breaks: Vec<LimitAnswer>,
}

#[derive(Debug, Serialize)]
struct LeastBadAnswer {
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
    worst_overrun: Number,
    blocking: Vec<LimitAnswer>,
    /// The first of rigid, seat, preference that no draw of the search window meets with those before.
    forbidden_by: &'static str,
    /// The same tilt before any planned work; null where nothing is planned.
    as_measured: Option<AsMeasuredAnswer>,
}

#[derive(Debug, Serialize)]
struct AlternativeAnswer {
    name: &'static str,
    #[serde(flatten)]
    allowance: AllowanceAnswer,
    /// Root mean square of the angles between the draw and the axes of the finished copings; null without one.
    rms_axis_deg: Option<Number>,
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
}

/// The whole answer for one case; `as_measured` is the tilt it is about before any planned work, `sensitivity`
/// what steers it, if that was asked for.
pub(crate) fn survey(
    loaded: &Loaded,
    survey: &Survey,
    as_measured: Option<&Evaluation>,
    sensitivity: Option<&[Steering]>,
) -> SurveyAnswer {
    let names = Names::new(&loaded.case);
    let problem = loaded.problem();
    let one = |evaluation: &Evaluation, allowance_rad: Option<f64>| {
        EvaluationAnswer::new(names, &problem, evaluation, allowance_rad, &[])
    };
    SurveyAnswer {
        contract: super::CONTRACT,
        case: CaseAnswer::new(loaded),
        common_draw: survey
            .common_draw
            .as_ref()
            .map(|draw| CommonDrawAnswer::new(names, draw)),
        acceptable: survey.recommended.is_some(),
        advice: advice(names, survey),
        recommended: survey.recommended.as_ref().map(|best| RecommendedAnswer {
            evaluation: one(&best.evaluation, Some(best.allowance_rad)),
            allowance: AllowanceAnswer::new(
                names,
                &problem,
                &best.evaluation,
                Some(best.allowance_rad),
            ),
            governing: LimitAnswer::all(names, &best.governing),
            as_measured: as_measured.map(|before| AsMeasuredAnswer::new(names, before)),
            reason: ReasonAnswer::new(names, &best.reason),
        }),
        least_bad: survey.least_bad.as_ref().map(|least| LeastBadAnswer {
            evaluation: one(&least.evaluation, None),
            worst_overrun: Number(least.worst_overrun),
            blocking: LimitAnswer::all(names, &least.blocking),
            forbidden_by: least.forbidden_by.key(),
            as_measured: as_measured.map(|before| AsMeasuredAnswer::new(names, before)),
        }),
        alternatives: survey
            .alternatives
            .iter()
            .map(|other| AlternativeAnswer {
                name: other.name.key(),
                allowance: AllowanceAnswer::new(
                    names,
                    &problem,
                    &other.evaluation,
                    Some(other.allowance_rad),
                ),
                rms_axis_deg: parallelism_rad(problem.copings, &other.evaluation.direction)
                    .map(Number::degrees),
                evaluation: one(&other.evaluation, Some(other.allowance_rad)),
            })
            .collect(),
        changes: survey
            .changes
            .iter()
            .map(|set| ChangeSetAnswer::new(names, &problem, set))
            .collect(),
        odd_coping: survey.odd_coping.map(|odd| OddCopingAnswer {
            coping: names.id(odd.coping).to_owned(),
            setting_allowance_deg: Number::degrees(odd.allowance_rad),
        }),
        sensitivity: sensitivity.map(|all| {
            let answers = all.iter().map(|one| SteeringAnswer::new(names, one));
            answers.collect()
        }),
        remarks: loaded.all_remarks(),
    }
}

impl ReasonAnswer {
    fn new(names: Names<'_>, reason: &Reason) -> Self {
        Self {
            rule: reason.rule.key(),
            wanted_deg: Number::degrees(reason.wanted_rad),
            best_settable_deg: reason.best_settable_rad.map(Number::degrees),
            step_deg: Number::degrees(reason.step_rad),
            flat_breaks: LimitAnswer::all(names, &reason.flat_breaks),
        }
    }
}
