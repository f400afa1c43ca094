//! The answer of `scan`, for people.

use super::page::Page;
use crate::run::{Mending, Scanned};
use tiltbench_geometry::mesh::Change;
use tiltbench_sheet::format::numbers::amount;
use tiltbench_sheet::format::words::{counted, plain};

/// Changes of one kind that are spelt out; the rest is counted.
const SPELT_OUT: usize = 10;

/// One scan: what it is, how it is, what was mended.
pub(crate) fn scan(scanned: &Scanned) -> String {
    let report = &scanned.report;
    let mut page = Page::default();
    page.heading(&plain(&scanned.path.display().to_string()));
    let packed = if report.gzip {
        ", packed with gzip"
    } else {
        ""
    };
    page.fact("Format", &format!("{}{packed}", report.format));
    page.fact(
        "Surface",
        &format!(
            "{} triangles, {} vertices, {}",
            report.triangles,
            report.vertices,
            counted(report.components, "piece")
        ),
    );
    let [x, y, z] = report.extent_mm.map(side);
    page.fact(
        "Extent",
        &format!(
            "{x} x {y} x {z} mm, the scan taken to be in {}",
            report.scan_unit
        ),
    );
    let volume = report.volume_mm3.map_or_else(String::new, |volume| {
        format!(", volume {} mm³", amount(volume))
    });
    page.fact("Area", &format!("{} mm²{volume}", amount(report.area_mm2)));
    let closed = if report.watertight {
        "watertight"
    } else {
        "not watertight"
    };
    let mut health = vec![closed.to_owned()];
    health.extend(
        [
            (report.open_edges, "open edge"),
            (report.non_manifold_edges, "non-manifold edge"),
            (report.degenerate_triangles, "degenerate triangle"),
            (report.duplicate_facets, "duplicate triangle"),
            (report.inconsistent_edges, "inconsistently wound edge"),
        ]
        .map(|(count, what)| counted(count, what)),
    );
    page.fact("Health", &health.join(", "));
    if let Some(mending) = &scanned.mending {
        mended(&mut page, mending);
    }
    if !report.remarks.is_empty() {
        page.heading("Remarks");
        for remark in &report.remarks {
            page.item("-", &plain(remark));
        }
    }
    page.finish()
}

/// A side of a scan's box in mm: to a tenth when it is small, and in digits that show when it is tiny.
fn side(length_mm: f64) -> String {
    if length_mm > 0.0 && length_mm < 1.0 {
        // Three digits from the first that is not zero on; a thousandth of a micrometre is nothing.
        let decimals = if length_mm >= 0.1 {
            3
        } else if length_mm >= 0.01 {
            4
        } else {
            6
        };
        return format!("{length_mm:.decimals$}");
    }
    amount(length_mm)
}

fn mended(page: &mut Page, mending: &Mending) {
    page.heading(&format!(
        "Mended copy: {}",
        plain(&mending.path.display().to_string())
    ));
    if mending.changes.is_empty() {
        page.text("There was nothing to mend; the copy is the scan as it was read, welded.");
    }
    let kind = |change: &Change| match change {
        Change::DroppedDegenerate { .. } => "dropped for naming a vertex twice",
        Change::LaidAcross { .. } => "needles laid across",
        Change::DroppedDuplicate { .. } => "dropped as duplicates",
        Change::Turned { .. } => "turned over",
        Change::DroppedVertex { .. } => "vertices dropped",
    };
    let mut sorted: Vec<&Change> = mending.changes.iter().collect();
    sorted.sort();
    for group in sorted.chunk_by(|a, b| kind(a) == kind(b)) {
        page.text(&format!("{} {}:", group.len(), kind(group[0])));
        for change in group.iter().take(SPELT_OUT) {
            page.item("-", &change.to_string());
        }
        if group.len() > SPELT_OUT {
            page.item(
                "-",
                &format!(
                    "and {} more; --json lists them all",
                    group.len() - SPELT_OUT
                ),
            );
        }
    }
    let after = &mending.after;
    let left: Vec<String> = [
        (after.open_edges.len(), "open edge"),
        (after.non_manifold_edges.len(), "non-manifold edge"),
        (after.degenerate.len(), "degenerate triangle"),
        (after.inside_out().count(), "piece inside out"),
    ]
    .iter()
    .filter(|(count, _)| *count > 0)
    .map(|(count, what)| counted(*count, what))
    .collect();
    page.text(&if left.is_empty() {
        "Nothing is left to mend.".to_owned()
    } else {
        format!("Left as it is: {}.", left.join(", "))
    });
}
