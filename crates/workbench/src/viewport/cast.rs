//! The cast made ready to be seen: corners with normals, a picker, and how deep it is undercut.

use super::pick::Picker;
use bytemuck::{Pod, Zeroable};
use nalgebra::{Point3, Vector3};
use std::sync::Arc;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::UndercutSample;

/// Facets that meet at more than this keep their edge in the picture; less looks like stone that
/// was smoothed. Tuned: below 20 degrees noise of a scan facets visibly, above 60 a cut border
/// looks round.
const CREASE_COS: f64 = 0.766; // 40 degrees

/// One corner of a facet, as the graphics card takes it.
#[repr(C)]
#[derive(Debug, Clone, Copy, PartialEq, Pod, Zeroable)]
pub struct Corner {
    /// Cast frame, mm.
    pub position: [f32; 3],
    /// Normal times 127, and 0.
    pub normal: [i8; 4],
}

/// A cast ready to be seen. Heavy to make, cheap to share.
#[derive(Debug)]
pub struct CastModel {
    /// The mesh itself.
    pub mesh: Arc<Mesh>,
    /// Its corners; facets that meet smoothly at a vertex share one.
    pub corners: Vec<Corner>,
    /// The corners of each facet, in the order of the mesh.
    pub facets: Vec<[u32; 3]>,
    /// What a line of sight meets.
    pub picker: Picker,
    /// Middle of the bounding box.
    pub centre: Point3<f64>,
    /// Radius of a sphere about `centre` that holds the cast, mm.
    pub radius_mm: f64,
}

impl CastModel {
    /// About 0.2 s for 300,000 facets: not to be done between two frames.
    pub fn new(mesh: Arc<Mesh>) -> Self {
        let (centre, radius_mm) = bounding_sphere(&mesh.vertices);
        let (corners, facets) = corners(&mesh);
        Self {
            corners,
            facets,
            picker: Picker::new(&mesh),
            centre,
            radius_mm,
            mesh,
        }
    }
}

/// A sphere about the middle of the bounding box; a small one about the origin for no points.
pub fn bounding_sphere(points: &[Point3<f64>]) -> (Point3<f64>, f64) {
    let Some(first) = points.first() else {
        return (Point3::origin(), 1.0);
    };
    let (mut low, mut high) = (*first, *first);
    for point in points {
        low = low.inf(point);
        high = high.sup(point);
    }
    let centre = nalgebra::center(&low, &high);
    let radius_mm = points
        .iter()
        .map(|p| nalgebra::distance_squared(p, &centre))
        .fold(0.0, f64::max)
        .sqrt();
    (centre, radius_mm.max(1e-3))
}

/// Corners with normals smoothed, weighted by area, over what meets there at less than the crease;
/// and those of each facet. One corner serves all facets that see the same normal at a vertex.
fn corners(mesh: &Mesh) -> (Vec<Corner>, Vec<[u32; 3]>) {
    const NONE: u32 = u32::MAX;
    // Twice the area long.
    let normals: Vec<Vector3<f64>> = (0..mesh.triangles.len())
        .map(|facet| {
            let [a, b, c] = mesh.corners(facet);
            (b - a).cross(&(c - a))
        })
        .collect();
    let around = facets_around(mesh);
    let mut corners: Vec<Corner> = Vec::with_capacity(mesh.vertices.len());
    // The newest corner of each vertex, and of each corner the one before it at the same vertex.
    let mut newest = vec![NONE; mesh.vertices.len()];
    let mut before: Vec<u32> = Vec::with_capacity(mesh.vertices.len());
    let facets = mesh.triangles.iter().zip(&normals).map(|(triangle, own)| {
        let least = CREASE_COS * own.norm();
        triangle.map(|v| {
            let meeting = around.at(v).iter().map(|other| normals[*other as usize]);
            let alike = meeting.filter(|other| own.dot(other) >= least * other.norm());
            let normal = packed_normal(&alike.sum());
            let mut corner = newest[v as usize];
            while corner != NONE && corners[corner as usize].normal != normal {
                corner = before[corner as usize];
            }
            if corner == NONE {
                corner = u32::try_from(corners.len()).unwrap_or(NONE);
                before.push(std::mem::replace(&mut newest[v as usize], corner));
                corners.push(Corner {
                    position: to_f32(&mesh.vertices[v as usize].coords),
                    normal,
                });
            }
            corner
        })
    });
    let facets = facets.collect();
    (corners, facets)
}

/// The facets around each vertex, one list behind the other.
struct Around {
    facets: Vec<u32>,
    starts: Vec<u32>,
}

impl Around {
    fn at(&self, vertex: u32) -> &[u32] {
        let v = vertex as usize;
        &self.facets[self.starts[v] as usize..self.starts[v + 1] as usize]
    }
}

fn facets_around(mesh: &Mesh) -> Around {
    let mut starts = vec![0_u32; mesh.vertices.len() + 1];
    for v in mesh.triangles.iter().flatten() {
        starts[*v as usize + 1] += 1;
    }
    for v in 1..starts.len() {
        starts[v] += starts[v - 1];
    }
    let mut next = starts.clone();
    let mut facets = vec![0; 3 * mesh.triangles.len()];
    for (facet, triangle) in (0_u32..).zip(&mesh.triangles) {
        for v in triangle {
            let place = &mut next[*v as usize];
            facets[*place as usize] = facet;
            *place += 1;
        }
    }
    Around { facets, starts }
}

/// A vector as the graphics card takes it.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a picture needs no more than f32"
)]
pub fn to_f32(v: &Vector3<f64>) -> [f32; 3] {
    [v.x as f32, v.y as f32, v.z as f32]
}

/// A direction in three signed bytes; zero stays zero.
pub fn packed_normal(v: &Vector3<f64>) -> [i8; 4] {
    let scale = 127.0 / v.norm().max(1e-300);
    #[expect(clippy::cast_possible_truncation, reason = "within ±127 by the scale")]
    let byte = |x: f64| (x * scale).round() as i8;
    [byte(v.x), byte(v.y), byte(v.z), 0]
}

/// Zone byte of a facet that lies in no zone.
const NO_ZONE: u32 = 255;
/// What is packed for a corner of a facet that lies in no zone.
pub(super) const PACKED_NO_ZONE: u32 = NO_ZONE << 16;
/// Depths are packed in thousandths of a millimetre.
const PACKED_PER_MM: f64 = 1000.0;

/// How deep each corner of the cast is undercut for one draw. Never meaningful without that draw.
#[derive(Debug, PartialEq)]
pub struct DepthField {
    /// For each corner of each facet: depth in 1/1000 mm, and in the third byte the zone (255: none).
    pub packed: Vec<u32>,
}

impl DepthField {
    /// From the samples of each zone. A corner's depth is the mean over the zone's samples on the
    /// facets that meet there, so that bands run smoothly; it is for the eye, and figures are read
    /// from the zone. Zones beyond the 255th are not shown.
    pub fn new(mesh: &Mesh, zones: &[Vec<UndercutSample>]) -> Self {
        let mut packed = vec![PACKED_NO_ZONE; 3 * mesh.triangles.len()];
        let mut sums = vec![[0.0_f64; 2]; mesh.vertices.len()];
        for (zone, samples) in (0..NO_ZONE).zip(zones) {
            for sample in samples {
                let depth = sample.depth_mm.unwrap_or(0.0);
                for v in mesh.triangles[sample.facet as usize] {
                    let sum = &mut sums[v as usize];
                    sum[0] += depth * sample.area_mm2;
                    sum[1] += sample.area_mm2;
                }
            }
            for sample in samples {
                let facet = sample.facet as usize;
                for (corner, v) in mesh.triangles[facet].into_iter().enumerate() {
                    let [depth, area] = sums[v as usize];
                    let thousandths = (depth / area * PACKED_PER_MM).clamp(0.0, 65_535.0);
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "clamped to 16 bits"
                    )]
                    let thousandths = thousandths as u32;
                    packed[3 * facet + corner] = thousandths | (zone << 16);
                }
            }
            for sample in samples {
                for v in mesh.triangles[sample.facet as usize] {
                    sums[v as usize] = [0.0; 2];
                }
            }
        }
        Self { packed }
    }

    /// Which zone a facet lies in.
    pub fn zone_of(&self, facet: u32) -> Option<usize> {
        let zone = *self.packed.get(3 * facet as usize)? >> 16;
        (zone != NO_ZONE).then_some(zone as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square in two facets, and a wall standing on its edge.
    fn corner_mesh() -> Mesh {
        Mesh {
            vertices: [
                [0.0, 0.0, 0.0],
                [1.0, 0.0, 0.0],
                [1.0, 1.0, 0.0],
                [0.0, 1.0, 0.0],
                [0.0, 0.0, 1.0],
            ]
            .map(Point3::from)
            .to_vec(),
            triangles: vec![[0, 1, 2], [0, 2, 3], [0, 4, 1]],
        }
    }

    #[test]
    fn creases_stay_sharp_and_smooth_corners_are_shared() {
        let mesh = corner_mesh();
        let (corners, facets) = corners(&mesh);
        let normal = |facet: usize, corner: usize| corners[facets[facet][corner] as usize].normal;
        let (up, out) = ([0, 0, 127, 0], [0, 127, 0, 0]);
        assert_eq!(normal(0, 2), up, "inside the square");
        assert_eq!(normal(2, 1), out, "top of the wall");
        assert_eq!(normal(0, 0), up, "foot, seen from the square");
        assert_eq!(normal(2, 0), out, "foot, seen from the wall");
        assert_eq!([facets[0][0], facets[0][2]], [facets[1][0], facets[1][1]]);
        assert_eq!(corners.len(), 4 + 3, "the square's, and the wall's own");
        for (facet, triangle) in mesh.triangles.iter().enumerate() {
            for (corner, v) in triangle.iter().enumerate() {
                let at = corners[facets[facet][corner] as usize].position;
                let expected = to_f32(&mesh.vertices[*v as usize].coords);
                assert_eq!(at.map(f32::to_bits), expected.map(f32::to_bits));
            }
        }
    }

    #[test]
    fn depth_is_the_mean_where_facets_of_a_zone_meet() {
        let mesh = corner_mesh();
        let sample = |facet, depth_mm| UndercutSample {
            position: Point3::origin(),
            area_mm2: 0.5,
            facet,
            depth_mm,
            capped: false,
        };
        let field = DepthField::new(&mesh, &[vec![sample(0, Some(0.6)), sample(1, None)]]);
        let depth = |corner: usize| field.packed[corner] & 0xFFFF;
        assert_eq!(depth(1), 600, "only facet 0 meets there");
        assert_eq!(depth(0), 300, "both meet");
        assert_eq!(depth(5), 0, "only facet 1");
        assert_eq!(field.zone_of(1), Some(0));
        assert_eq!(field.zone_of(2), None);
        assert_eq!(field.zone_of(3), None, "no such facet");
    }

    #[test]
    fn no_points_are_a_small_sphere() {
        let (centre, radius) = bounding_sphere(&[]);
        assert_eq!(centre, Point3::origin());
        assert!(radius > 0.0);
    }
}
