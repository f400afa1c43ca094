//! Evening out a net and bringing it onto its surface, then splitting it into triangles.

use super::implicit::Implicit;
use super::polygonise::QuadMesh;
use nalgebra::{Point3, Vector3};
use tiltbench_geometry::mesh::Mesh;

/// Rounds of evening. Tuned: the spread of edge lengths stops falling after about four; the test
/// of even edges notices none at all.
const ROUNDS: usize = 4;
/// Share of the way to the neighbours' mean a vertex slides in a round.
const SLIDE: f64 = 0.6;
/// How close to the surface every vertex is brought, mm: a fiftieth of the scanner's noise.
const ON_SURFACE_MM: f64 = 2e-4;

/// Slides the vertices within the surface until the edges are even, then puts each on the surface
/// within [`ON_SURFACE_MM`]. `step` is the grid step the net was made with.
pub(super) fn relax<F: Implicit>(net: &mut QuadMesh, field: &F, step: f64) {
    for _ in 0..ROUNDS {
        let mut sum = vec![Vector3::zeros(); net.vertices.len()];
        let mut count = vec![0.0; net.vertices.len()];
        for quad in &net.quads {
            for i in 0..4 {
                let (a, b) = (quad[i] as usize, quad[(i + 1) % 4] as usize);
                sum[a] += net.vertices[b].coords;
                sum[b] += net.vertices[a].coords;
                count[a] += 1.0;
                count[b] += 1.0;
            }
        }
        for (index, p) in net.vertices.iter_mut().enumerate() {
            if count[index] == 0.0 {
                continue;
            }
            let gradient = field.gradient(*p, 0.05 * step);
            let steep = gradient.norm_squared().max(1e-6);
            let toward = sum[index] / count[index] - p.coords;
            let slide = toward - gradient * (toward.dot(&gradient) / steep);
            // One Newton step onto the surface, from where the gradient was read.
            let back = gradient * (field.at(*p) / steep);
            *p += slide * SLIDE - back.cap_magnitude(0.5 * step);
        }
    }
    for p in &mut net.vertices {
        *p = onto_surface(field, *p, step);
    }
}

/// The surface point near `p` along the gradient there; the nearest approach where there is none.
fn onto_surface<F: Implicit>(field: &F, p: Point3<f64>, step: f64) -> Point3<f64> {
    let gradient = field.gradient(p, 0.02 * step);
    let Some(along) = gradient.try_normalize(1e-6) else {
        return p;
    };
    let mut last = (0.0, field.at(p));
    let mut best = last;
    let mut t = -last.1 / gradient.norm();
    for _ in 0..12 {
        if best.1.abs() <= ON_SURFACE_MM {
            break;
        }
        t = t.clamp(-step, step);
        let value = field.at(p + along * t);
        if value.abs() < best.1.abs() {
            best = (t, value);
        }
        let rise = value - last.1;
        if rise.abs() < 1e-12 {
            break;
        }
        let next = t - value * (t - last.0) / rise;
        last = (t, value);
        t = next;
    }
    p + along * best.0
}

/// Splits each quadrilateral along the diagonal whose two triangles have the larger least angle.
pub(super) fn triangulate(net: QuadMesh) -> Mesh {
    let mut triangles = Vec::with_capacity(2 * net.quads.len());
    for [a, b, c, d] in net.quads {
        let least = |set: [[u32; 3]; 2]| {
            set.into_iter()
                .map(|t| least_angle_cos(t.map(|v| net.vertices[v as usize])))
                .fold(-1.0, f64::max)
        };
        let (first, second) = ([[a, b, c], [a, c, d]], [[b, c, d], [b, d, a]]);
        // The larger cosine is the smaller angle.
        triangles.extend(if least(first) <= least(second) {
            first
        } else {
            second
        });
    }
    Mesh {
        vertices: net.vertices,
        triangles,
    }
}

/// Cosine of a triangle's least angle; 1 where an edge has no length.
fn least_angle_cos(corners: [Point3<f64>; 3]) -> f64 {
    (0..3)
        .map(|i| {
            let to = |k: usize| (corners[(i + k) % 3] - corners[i]).try_normalize(1e-12);
            match (to(1), to(2)) {
                (Some(u), Some(v)) => u.dot(&v),
                _ => 1.0,
            }
        })
        .fold(-1.0, f64::max)
}
