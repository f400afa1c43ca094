//! The sample cases, thinned to 5,000 triangles, surveyed whole: the setting allowance against a
//! search that knows nothing of the solver's, mirrored cases, numbers of threads, and changes put
//! into effect in the case file.
//!
//! * `brute`: the search. `allowance`: what it is compared with.
//! * `mirror`: a case seen in a mirror. `threads`: the same bits. `changed`: changes put into effect.
//! * `variants`: the tilt under other limits.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

mod allowance;
mod brute;
mod changed;
mod cost;
mod mirror;
mod threads;
mod variants;

use std::path::Path;
use tiltbench_case::Case;
use tiltbench_case::demo::{DemoCase, SampleKind, sample};
use tiltbench_case::schema::v1::CaseFile;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::Ridge;
use tiltbench_solver::control::Quiet;
use tiltbench_solver::{Survey, SurveyOptions, survey};
use tiltbench_tests::{problem_of, ridge_of};

/// A sample case with its cast in 5,000 triangles.
fn thinned(kind: SampleKind) -> (CaseFile, Mesh) {
    let DemoCase { case, mesh, .. } = sample(kind, 5_000);
    (case, mesh.expect("the sample has a cast"))
}

fn case_of(file: &CaseFile) -> Case {
    Case::new(file, Path::new("")).unwrap_or_else(|error| panic!("{error}"))
}

fn read(file: &CaseFile, cast: Mesh) -> (Case, Ridge) {
    let case = case_of(file);
    let ridge = ridge_of(&case, cast).unwrap_or_else(|error| panic!("{error}"));
    (case, ridge)
}

fn answer_to(case: &Case, ridge: Option<&Ridge>) -> Survey {
    survey(problem_of(case, ridge), &SurveyOptions::default(), &Quiet).expect("never cancelled")
}
