//! A case as the solver sees it.

use crate::ridge::CaseRidge;
use tiltbench_case::Case;
use tiltbench_solver::{Problem, RidgeReader};

/// The problem of a case, with its ridge if that was read.
pub fn problem_of<'a, R: RidgeReader>(case: &'a Case, ridge: Option<&'a R>) -> Problem<'a> {
    Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: ridge.map(|ridge| ridge as &dyn RidgeReader),
        cleared_mm: &[],
    }
}

/// The problem of a case's walls, whatever its ridge costs.
pub fn walls_alone(case: &Case) -> Problem<'_> {
    problem_of::<CaseRidge>(case, None)
}
