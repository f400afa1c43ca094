//! Changes that would open a path.

use super::allowance::AllowanceAnswer;
use super::evaluation::EvaluationAnswer;
use super::limit::Where;
use super::number::Number;
use serde::Serialize;
use tiltbench_session::names::Names;
use tiltbench_solver::{Change, ChangeSet, Problem, apply};

/// A set of changes and what it buys.
#[derive(Debug, Serialize)]
pub(super) struct ChangeSetAnswer {
    set: Vec<ChangeAnswer>,
    result: ResultAnswer,
}

#[derive(Debug, Serialize)]
struct ResultAnswer {
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
}

/// What retapering a wall means for it.
#[derive(Debug, Serialize)]
struct TaperAnswer {
    from_taper_deg: Number,
    to_taper_deg: Number,
    /// Metal it takes at the edge of a finished wall; null for a prep wall.
    metal_mm: Option<Number>,
    remake: bool,
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
        let (r#where, amount, unit, taper) = match *change {
            Change::Retaper {
                coping,
                side,
                by_rad,
                metal_mm,
            } => {
                let from = problem.copings[coping]
                    .wall(side)
                    .map(|wall| wall.taper_rad);
                let taper = from.map(|from| TaperAnswer {
                    from_taper_deg: Number::degrees(from),
                    to_taper_deg: Number::degrees(from + by_rad),
                    metal_mm: metal_mm.map(Number),
                    remake: change.is_remake(),
                });
                let place = Where::wall(names, coping, side);
                (place, Number::degrees(by_rad), "deg", taper)
            }
            Change::Unguide {
                coping,
                side,
                short_by_rad,
            } => {
                let place = Where::wall(names, coping, side);
                (place, Number::degrees(short_by_rad), "deg", None)
            }
            Change::Clear { zone, depth_mm } => {
                (Where::zone(names, zone), Number(depth_mm), "mm", None)
            }
        };
        Self {
            kind: kind(change),
            r#where,
            amount,
            unit,
            taper,
        }
    }
}

/// Stable name of a kind of change.
fn kind(change: &Change) -> &'static str {
    match change {
        Change::Retaper { .. } => "retaper",
        Change::Unguide { .. } => "unguide",
        Change::Clear { .. } if change.is_relief() => "relieve",
        Change::Clear { .. } => "blockout",
    }
}
