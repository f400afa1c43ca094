//! The answer of `check`.

use super::case::CaseAnswer;
use super::evaluation::EvaluationAnswer;
use super::number::Number;
use crate::run::Loaded;
use serde::Serialize;
use tiltbench_session::names::Names;
use tiltbench_solver::Checked;

#[derive(Debug, Serialize)]
pub(crate) struct CheckAnswer {
    case: CaseAnswer,
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
    setting_allowance_deg: Number,
    setting_allowance_upper_deg: Number,
}

/// The answer about one tilt of the user's.
pub(crate) fn check(loaded: &Loaded, checked: &Checked) -> CheckAnswer {
    let names = Names::new(&loaded.case);
    CheckAnswer {
        case: CaseAnswer::new(loaded),
        evaluation: EvaluationAnswer::new(
            names,
            &loaded.problem(),
            &checked.evaluation,
            Some(checked.allowance_rad),
            &loaded.remarks,
        ),
        setting_allowance_deg: Number::degrees(checked.allowance_rad),
        setting_allowance_upper_deg: Number::degrees(checked.allowance_upper_rad),
    }
}
