//! What a scanner adds to a surface: noise along the normal, and single precision.

use nalgebra::Vector3;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use tiltbench_geometry::mesh::Mesh;

/// Standard deviation of the noise, mm. Two scanners read a flat with 5.3-12.6 micrometres RMS.
/// Source: PMC5549906 (one study of two intra-oral scanners).
pub(super) const NOISE_SD_MM: f64 = 0.010;

/// Moves every vertex along its normal by seeded Gaussian noise, and rounds it to the single
/// precision of the file, so that a mesh in memory and one read back are the same.
pub(super) fn scan(mesh: &mut Mesh, seed: u64) {
    let mut normals = vec![Vector3::zeros(); mesh.vertices.len()];
    for index in 0..mesh.triangles.len() {
        let [a, b, c] = mesh.corners(index);
        let normal = (b - a).cross(&(c - a));
        for v in mesh.triangles[index] {
            normals[v as usize] += normal;
        }
    }
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    for (p, normal) in mesh.vertices.iter_mut().zip(normals) {
        let offset = NOISE_SD_MM * gaussian(&mut random);
        if let Some(normal) = normal.try_normalize(1e-12) {
            *p += normal * offset;
        }
        *p = p.map(single);
    }
}

/// A draw from the normal distribution. Source: Box and Muller, "A note on the generation of
/// random normal deviates", Ann. Math. Stat. 29 (1958) 610-611, doi 10.1214/aoms/1177706645.
fn gaussian(random: &mut ChaCha8Rng) -> f64 {
    // 1 − u lies in (0, 1], where the logarithm is finite.
    let radius = (-2.0 * (1.0 - random.random::<f64>()).ln()).sqrt();
    radius * (std::f64::consts::TAU * random.random::<f64>()).cos()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the rounding to the file's single precision is what is wanted"
)]
fn single(value: f64) -> f64 {
    f64::from(value as f32)
}
