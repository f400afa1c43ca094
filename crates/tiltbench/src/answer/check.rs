//! The answer of `check`.

use super::allowance::AllowanceAnswer;
use super::case::CaseAnswer;
use super::evaluation::EvaluationAnswer;
use super::planned::AsMeasuredAnswer;
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
    /// The same tilt before any planned work; null where nothing is planned.
    as_measured: Option<AsMeasuredAnswer>,
}

/// The answer about one tilt of the user's.
pub(crate) fn check(
    loaded: &Loaded,
    evaluation: &Evaluation,
    allowance_rad: Option<f64>,
    as_measured: Option<&Evaluation>,
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
        as_measured: as_measured.map(|before| AsMeasuredAnswer::new(names, before)),
    }
}
