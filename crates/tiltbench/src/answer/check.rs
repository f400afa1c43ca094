//! The answer of `check`.

use super::case::CaseAnswer;
use super::evaluation::EvaluationAnswer;
use super::number::Number;
use crate::run::Loaded;
use serde::Serialize;
use tiltbench_session::names::Names;
use tiltbench_solver::evaluation::Evaluation;

#[derive(Debug, Serialize)]
pub(crate) struct CheckAnswer {
    case: CaseAnswer,
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
    /// Null where it was not asked for.
    setting_allowance_deg: Option<Number>,
    /// Null where it was not asked for.
    setting_allowance_upper_deg: Option<Number>,
}

/// The answer about one tilt of the user's, with its allowance as proved and at most, if it was asked for.
pub(crate) fn check(
    loaded: &Loaded,
    evaluation: &Evaluation,
    allowance_rad: Option<[f64; 2]>,
) -> CheckAnswer {
    let names = Names::new(&loaded.case);
    CheckAnswer {
        case: CaseAnswer::new(loaded),
        evaluation: EvaluationAnswer::new(
            names,
            &loaded.problem(),
            evaluation,
            allowance_rad.map(|[proved, _]| proved),
            &loaded.remarks,
        ),
        setting_allowance_deg: allowance_rad.map(|[proved, _]| Number::degrees(proved)),
        setting_allowance_upper_deg: allowance_rad.map(|[_, most]| Number::degrees(most)),
    }
}
