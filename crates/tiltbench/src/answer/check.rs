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
    setting_allowance_deg: Number,
}

/// The answer about one tilt of the user's.
pub(crate) fn check(loaded: &Loaded, evaluation: &Evaluation, allowance_rad: f64) -> CheckAnswer {
    let names = Names::new(&loaded.case);
    CheckAnswer {
        case: CaseAnswer::new(loaded),
        evaluation: EvaluationAnswer::new(
            names,
            &loaded.problem(),
            evaluation,
            Some(allowance_rad),
            &loaded.remarks,
        ),
        setting_allowance_deg: Number::degrees(allowance_rad),
    }
}
