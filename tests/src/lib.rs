//! What the cross-crate tests share; the tests themselves live under `tests/`.
#![forbid(unsafe_code)]

use std::path::{Path, PathBuf};
use std::sync::Arc;
use tiltbench_case::Case;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge, RidgeError};
use tiltbench_solver::{Problem, RidgeReader};

/// The folder of the reference data.
pub fn reference_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("reference")
}

/// Whether this run must not pass over anything: on a build server, which says so by `CI=true`.
pub fn must_run_everything() -> bool {
    std::env::var_os("CI").is_some_and(|value| value == "true")
}

/// The ridge of a case: its seat zones cut out of a mesh that is in the cast frame.
///
/// # Errors
/// As [`Ridge::new`].
pub fn ridge_of(case: &Case, cast: Mesh) -> Result<Ridge, RidgeError> {
    let margins: Vec<MarginFootprint> = case.copings().iter().map(Into::into).collect();
    Ridge::new(Arc::new(cast), case.seat_zones(), &margins)
}

/// A case as the solver sees it.
pub fn problem_of<'a>(case: &'a Case, ridge: Option<&'a Ridge>) -> Problem<'a> {
    Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: ridge.map(|ridge| ridge as &dyn RidgeReader),
        cleared_mm: &[],
    }
}
