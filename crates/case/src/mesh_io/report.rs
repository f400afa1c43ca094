//! What can be told of a scan: the answer to "is this scan fit for use".

use super::scan::Scan;
use super::size::{judge_size, millimetres};
use super::unit::Unit;
use serde::Serialize;
use tiltbench_geometry::mesh::{Facing, MeshFault, MeshHealth, Piece, Winding, check};

/// A scan's format, counts, sizes in mm, defects and remarks. Serialised, the keys are those that
/// scripts rely on: one may be added, none is renamed or dropped.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScanReport {
    /// Stable name of the format.
    pub format: &'static str,
    /// Whether the file was packed with gzip.
    pub gzip: bool,
    /// Name of the unit the scan was taken to be in.
    pub scan_unit: &'static str,
    /// Name of the unit it is probably in, by its size; none if no unit makes it a cast.
    pub likely_unit: Option<&'static str>,
    /// Facets in the file, before polygons were cut.
    pub file_facets: usize,
    /// Vertices in the file, before welding.
    pub file_vertices: usize,
    /// Facets of the mesh.
    pub triangles: usize,
    /// Vertices of the welded mesh.
    pub vertices: usize,
    /// Pieces connected across edges.
    pub components: usize,
    /// Sides of the mesh's box along x, y, z of the scan.
    pub extent_mm: [f64; 3],
    /// Edges with one facet.
    pub open_edges: usize,
    /// Chains of open edges.
    pub borders: usize,
    /// Length of the longest of them; 0 if there is none.
    pub longest_border_mm: f64,
    /// Edges with three facets or more.
    pub non_manifold_edges: usize,
    /// Facets that name a vertex twice or are flat needles.
    pub degenerate_triangles: usize,
    /// Facets over the vertices of an earlier one.
    pub duplicate_facets: usize,
    /// Edges that two facets run along the same way.
    pub inconsistent_edges: usize,
    /// Vertices that no facet uses.
    pub unreferenced_vertices: usize,
    /// Pieces that are closed and face inward, or are open and probably do.
    pub inside_out_components: usize,
    /// Whether every piece is wound one way throughout.
    pub consistently_wound: bool,
    /// Whether each edge joins exactly two facets.
    pub watertight: bool,
    /// Sum of the facets' areas.
    pub area_mm2: f64,
    /// Volume enclosed, negative when inside out; none unless watertight and wound one way.
    pub volume_mm3: Option<f64>,
    /// What a person should know, as sentences.
    pub remarks: Vec<String>,
}

impl ScanReport {
    /// Checks a scan, taken to be in `unit`.
    ///
    /// # Errors
    /// [`MeshFault`] when the mesh is not one; a scan that was read always is.
    pub fn new(scan: &Scan, unit: Unit) -> Result<Self, MeshFault> {
        Ok(Self::with_health(scan, unit, &check(&scan.mesh)?))
    }

    /// The same, from a check already made of the scan's mesh.
    pub fn with_health(scan: &Scan, unit: Unit, health: &MeshHealth) -> Self {
        let mm = unit.mm();
        let size = health
            .extent
            .map(|extent| extent.size())
            .unwrap_or_default();
        let verdict = judge_size(size.max(), unit);
        let longest_border_mm = health
            .borders
            .iter()
            .map(|border| border.length(&scan.mesh) * mm)
            .fold(0.0, f64::max);
        let mut remarks = scan.remarks.clone();
        remarks.extend(verdict.remark);
        defect_remarks(health, longest_border_mm, &mut remarks);
        Self {
            format: scan.format.name(),
            gzip: scan.gzip,
            scan_unit: unit.name(),
            likely_unit: verdict.likely.map(Unit::name),
            file_facets: scan.file_facets,
            file_vertices: scan.file_vertices,
            triangles: health.triangles,
            vertices: health.vertices,
            components: health.pieces.len(),
            extent_mm: (size * mm).into(),
            open_edges: health.open_edges.len(),
            borders: health.borders.len(),
            longest_border_mm,
            non_manifold_edges: health.non_manifold_edges.len(),
            degenerate_triangles: health.degenerate.len(),
            duplicate_facets: health.duplicates.len(),
            inconsistent_edges: health.inconsistent_edges.len(),
            unreferenced_vertices: health.unreferenced_vertices.len(),
            inside_out_components: health.inside_out().count(),
            consistently_wound: health.consistently_wound(),
            watertight: health.watertight,
            area_mm2: health.area * mm * mm,
            volume_mm3: health.signed_volume.map(|volume| volume * mm * mm * mm),
            remarks,
        }
    }
}

/// Pieces from which on a scan is said to be many loose ones.
/// Tuned: smaller, a cast with its removable dies is told off; larger, the crumbs around a scan that
/// was not cleaned pass. `many_loose_pieces_are_told_from_a_few` notices.
const MANY_PIECES: usize = 20;

/// One remark for each kind of defect: how many, the first place, what to do.
fn defect_remarks(health: &MeshHealth, longest_border_mm: f64, remarks: &mut Vec<String>) {
    let pieces = health.pieces.len();
    if pieces > 1 {
        let largest = health.pieces.iter().map(|piece| piece.triangles).max();
        let largest = largest.unwrap_or(0);
        let advice = if pieces > MANY_PIECES || 2 * largest < health.triangles {
            ": many loose pieces, between which is air for the readings; export the scan as one joined \
             surface, and leave strays out"
        } else {
            ""
        };
        remarks.push(format!(
            "the scan is in {pieces} pieces; the largest has {largest} of {} facets{advice}",
            health.triangles
        ));
    }
    if !health.borders.is_empty() {
        remarks.push(format!(
            "{} in {}, the longest {}: the scan does not enclose a volume",
            counted(health.open_edges.len(), "open edge"),
            counted(health.borders.len(), "border"),
            millimetres(longest_border_mm)
        ));
    }
    if let Some(first) = health.non_manifold_edges.first() {
        remarks.push(format!(
            "{} with three facets or more, the first between vertices {} and {}; not mended: split \
             the surface there",
            counted(health.non_manifold_edges.len(), "edge"),
            first.ends[0],
            first.ends[1]
        ));
    }
    if let Some(first) = health.degenerate.first() {
        remarks.push(format!(
            "{} without usable area, the first is facet {}; mending removes those it can",
            counted(health.degenerate.len(), "facet"),
            first.facet
        ));
    }
    if let Some(first) = health.duplicates.first() {
        remarks.push(format!(
            "{} that repeat an earlier one, the first is facet {} (as facet {}); mending drops them",
            counted(health.duplicates.len(), "facet"),
            first.facet,
            first.of
        ));
    }
    if let Some(first) = health.unreferenced_vertices.first() {
        remarks.push(format!(
            "vertices of no facet: {}, the first is vertex {first}; mending drops them",
            health.unreferenced_vertices.len()
        ));
    }
    winding_remarks(&health.pieces, remarks);
}

/// A number and its noun.
fn counted(count: usize, noun: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{ending}")
}

fn winding_remarks(pieces: &[Piece], remarks: &mut Vec<String>) {
    let mut say = |what: &dyn Fn(&Piece) -> bool, finding: &str| {
        let mut found = pieces.iter().filter(|piece| what(piece)).peekable();
        if let Some(first) = found.peek().map(|piece| piece.first_facet) {
            let (count, facets) = found.fold((0, 0), |(count, facets), piece| {
                (count + 1, facets + piece.triangles)
            });
            remarks.push(format!(
                "{finding}: {count} of {} (together {}, the first from facet {first})",
                counted(pieces.len(), "piece"),
                counted(facets, "facet")
            ));
        }
    };
    say(
        &|piece| matches!(piece.winding, Winding::Inconsistent { .. }),
        "pieces with facets that show their back, which mending turns",
    );
    say(
        &|piece| piece.winding == Winding::OneSided,
        "one-sided pieces, which have no right winding and have to be cut open",
    );
    say(
        &|piece| piece.facing == Facing::InsideOut,
        "closed pieces that are inside out, which mending turns",
    );
    say(
        &|piece| piece.facing == Facing::LikelyInsideOut,
        "open pieces that are inside out or of an impression, which mending turns only when told to",
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh_io::{ReadLimits, parse_scan};

    /// The unit tetrahedron as text, with the facets given.
    fn scan(facets: &str) -> Scan {
        let text = format!("v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\n{facets}");
        parse_scan(text.as_bytes(), ReadLimits::default()).unwrap()
    }

    #[test]
    fn sizes_are_converted_and_the_unit_is_named() {
        // 0.05 m a side.
        let text =
            "v 0 0 0\nv 0.05 0 0\nv 0 0.05 0\nv 0 0 0.05\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n";
        let scan = parse_scan(text.as_bytes(), ReadLimits::default()).unwrap();
        let report = ScanReport::new(&scan, Unit::Metre).unwrap();
        assert!(
            report
                .extent_mm
                .iter()
                .all(|side| (side - 50.0).abs() < 1e-12)
        );
        assert!((report.volume_mm3.unwrap() - 125_000.0 / 6.0).abs() < 1e-6);
        let area = 2500.0 * (1.5 + 3.0_f64.sqrt() / 2.0);
        assert!((report.area_mm2 - area).abs() < 1e-6);
        assert_eq!(report.remarks, [""; 0]);
        let report = ScanReport::new(&scan, Unit::Millimetre).unwrap();
        assert_eq!(report.likely_unit, Some("m"));
        assert!(
            report.remarks[0].contains("set scan_unit to \"m\""),
            "{:?}",
            report.remarks
        );
    }

    #[test]
    fn each_defect_has_a_count_and_a_remark() {
        let spoiled = "v 5 5 5\nf 1 2 3\nf 1 2 4\nf 1 2 2\nf 4 2 1\nf 2 1 4\n";
        let report = ScanReport::new(&scan(spoiled), Unit::Millimetre).unwrap();
        assert_eq!(report.degenerate_triangles, 1);
        assert_eq!(report.duplicate_facets, 2);
        assert_eq!(report.unreferenced_vertices, 1);
        assert_eq!(report.non_manifold_edges, 3);
        assert_eq!(report.open_edges, 2);
        assert!(!report.watertight);
        assert_eq!(report.volume_mm3, None);
        let all = report.remarks.join("\n");
        for part in [
            "in inches it would be",
            "without usable area",
            "that repeat",
            "of no facet",
            "three facets",
            "open edges",
        ] {
            assert!(all.contains(part), "{part} not in\n{all}");
        }
    }

    #[test]
    fn many_loose_pieces_are_told_from_a_few() {
        // Triangles side by side that share nothing; then all but a few as one strip.
        let remark = |loose: u32, strip: u32| {
            let mut text = String::new();
            for k in 0..loose {
                let x = 10 * k;
                text += &format!("v {x} 0 0\nv {} 0 0\nv {x} 1 0\n", x + 1);
            }
            for k in 0..strip + 2 {
                text += &format!("v {k} {} 9\n", k % 2);
            }
            for k in 0..loose {
                text += &format!("f {} {} {}\n", 3 * k + 1, 3 * k + 2, 3 * k + 3);
            }
            for k in 1..=strip {
                let v = 3 * loose + k;
                text += &format!("f {v} {} {}\n", v + 1 + k % 2, v + 2 - k % 2);
            }
            let scan = parse_scan(text.as_bytes(), ReadLimits::default()).unwrap();
            ScanReport::new(&scan, Unit::Millimetre)
                .unwrap()
                .remarks
                .join("; ")
        };
        assert!(!remark(3, 40).contains("loose"), "{}", remark(3, 40));
        assert!(
            remark(3, 1).contains("many loose pieces"),
            "{}",
            remark(3, 1)
        );
        assert!(
            remark(25, 90).contains("many loose pieces"),
            "{}",
            remark(25, 90)
        );
    }

    #[test]
    fn winding_is_remarked_upon() {
        let inside_out = scan("f 1 2 3\nf 1 4 2\nf 1 3 4\nf 2 4 3\n");
        let report = ScanReport::new(&inside_out, Unit::Centimetre).unwrap();
        assert_eq!(report.inside_out_components, 1);
        assert!((report.volume_mm3.unwrap() + 1000.0 / 6.0).abs() < 1e-9);
        assert!(
            report
                .remarks
                .iter()
                .any(|r| r.starts_with("closed pieces that are inside out"))
        );
        let one_turned = scan("f 1 2 3\nf 1 2 4\nf 1 4 3\nf 2 3 4\n");
        let report = ScanReport::new(&one_turned, Unit::Centimetre).unwrap();
        assert_eq!(report.inconsistent_edges, 3);
        assert!(report.watertight && !report.consistently_wound);
        assert_eq!(report.volume_mm3, None);
        assert!(report.remarks.iter().any(|r| r.contains("show their back")));
    }

    #[test]
    fn the_contracted_keys_are_there() {
        let report = ScanReport::new(&scan("f 1 2 3\n"), Unit::Millimetre).unwrap();
        let json = serde_json::to_value(&report).unwrap();
        for key in [
            "format",
            "triangles",
            "vertices",
            "components",
            "extent_mm",
            "open_edges",
            "non_manifold_edges",
            "degenerate_triangles",
            "watertight",
            "area_mm2",
            "volume_mm3",
            "remarks",
            "duplicate_facets",
            "likely_unit",
        ] {
            assert!(json.get(key).is_some(), "{key}");
        }
    }
}
