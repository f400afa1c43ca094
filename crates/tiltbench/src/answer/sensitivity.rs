//! Which limits steer the recommended tilt.

use super::limit::LimitAnswer;
use super::number::Number;
use super::tilt::TiltAnswer;
use serde::Serialize;
use tiltbench_case::defaults::Basis;
use tiltbench_session::names::Names;
use tiltbench_session::sensitivity::{Retried, Steering};

/// A limit, and the recommended tilt with it tighter and looser; null where the case file would not take it.
#[derive(Debug, Serialize)]
pub(super) struct SteeringAnswer {
    limit: LimitAnswer,
    /// Where it is changed: a path in the case file.
    set_at: String,
    /// What it rests on where the case leaves it to its default; null where the case states it.
    default_basis: Option<&'static str>,
    tighter: Option<RetriedAnswer>,
    looser: Option<RetriedAnswer>,
}

#[derive(Debug, Serialize)]
struct RetriedAnswer {
    /// In the unit of the limit.
    bound: Number,
    acceptable: bool,
    /// Null where no tilt is acceptable; so is the allowance.
    tilt: Option<TiltAnswer>,
    setting_allowance_deg: Option<Number>,
}

impl SteeringAnswer {
    pub(super) fn new(names: Names<'_>, steering: &Steering) -> Self {
        let retried = |retried: &Retried| RetriedAnswer {
            bound: Number(retried.bound),
            acceptable: retried.recommended.is_some(),
            tilt: retried
                .recommended
                .map(|found| TiltAnswer::new(&found.tilt, names.arch())),
            setting_allowance_deg: retried
                .recommended
                .map(|found| Number::degrees(found.allowance_rad)),
        };
        Self {
            limit: LimitAnswer::new(names, &steering.limit),
            set_at: steering.set_at.path(),
            default_basis: steering.default_basis.map(Basis::word),
            tighter: steering.tighter.as_ref().map(retried),
            looser: steering.looser.as_ref().map(retried),
        }
    }
}
