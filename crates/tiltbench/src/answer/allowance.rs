//! How wrong the hand may be.

use super::number::Number;
use serde::Serialize;
use tiltbench_session::names::Names;
use tiltbench_session::report::measuring_errors;
use tiltbench_solver::evaluation::{Evaluation, preference_allowance_rad};
use tiltbench_solver::{Problem, net_allowance_rad};

/// Angles within which every draw keeps limits, about one tilt.
#[derive(Debug, Serialize)]
#[expect(
    clippy::struct_field_names,
    reason = "keys of an answer, which carry their unit"
)]
pub(super) struct AllowanceAnswer {
    /// Of rigid limits and those of the seat; null where one is broken, or where it was not asked for.
    setting_allowance_deg: Option<Number>,
    /// What it is at most. Null where a ridge has a part in it: that is read around the tilt, without a proof.
    setting_allowance_upper_deg: Option<Number>,
    /// Of preferences; null where one is broken.
    preference_allowance_deg: Option<Number>,
    /// Less what measuring errors take; null as long as the case states none, and where the allowance is null.
    setting_allowance_net_deg: Option<Number>,
}

impl AllowanceAnswer {
    pub(super) fn new(
        names: Names<'_>,
        problem: &Problem<'_>,
        evaluation: &Evaluation,
        allowance_rad: Option<f64>,
    ) -> Self {
        let setting = allowance_rad
            .filter(|_| evaluation.holds())
            .map(Number::degrees);
        let is_exact = !evaluation
            .limits
            .iter()
            .any(|reading| reading.limit.kind.is_of_ridge());
        let preference = preference_allowance_rad(problem, &evaluation.direction);
        let errors = measuring_errors(names.case());
        let net =
            allowance_rad.and_then(|rad| net_allowance_rad(problem, &errors, evaluation, rad));
        Self {
            setting_allowance_deg: setting,
            setting_allowance_upper_deg: setting.filter(|_| is_exact),
            preference_allowance_deg: preference.map(Number::degrees),
            setting_allowance_net_deg: net.map(Number::degrees),
        }
    }
}
