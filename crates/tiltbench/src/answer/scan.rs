//! The answer of `scan`.

use crate::run::{Mending, Scanned};
use serde::Serialize;
use tiltbench_case::mesh_io::ScanReport;

#[derive(Debug, Serialize)]
pub(crate) struct ScanAnswer<'a> {
    file: String,
    #[serde(flatten)]
    report: &'a ScanReport,
    mended: Option<MendedAnswer>,
}

/// A mended copy: what was changed, and what is left.
#[derive(Debug, Serialize)]
struct MendedAnswer {
    file: String,
    changes: Vec<String>,
    triangles: usize,
    vertices: usize,
    degenerate_triangles: usize,
    duplicate_facets: usize,
    inconsistent_edges: usize,
    non_manifold_edges: usize,
    inside_out_components: usize,
    watertight: bool,
}

/// The answer about one scan.
pub(crate) fn scan(scanned: &Scanned) -> ScanAnswer<'_> {
    ScanAnswer {
        file: scanned.path.display().to_string(),
        report: &scanned.report,
        mended: scanned.mending.as_ref().map(MendedAnswer::new),
    }
}

impl MendedAnswer {
    fn new(mending: &Mending) -> Self {
        let after = &mending.after;
        Self {
            file: mending.path.display().to_string(),
            changes: mending.changes.iter().map(ToString::to_string).collect(),
            triangles: after.triangles,
            vertices: after.vertices,
            degenerate_triangles: after.degenerate.len(),
            duplicate_facets: after.duplicates.len(),
            inconsistent_edges: after.inconsistent_edges.len(),
            non_manifold_edges: after.non_manifold_edges.len(),
            inside_out_components: after.inside_out().count(),
            watertight: after.watertight,
        }
    }
}
