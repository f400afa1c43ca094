//! A case as the solver sees it.

use crate::ridge::CaseRidge;
use tiltbench_case::Case;
use tiltbench_solver::{LaidOver, Problem, RidgeReader};

/// The problem of a case, with its ridge if that was read.
pub fn problem_of<'a, R: RidgeReader>(case: &'a Case, ridge: Option<&'a R>) -> Problem<'a> {
    Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: ridge.map(|ridge| ridge as &dyn RidgeReader),
    }
}

/// A variant of a case, with other limits or other work in effect, over the ridge that was cut for it.
#[derive(Debug)]
pub struct Variant<'a> {
    case: Case,
    ridge: Option<LaidOver<'a>>,
}

impl<'a> Variant<'a> {
    /// Of a case with the same zones in the same places.
    pub fn new<R: RidgeReader>(case: Case, ridge: Option<&'a R>) -> Self {
        let ridge = ridge.map(|ridge| LaidOver {
            ridge,
            zones: case.seat_zones().to_vec(),
        });
        Self { case, ridge }
    }

    /// A case with none of its planned work put into effect; `None` where it is judged as measured anyway.
    pub fn as_measured<R: RidgeReader>(case: &Case, ridge: Option<&'a R>) -> Option<Self> {
        case.is_as_planned()
            .then(|| Self::new(case.as_measured(), ridge))
    }

    /// The problem.
    pub fn problem(&self) -> Problem<'_> {
        problem_of(&self.case, self.ridge.as_ref())
    }
}

/// The problem of a case's walls, whatever its ridge costs.
pub fn walls_alone(case: &Case) -> Problem<'_> {
    problem_of::<CaseRidge>(case, None)
}
