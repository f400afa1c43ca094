//! The case all is measured on.

use std::path::{Path, PathBuf};
use tempfile::TempDir;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_case::mesh_io::write_ply;
use tiltbench_case::{Case, write_case};

/// As the figures ask for.
const TRIANGLES: usize = 300_000;

/// Cases in a folder that goes with them.
pub(crate) struct Cases {
    pub(crate) folder: TempDir,
    /// Two canines on a cast of 300,000 triangles.
    pub(crate) big: PathBuf,
}

impl Cases {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let made = sample(SampleKind::TwoCanines, TRIANGLES);
        let case = Case::new(&made.case, folder.path()).unwrap();
        let big = folder.path().join("case.json");
        write_case(&case, &big).unwrap();
        let scan = folder.path().join(case.cast().unwrap().scan());
        write_ply(&scan, &made.mesh.unwrap()).unwrap();
        Self { folder, big }
    }
}

/// The sample cases of the repository: where the program finds the one it opens by itself.
pub(crate) fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}
