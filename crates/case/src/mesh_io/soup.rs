//! Positions and polygons as a file lists them, made into a mesh.

use super::error::{Place, ScanFault};
use super::scan::{Scan, ScanFormat};
use tiltbench_geometry::Point3;
use tiltbench_geometry::mesh::{Mesh, PolygonError, Welder, triangulate};

/// What PLY and OBJ files hold: numbered positions, and polygons over them.
#[derive(Debug, Default)]
pub(super) struct Soup {
    pub(super) positions: Vec<Point3<f64>>,
    /// Corners of all polygons, one after another, numbered from 0.
    corners: Vec<u32>,
    polygons: Vec<Polygon>,
}

#[derive(Debug, Clone, Copy)]
struct Polygon {
    /// Past its last corner in `corners`.
    end: usize,
    /// Line it stands in, or 0 in a binary file.
    line: u32,
}

/// How a format numbers its vertices in messages.
const FACE: &str = "face";

impl Soup {
    /// Adds a polygon over `corners`, which may name vertices that follow later in the file.
    ///
    /// One of fewer than three is refused at once: a file may declare thousands of millions of them in
    /// no bytes at all, and what is kept has to be bounded by what was read.
    pub(super) fn add(&mut self, corners: &[u32], line: Option<usize>) -> Result<(), ScanFault> {
        if corners.len() < 3 {
            let place = Place::element(FACE, self.polygons.len());
            return Err(ScanFault::Polygon {
                place: line.map_or(place, |line| place.at_line(line)),
                fault: PolygonError::TooFew(corners.len()),
            });
        }
        self.corners.extend_from_slice(corners);
        self.polygons.push(Polygon {
            end: self.corners.len(),
            line: line.and_then(|line| u32::try_from(line).ok()).unwrap_or(0),
        });
        Ok(())
    }

    /// How many polygons were added.
    pub(super) fn polygons(&self) -> usize {
        self.polygons.len()
    }

    /// Where a polygon, or the one to be added next, stands.
    pub(super) fn place(&self, polygon: usize) -> Place {
        let place = Place::element(FACE, polygon);
        match self.polygons.get(polygon) {
            Some(&Polygon { line, .. }) if line > 0 => place.at_line(line as usize),
            _ => place,
        }
    }

    /// Welds the positions and cuts the polygons. `first_number` is what the format calls the
    /// first vertex.
    pub(super) fn into_scan(
        self,
        format: ScanFormat,
        first_number: i64,
        mut remarks: Vec<String>,
    ) -> Result<Scan, ScanFault> {
        if self.polygons.is_empty() && !self.positions.is_empty() {
            return Err(ScanFault::PointCloud {
                vertices: self.positions.len(),
            });
        }
        let mut welder = Welder::new();
        let welded: Vec<u32> = self.positions.iter().map(|&p| welder.add(p)).collect();
        let mut triangles = Vec::with_capacity(self.polygons.len());
        let (mut cut, mut warped) = (0_usize, None);
        let mut start = 0;
        for (number, polygon) in self.polygons.iter().enumerate() {
            let corners = &self.corners[start..polygon.end];
            start = polygon.end;
            let beyond = |&&corner: &&u32| corner as usize >= self.positions.len();
            if let Some(&corner) = corners.iter().find(beyond) {
                return Err(ScanFault::Index {
                    place: self.place(number),
                    index: i64::from(corner) + first_number,
                    vertices: self.positions.len(),
                });
            }
            if let &[a, b, c] = corners {
                triangles.push([a, b, c].map(|v| welded[v as usize]));
                continue;
            }
            cut += 1;
            let points: Vec<_> = corners
                .iter()
                .map(|&v| self.positions[v as usize])
                .collect();
            let parts = triangulate(&points).map_err(|fault| ScanFault::Polygon {
                place: self.place(number),
                fault,
            })?;
            if !parts.is_flat() {
                let (_, count) = warped.unwrap_or((number, 0_usize));
                warped = Some((warped.map_or(number, |(first, _)| first), count + 1));
            }
            triangles.extend(
                parts
                    .triangles
                    .iter()
                    .map(|part| part.map(|i| welded[corners[i] as usize])),
            );
        }
        if cut > 0 {
            remarks.push(format!(
                "{cut} of {} polygons had more than three corners and were cut into triangles",
                self.polygons.len()
            ));
        }
        if let Some((first, count)) = warped {
            remarks.push(format!(
                "{count} of {} polygons are far from flat, the first of them {}; they were cut into \
                 triangles, and how the surface bends between their corners is a guess",
                self.polygons.len(),
                self.place(first)
            ));
        }
        Ok(Scan {
            format,
            gzip: false,
            mesh: Mesh {
                vertices: welder.into_vertices(),
                triangles,
            },
            file_vertices: self.positions.len(),
            file_facets: self.polygons.len(),
            remarks,
        })
    }
}
