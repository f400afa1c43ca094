//! The answer of `survey`.

use super::case::CaseAnswer;
use super::changes::ChangeSetAnswer;
use super::common_draw::CommonDrawAnswer;
use super::evaluation::EvaluationAnswer;
use super::limit::LimitAnswer;
use super::number::Number;
use crate::run::Loaded;
use serde::Serialize;
use tiltbench_session::names::Names;
use tiltbench_solver::Survey;
use tiltbench_solver::evaluation::Evaluation;

#[derive(Debug, Serialize)]
pub(crate) struct SurveyAnswer {
    case: CaseAnswer,
    common_draw: Option<CommonDrawAnswer>,
    acceptable: bool,
    recommended: Option<RecommendedAnswer>,
    least_bad: Option<LeastBadAnswer>,
    alternatives: Vec<AlternativeAnswer>,
    changes: Vec<ChangeSetAnswer>,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
struct RecommendedAnswer {
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
    setting_allowance_deg: Number,
    setting_allowance_upper_deg: Number,
    governing: Vec<LimitAnswer>,
}

#[derive(Debug, Serialize)]
struct LeastBadAnswer {
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
    worst_overrun: Number,
    blocking: Vec<LimitAnswer>,
}

#[derive(Debug, Serialize)]
struct AlternativeAnswer {
    name: &'static str,
    setting_allowance_deg: Number,
    setting_allowance_upper_deg: Number,
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
}

/// The whole answer for one case.
pub(crate) fn survey(loaded: &Loaded, survey: &Survey) -> SurveyAnswer {
    let names = Names::new(&loaded.case);
    let problem = loaded.problem();
    let one = |evaluation: &Evaluation, allowance_rad: Option<f64>| {
        EvaluationAnswer::new(names, &problem, evaluation, allowance_rad, &[])
    };
    SurveyAnswer {
        case: CaseAnswer::new(loaded),
        common_draw: survey
            .common_draw
            .as_ref()
            .map(|draw| CommonDrawAnswer::new(names, draw)),
        acceptable: survey.recommended.is_some(),
        recommended: survey.recommended.as_ref().map(|best| RecommendedAnswer {
            evaluation: one(&best.evaluation, Some(best.allowance_rad)),
            setting_allowance_deg: Number::degrees(best.allowance_rad),
            setting_allowance_upper_deg: Number::degrees(best.allowance_upper_rad),
            governing: LimitAnswer::all(names, &best.governing),
        }),
        least_bad: survey.least_bad.as_ref().map(|least| LeastBadAnswer {
            evaluation: one(&least.evaluation, None),
            worst_overrun: Number(least.worst_overrun),
            blocking: LimitAnswer::all(names, &least.blocking),
        }),
        alternatives: survey
            .alternatives
            .iter()
            .map(|other| AlternativeAnswer {
                name: other.name.key(),
                setting_allowance_deg: Number::degrees(other.allowance_rad),
                setting_allowance_upper_deg: Number::degrees(other.allowance_upper_rad),
                evaluation: one(&other.evaluation, Some(other.allowance_rad)),
            })
            .collect(),
        changes: survey
            .changes
            .iter()
            .map(|set| ChangeSetAnswer::new(names, &problem, set))
            .collect(),
        remarks: loaded.remarks.clone(),
    }
}
