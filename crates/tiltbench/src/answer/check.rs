//! The answer of `check`.

use super::allowance::AllowanceAnswer;
use super::case::CaseAnswer;
use super::evaluation::EvaluationAnswer;
use crate::run::Loaded;
use serde::Serialize;
use tiltbench_session::names::Names;
use tiltbench_solver::evaluation::Evaluation;

#[derive(Debug, Serialize)]
pub(crate) struct CheckAnswer {
    contract: u32,
    case: CaseAnswer,
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
    #[serde(flatten)]
    allowance: AllowanceAnswer,
}

/// The answer about one tilt of the user's.
pub(crate) fn check(
    loaded: &Loaded,
    evaluation: &Evaluation,
    allowance_rad: Option<f64>,
) -> CheckAnswer {
    let names = Names::new(&loaded.case);
    CheckAnswer {
        contract: super::CONTRACT,
        case: CaseAnswer::new(loaded),
        evaluation: EvaluationAnswer::new(
            names,
            &loaded.problem(),
            evaluation,
            allowance_rad,
            &loaded.all_remarks(),
        ),
        allowance: AllowanceAnswer::new(names, &loaded.problem(), evaluation, allowance_rad),
    }
}
