//! Changes that would open a path.

use super::allowance::AllowanceAnswer;
use super::evaluation::EvaluationAnswer;
use super::limit::Where;
use super::number::Number;
use serde::Serialize;
use tiltbench_session::names::Names;
use tiltbench_solver::{Change, ChangeSet, Problem, apply, metal_taken_mm};

/// A set of changes and what it buys.
#[derive(Debug, Serialize)]
pub(super) struct ChangeSetAnswer {
    set: Vec<ChangeAnswer>,
    result: ResultAnswer,
}

#[derive(Debug, Serialize)]
struct ResultAnswer {
    /// Setting allowance of the most forgiving tilt of the changed case.
    widest_allowance_deg: Number,
    #[serde(flatten)]
    evaluation: EvaluationAnswer,
    #[serde(flatten)]
    allowance: AllowanceAnswer,
}

#[derive(Debug, Serialize)]
struct ChangeAnswer {
    kind: &'static str,
    r#where: Where,
    amount: Number,
    unit: &'static str,
    #[serde(flatten)]
    taper: Option<TaperAnswer>,
    /// Of a blockout, the depth that is left; `amount` is the greatest thickness of the wax.
    #[serde(skip_serializing_if = "Option::is_none")]
    left_mm: Option<Number>,
}

/// What retapering a wall means for it.
#[derive(Debug, Serialize)]
struct TaperAnswer {
    from_taper_deg: Number,
    to_taper_deg: Number,
    /// Metal it takes at the edge of a finished wall; null for a prep wall.
    metal_mm: Option<Number>,
    /// Metal that is there, by calliper; null where nobody measured it.
    metal_there_mm: Option<Number>,
}

impl ChangeSetAnswer {
    pub(super) fn new(names: Names<'_>, problem: &Problem<'_>, set: &ChangeSet) -> Self {
        let changed = apply(problem, &set.changes);
        Self {
            set: set
                .changes
                .iter()
                .map(|change| ChangeAnswer::new(names, problem, change))
                .collect(),
            result: ResultAnswer {
                widest_allowance_deg: Number::degrees(set.widest_rad),
                evaluation: EvaluationAnswer::new(
                    names,
                    &changed.problem(),
                    &set.result,
                    Some(set.allowance_rad),
                    &[],
                ),
                allowance: AllowanceAnswer::new(
                    names,
                    &changed.problem(),
                    &set.result,
                    Some(set.allowance_rad),
                ),
            },
        }
    }
}

impl ChangeAnswer {
    fn new(names: Names<'_>, problem: &Problem<'_>, change: &Change) -> Self {
        let (r#where, amount, unit) = match *change {
            Change::Retaper {
                coping,
                side,
                by_rad: angle_rad,
            }
            | Change::Unguide {
                coping,
                side,
                short_by_rad: angle_rad,
            } => {
                let place = Where::wall(names, coping, side);
                (place, Number::degrees(angle_rad), "deg")
            }
            Change::Blockout { zone, blockout } => {
                (Where::zone(names, zone), Number(blockout.wax_mm), "mm")
            }
            Change::Reprepare { coping } | Change::Omit { coping } => {
                (Where::coping(names, coping), Number(1.0), "coping")
            }
        };
        Self {
            kind: kind(change),
            r#where,
            amount,
            unit,
            taper: TaperAnswer::of(problem, change),
            left_mm: match change {
                Change::Blockout { blockout, .. } => Some(Number(blockout.left_mm)),
                _ => None,
            },
        }
    }
}

impl TaperAnswer {
    fn of(problem: &Problem<'_>, change: &Change) -> Option<Self> {
        let Change::Retaper {
            coping,
            side,
            by_rad,
        } = *change
        else {
            return None;
        };
        let coping = &problem.copings[coping];
        let from_rad = coping.wall(side)?.taper_rad;
        let to_rad = from_rad + by_rad;
        Some(Self {
            from_taper_deg: Number::degrees(from_rad),
            to_taper_deg: Number::degrees(to_rad),
            metal_mm: metal_taken_mm(coping, side, to_rad).map(Number),
            metal_there_mm: None,
        })
    }
}

/// Stable name of a kind of change.
fn kind(change: &Change) -> &'static str {
    match change {
        Change::Retaper { .. } => "retaper",
        Change::Unguide { .. } => "unguide",
        Change::Blockout { .. } => "blockout",
        Change::Reprepare { .. } => "reprepare",
        Change::Omit { .. } => "omit",
    }
}
