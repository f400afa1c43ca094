//! Planned work, and what stands as it was measured.

use super::limit::{LimitAnswer, Where};
use super::number::Number;
use serde::Serialize;
use tiltbench_geometry::work::Work;
use tiltbench_session::names::Names;
use tiltbench_session::report::owed;
use tiltbench_solver::evaluation::Evaluation;
use tiltbench_solver::limit::LimitReading;

/// A piece of planned work, as the case file has it.
#[derive(Debug, Serialize)]
pub(super) struct PlannedAnswer {
    kind: &'static str,
    r#where: Where,
    /// Of a retaper, the new taper, degrees per wall.
    to: Option<Number>,
    wax_mm: Option<Number>,
    left_mm: Option<Number>,
    state: &'static str,
    /// Metal a retaper takes at the edge of a finished wall; null where it takes none, or is history.
    metal_mm: Option<Number>,
    /// Metal that is there, by calliper; null where nobody measured it.
    metal_there_mm: Option<Number>,
    /// What is owed, in words; null for history.
    owed: Option<String>,
}

impl PlannedAnswer {
    pub(super) fn all(names: Names<'_>) -> Vec<Self> {
        let live = owed(names);
        let planned = names.case().planned().iter().enumerate();
        planned
            .map(|(index, planned)| {
                let owed = live.iter().find(|owed| owed.index == index);
                let (kind, r#where) = place(names, planned.work);
                let mut answer = Self {
                    kind,
                    r#where,
                    to: None,
                    wax_mm: None,
                    left_mm: None,
                    state: planned.state.key(),
                    metal_mm: owed.and_then(|owed| owed.metal_mm).map(Number),
                    metal_there_mm: None,
                    owed: owed.map(|owed| owed.text.clone()),
                };
                match planned.work {
                    Work::Retaper { taper_rad, .. } => answer.to = Some(Number::degrees(taper_rad)),
                    Work::Blockout { blockout, .. } => {
                        answer.wax_mm = Some(Number(blockout.wax_mm));
                        answer.left_mm = Some(Number(blockout.left_mm));
                    }
                    _ => {}
                }
                answer
            })
            .collect()
    }
}

fn place(names: Names<'_>, work: Work) -> (&'static str, Where) {
    match work {
        Work::Retaper { coping, side, .. } => ("retaper", Where::wall(names, coping, side)),
        Work::Unguide { coping, side } => ("unguide", Where::wall(names, coping, side)),
        Work::Blockout { zone, .. } => ("blockout", Where::zone(names, zone)),
        Work::Reprepare { coping } => ("reprepare", Where::coping(names, coping)),
        Work::Omit { coping } => ("omit", Where::coping(names, coping)),
    }
}

/// A tilt before any planned work.
#[derive(Debug, Serialize)]
pub(super) struct AsMeasuredAnswer {
    acceptable: bool,
    /// The limits that are missed.
    missed: Vec<LimitAnswer>,
}

impl AsMeasuredAnswer {
    pub(super) fn new(names: Names<'_>, evaluation: &Evaluation) -> Self {
        let missed: Vec<LimitReading> = evaluation.broken().copied().collect();
        Self {
            acceptable: evaluation.acceptable,
            missed: LimitAnswer::all(names, &missed),
        }
    }
}
