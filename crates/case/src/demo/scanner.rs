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

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point3;

    /// A flat of 200 × 200 vertices at half a millimetre.
    fn flat() -> Mesh {
        const SIDE: u32 = 200;
        let mut mesh = Mesh::default();
        for i in 0..SIDE {
            for j in 0..SIDE {
                mesh.vertices
                    .push(Point3::new(0.5 * f64::from(i), 0.5 * f64::from(j), 0.0));
                if i + 1 < SIDE && j + 1 < SIDE {
                    let a = i * SIDE + j;
                    mesh.triangles.push([a, a + SIDE, a + SIDE + 1]);
                    mesh.triangles.push([a, a + SIDE + 1, a + 1]);
                }
            }
        }
        mesh
    }

    #[test]
    fn noise_has_its_spread_and_leaves_the_tangent_alone() {
        let clean = flat();
        let mut noisy = clean.clone();
        scan(&mut noisy, 3);
        let n = noisy.vertices.len() as f64;
        let mean = noisy.vertices.iter().map(|p| p.z).sum::<f64>() / n;
        let variance = noisy
            .vertices
            .iter()
            .map(|p| (p.z - mean).powi(2))
            .sum::<f64>()
            / n;
        // Standard errors: sd / sqrt(n) of the mean, sd / sqrt(2 n) of the sd; four of each.
        assert!(mean.abs() < 4.0 * NOISE_SD_MM / n.sqrt(), "{mean}");
        let spread = variance.sqrt() / NOISE_SD_MM - 1.0;
        assert!(spread.abs() < 4.0 / (2.0 * n).sqrt(), "{spread}");
        for (a, b) in clean.vertices.iter().zip(&noisy.vertices) {
            assert_eq!((a.x, a.y), (b.x, b.y));
            assert_eq!(b.z.to_bits(), single(b.z).to_bits());
        }
    }

    #[test]
    fn the_seed_decides() {
        let [mut a, mut b, mut c] = [flat(), flat(), flat()];
        scan(&mut a, 1);
        scan(&mut b, 1);
        scan(&mut c, 2);
        assert_eq!(a, b);
        assert_ne!(a, c);
    }
}
