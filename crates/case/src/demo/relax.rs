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

#[cfg(test)]
mod tests {
    use super::super::polygonise::polygonise;
    use super::*;
    use std::collections::{BTreeMap, BTreeSet};
    use std::f64::consts::PI;

    /// A field given by a closure, inside a cube about the origin.
    struct Shape<F: Fn(Point3<f64>) -> f64>(F, f64);

    impl<F: Fn(Point3<f64>) -> f64> Implicit for Shape<F> {
        type Column = ();
        fn column(&self, _x: f64, _y: f64) {}
        fn value(&self, (): &(), x: f64, y: f64, z: f64) -> f64 {
            (self.0)(Point3::new(x, y, z))
        }
        fn bounds(&self) -> [Point3<f64>; 2] {
            // Off centre, so that no sample falls on a symmetry of the shape.
            [
                Point3::new(-self.1 - 0.013, -self.1 - 0.029, -self.1 - 0.041),
                Point3::new(self.1, self.1, self.1),
            ]
        }
        fn steepness(&self) -> f64 {
            1.0
        }
    }

    fn surface<F: Fn(Point3<f64>) -> f64>(shape: &Shape<F>, step: f64) -> Mesh {
        let mut net = polygonise(shape, step);
        relax(&mut net, shape, step);
        triangulate(net)
    }

    /// Vertices − edges + facets of a closed surface, once every edge is seen once each way.
    fn euler(mesh: &Mesh) -> usize {
        let mut directed = BTreeSet::new();
        for t in &mesh.triangles {
            for i in 0..3 {
                assert!(
                    directed.insert((t[i], t[(i + 1) % 3])),
                    "an edge runs twice one way"
                );
            }
        }
        assert!(
            directed.iter().all(|&(a, b)| directed.contains(&(b, a))),
            "an edge is open"
        );
        mesh.vertices.len() + mesh.triangles.len() - directed.len() / 2
    }

    /// Edge lengths from short to long, in steps of the grid.
    fn edges(mesh: &Mesh, step: f64) -> Vec<f64> {
        let mut seen = BTreeMap::new();
        for t in &mesh.triangles {
            for i in 0..3 {
                let (a, b) = (t[i], t[(i + 1) % 3]);
                let length = (mesh.vertices[a as usize] - mesh.vertices[b as usize]).norm();
                seen.insert((a.min(b), a.max(b)), length / step);
            }
        }
        let mut lengths: Vec<f64> = seen.into_values().collect();
        lengths.sort_by(f64::total_cmp);
        lengths
    }

    #[test]
    fn a_ball_has_its_volume_and_even_edges() {
        let ball = Shape(|p: Point3<f64>| p.coords.norm() - 3.0, 3.5);
        let mesh = surface(&ball, 0.2);
        assert_eq!(euler(&mesh), 2);
        for p in &mesh.vertices {
            assert!((p.coords.norm() - 3.0).abs() < ON_SURFACE_MM, "{p}");
        }
        // A chord polyhedron loses a share of about edge² / (6 r²) of the volume, 0.1 % here.
        let volume = mesh.signed_volume() / (4.0 / 3.0 * PI * 27.0);
        assert!((0.997..1.0).contains(&volume), "{volume}");
        let lengths = edges(&mesh, 0.2);
        let (short, long) = (
            lengths[lengths.len() / 100],
            lengths[lengths.len() * 99 / 100],
        );
        assert!(short > 0.6 && long < 1.7, "1 % to 99 %: {short} to {long}");
    }

    #[test]
    fn a_ring_keeps_its_hole() {
        let ring = Shape(
            |p: Point3<f64>| (p.x.hypot(p.y) - 2.5).hypot(p.z) - 0.7,
            3.4,
        );
        let mesh = surface(&ring, 0.15);
        assert_eq!(euler(&mesh), 0);
        let volume = mesh.signed_volume() / (2.0 * PI * PI * 2.5 * 0.49);
        assert!((0.98..1.0).contains(&volume), "{volume}");
    }

    #[test]
    fn two_sheets_in_one_cell_do_not_touch() {
        // The balls nearly meet in the middle of a cell, across its face diagonal: a net with one
        // vertex a cell would join them there.
        let middle = Point3::new(0.087, 0.071, 0.059);
        let balls = Shape(
            |p: Point3<f64>| {
                let along = Vector3::new(1.0, 1.0, 0.0) * (1.533 / 2.0_f64.sqrt());
                let first = (p - middle - along).norm() - 1.5;
                first.min((p - middle + along).norm() - 1.5)
            },
            3.2,
        );
        let net = polygonise(&balls, 0.2);
        assert_eq!(euler(&triangulate(net)), 4);
    }

    #[test]
    fn a_surface_far_from_the_first_block_is_found() {
        let far = Shape(
            |p: Point3<f64>| (p - Point3::new(5.0, -5.0, 5.0)).norm() - 0.4,
            6.0,
        );
        assert_eq!(euler(&surface(&far, 0.1)), 2);
    }
}
