//! Binary STL.
//!
//! Layout: 80 bytes of header, a 32-bit facet count, then 50 bytes a facet: a normal and three
//! corners in single precision and two bytes of attributes, all least significant byte first.
//! Corners run counter-clockwise seen from outside; there is no unit.
//! Source: M. Burns, Automated Fabrication, 1993, ISBN 0-13-119462-3, section 6.5 (from memory).
//!
//! The header, the normals and the attributes are not used: the corners say it all, and the
//! normals of many files are zero or wrong. Normals that disagree are counted, though: they are
//! the first sign of an inside-out scan.

use super::error::{Place, ScanFault};
use super::scan::{Scan, ScanFormat};
use super::text::{COORDINATE_LIMIT, point};
use tiltbench_geometry::mesh::{Mesh, Welder, double_area_vector};
use tiltbench_geometry::{Point3, Vector3};

/// Bytes before the first facet.
pub(super) const HEADER_BYTES: usize = 84;
const FACET_BYTES: usize = 50;

/// The facet count in the header, if the file is long enough to have one.
fn declared(bytes: &[u8]) -> Option<u32> {
    let field = bytes.get(HEADER_BYTES - 4..HEADER_BYTES)?;
    Some(u32::from_le_bytes(field.try_into().ok()?))
}

/// Whether the file is exactly as long as its facet count demands.
pub(super) fn length_fits_count(bytes: &[u8]) -> bool {
    declared(bytes).is_some_and(|count| {
        bytes.len() as u64 == HEADER_BYTES as u64 + FACET_BYTES as u64 * u64::from(count)
    })
}

/// Reads a file that is binary and at least [`HEADER_BYTES`] long.
pub(super) fn parse(bytes: &[u8]) -> Result<Scan, ScanFault> {
    let mut remarks = Vec::new();
    let count = facets_to_read(bytes, &mut remarks)?;
    let records = &bytes[HEADER_BYTES..HEADER_BYTES + count * FACET_BYTES];
    let mut welder = Welder::new();
    let mut triangles = Vec::with_capacity(count);
    let mut against = NormalTally::default();
    for (number, record) in records.chunks_exact(FACET_BYTES).enumerate() {
        let [normal, corners @ ..] = vectors(record);
        let byte = HEADER_BYTES + number * FACET_BYTES;
        let place = Place::element("facet", number).at_byte(byte);
        let mut points = [Point3::origin(); 3];
        for (target, corner) in points.iter_mut().zip(corners) {
            *target = point(corner, place)?;
        }
        against.count(normal, &points);
        triangles.push(points.map(|p| welder.add(p)));
    }
    remarks.extend(against.remark());
    Ok(Scan {
        format: ScanFormat::StlBinary,
        gzip: false,
        mesh: Mesh {
            vertices: welder.into_vertices(),
            triangles,
        },
        file_vertices: 3 * count,
        file_facets: count,
        remarks,
    })
}

/// The four vectors of a facet: normal, then corners.
fn vectors(record: &[u8]) -> [[f64; 3]; 4] {
    let mut vectors = [[0.0; 3]; 4];
    let (floats, _attributes) = record.as_chunks::<4>();
    for (value, &bytes) in vectors.as_flattened_mut().iter_mut().zip(floats) {
        *value = f64::from(f32::from_le_bytes(bytes));
    }
    vectors
}

/// How many facets the file holds, where its count field and its length may disagree.
///
/// Fewer bytes than declared: data are missing, so the file is refused. More: what follows is read
/// only if it is plainly facets too. A count of 0 or of all ones is what a writer leaves behind
/// that never came back to fill it in, and is treated as no count.
fn facets_to_read(bytes: &[u8], remarks: &mut Vec<String>) -> Result<usize, ScanFault> {
    let count = declared(bytes).unwrap_or(0);
    let declared = count as usize;
    let body = &bytes[HEADER_BYTES..];
    let (whole, rest) = (body.len() / FACET_BYTES, body.len() % FACET_BYTES);
    if whole == declared && rest == 0 {
        return Ok(declared);
    }
    let all_facets = |from: usize| {
        rest == 0
            && body[from * FACET_BYTES..]
                .chunks_exact(FACET_BYTES)
                .all(|record| has_unit_normal(record) && has_likely_corners(record))
    };
    let disagrees = format!(
        "the facet count in the header is {count}, but the file holds {whole} whole facets"
    );
    let unfilled = count == 0 || count == u32::MAX;
    if whole > 0
        && (unfilled || whole > declared)
        && all_facets(if unfilled { 0 } else { declared })
    {
        remarks.push(format!("{disagrees}; all {whole} were read"));
        return Ok(whole);
    }
    // Before a verdict that takes the file for STL, the first facets must look like ones.
    let likely = body
        .chunks_exact(FACET_BYTES)
        .take(declared.min(4))
        .all(has_likely_corners);
    if !likely || unfilled {
        return Err(ScanFault::Unrecognised {
            reason: "it is binary, and does not hold what its length and facet count \
                     would make it as STL",
        });
    }
    if whole < declared {
        let needed = HEADER_BYTES as u64 + FACET_BYTES as u64 * u64::from(count);
        return Err(ScanFault::Truncated {
            place: Place::element("facet", whole).at_byte(bytes.len()),
            expected: format!(
                "the header declares {count} facets, which take {needed} bytes, and the file \
                 has {}",
                bytes.len()
            ),
        });
    }
    remarks.push(format!(
        "{} bytes after the {count} facets the header declares are no facets and were ignored",
        body.len() - declared * FACET_BYTES
    ));
    Ok(declared)
}

/// Whether a facet's corners are numbers of the size a coordinate has in some unit. Arbitrary bytes
/// pass with a probability of about 1e-5.
fn has_likely_corners(record: &[u8]) -> bool {
    const LEAST: f64 = 1e-12;
    let [_, corners @ ..] = vectors(record);
    corners.as_flattened().iter().all(|value| {
        let size = value.abs();
        size == 0.0 || (LEAST..=COORDINATE_LIMIT).contains(&size)
    })
}

/// Whether a facet's normal is zero or of unit length, which tells facets from text and padding.
fn has_unit_normal(record: &[u8]) -> bool {
    let length = Vector3::from(vectors(record)[0]).norm();
    length == 0.0 || (length - 1.0).abs() < 0.01
}

/// Counts facets whose stored normal and whose winding disagree. Shared by both kinds of STL.
#[derive(Debug, Default)]
pub(super) struct NormalTally {
    facets: usize,
    against: usize,
}

impl NormalTally {
    pub(super) fn count(&mut self, normal: [f64; 3], corners: &[Point3<f64>; 3]) {
        self.facets += 1;
        let along = Vector3::from(normal).dot(&double_area_vector(corners));
        self.against += usize::from(along < 0.0);
    }

    pub(super) fn remark(&self) -> Option<String> {
        (self.against > 0).then(|| {
            format!(
                "the stored normals of {} of {} facets point against their corners' winding; the \
                 winding was used",
                self.against, self.facets
            )
        })
    }
}
