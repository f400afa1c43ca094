//! Depth that comes from what stands on a coping.
//!
//! A crown that will be cut down to its root overhangs the seat beside it for as long as it is on
//! the scan. Where a zone's depth would be much less without what stands above a margin, that is
//! said, whether or not it will be there: only the user knows.

use crate::names::Names;
use std::sync::Arc;
use tiltbench_case::Case;
use tiltbench_geometry::leave_out::{Part, leave_out};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge, UndercutSample};
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
use tiltbench_sheet::format::numbers::length;
use tiltbench_solver::evaluation::Evaluation;

/// Millimetres, and share of the depth, by which a zone has to be shallower without a column.
///
/// Tuned: smaller, the rounding of a shoulder is told of; larger, a limit may be missed by what
/// goes unsaid. `depth_that_a_crown_causes_is_told_and_other_depth_is_not` notices.
const MUCH_MM: f64 = 0.1;
const MUCH_SHARE: f64 = 0.25;

/// Points nearer than this along the draw do not overhang one another, mm.
const APART_MM: f64 = 1e-6;

/// Says of which zones much of the depth comes from surface that stands above a coping's margin,
/// inside its grown ellipse. `mesh` is what `ridge` was cut out of, `evaluation` the tilt's.
///
/// Cost: one more reading of the ridge; where a column overhangs a deep place, also a ridge cut
/// without it.
pub fn column_remarks(
    case: &Case,
    mesh: &Mesh,
    ridge: &Ridge,
    evaluation: &Evaluation,
) -> Vec<String> {
    let deepest = evaluation.zones.iter().map(|zone| zone.undercut_depth_mm);
    if case.copings().is_empty() || deepest.fold(0.0, f64::max) <= MUCH_MM {
        return Vec::new();
    }
    let d = evaluation.direction;
    let margins: Vec<MarginFootprint> = case.copings().iter().map(Into::into).collect();
    let columns: Vec<Column> = margins.iter().map(|of| Column::new(of, mesh, &d)).collect();
    if columns.iter().all(|column| column.facets.is_empty()) {
        return Vec::new();
    }
    let samples = ridge.undercut_samples(&d);
    // Which copings overhang a deep place of which zone.
    let over: Vec<Vec<usize>> = samples
        .iter()
        .zip(&evaluation.zones)
        .map(|(samples, zone)| {
            let deep = zone.undercut_depth_mm * (1.0 - MUCH_SHARE);
            let deep = samples
                .iter()
                .filter(|s| s.depth_mm.is_some_and(|u| u >= deep));
            let places: Vec<Point3<f64>> = deep.map(|s: &UndercutSample| s.position).collect();
            let all = columns.iter().enumerate();
            let overhangs = all.filter(|(_, column)| places.iter().any(|p| column.overhangs(p)));
            overhangs.map(|(coping, _)| coping).collect()
        })
        .collect();
    let mut parts: Vec<usize> = over.iter().flatten().copied().collect();
    parts.sort_unstable();
    parts.dedup();
    if parts.is_empty() {
        return Vec::new();
    }
    let cut: Vec<Part> = parts
        .iter()
        .map(|&of| Part::on_margin(&margins[of]))
        .collect();
    let (without, _) = leave_out(mesh.clone(), &cut);
    let Ok(bare) = Ridge::new(Arc::new(without), case.seat_zones(), &margins) else {
        // Nothing of the cast is left beside the columns: then there is nothing to compare.
        return Vec::new();
    };
    let bare = bare.read(&d);
    let names = Names::new(case);
    let zones = evaluation.zones.iter().zip(&bare).zip(&over).enumerate();
    zones
        .filter_map(|(zone, ((with, bare), over))| {
            let (with, bare) = (with.undercut_depth_mm, bare.undercut_depth_mm);
            let much = with - bare > MUCH_MM && with - bare > MUCH_SHARE * with;
            let of: Vec<String> = over.iter().map(|&coping| names.coping(coping)).collect();
            (much && !of.is_empty()).then(|| {
                format!(
                    "{}: {} of its depth of {} come from what stands above the margin of {}; if that \
                     will not be there when the denture seats, leave it out (cast.leave_out, or \
                     keep_stump of a coping before waxing)",
                    names.zone(zone),
                    length(with - bare),
                    length(with),
                    of.join(", ")
                )
            })
        })
        .collect()
}

/// What stands above a margin, seen along a draw.
struct Column {
    axes: [Vector3<f64>; 3],
    /// Across, across and along the draw.
    facets: Vec<[Point3<f64>; 3]>,
}

impl Column {
    /// Facets with a corner in the column: some of them reach out of it.
    fn new(margin: &MarginFootprint, mesh: &Mesh, d: &UnitVector3<f64>) -> Self {
        let up = d.into_inner();
        let (x, y) = (Vector3::x(), Vector3::y());
        let side = if up.x.abs() < up.y.abs() { x } else { y };
        let u = UnitVector3::new_normalize(up.cross(&side)).into_inner();
        let axes = [u, up.cross(&u), up];
        let facets = mesh
            .facets()
            .filter(|corners| corners.iter().any(|p| margin.stands_above(p)))
            .map(|corners| corners.map(|p| seen(&axes, &p)))
            .collect();
        Self { axes, facets }
    }

    /// Whether the line from a point along the draw meets it.
    fn overhangs(&self, p: &Point3<f64>) -> bool {
        let p = seen(&self.axes, p);
        self.facets.iter().any(|[a, b, c]| {
            let turn = |q: &Point3<f64>, r: &Point3<f64>| {
                (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)
            };
            let (of_c, of_a, of_b) = (turn(a, b), turn(b, c), turn(c, a));
            let all = of_a + of_b + of_c;
            let beside = of_a * all < 0.0 || of_b * all < 0.0 || of_c * all < 0.0;
            all != 0.0 && !beside && (of_a * a.z + of_b * b.z + of_c * c.z) / all > p.z + APART_MM
        })
    }
}

fn seen(axes: &[Vector3<f64>; 3], p: &Point3<f64>) -> Point3<f64> {
    Point3::from(axes.map(|axis| axis.dot(&p.coords)))
}
