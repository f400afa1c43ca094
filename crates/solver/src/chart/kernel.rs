//! Interpolation between four nodes in a row.

/// Weights of the nodes at -1, 0, 1, 2 for a place between 0 and 1, by cubic convolution: exact for
/// parabolas.
///
/// Source: Keys, "Cubic convolution interpolation for digital image processing", IEEE Trans. ASSP
/// 29, 1981, 1153-1160, equation 15 (a = -1/2).
pub(super) fn weights(t: f64) -> [f64; 4] {
    let near = |s: f64| (1.5 * s - 2.5) * s * s + 1.0;
    let far = |s: f64| ((-0.5 * s + 2.5) * s - 4.0) * s + 2.0;
    [far(1.0 + t), near(t), near(1.0 - t), far(2.0 - t)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parabolas_come_back() {
        for t in [0.0, 0.2, 0.5, 0.9, 1.0] {
            let f = |x: f64| 3.0 * x * x - 2.0 * x + 0.7;
            let nodes = [-1.0, 0.0, 1.0, 2.0].map(f);
            let sum: f64 = weights(t).iter().zip(nodes).map(|(w, f)| w * f).sum();
            assert!((sum - f(t)).abs() < 1e-12, "{t}");
        }
    }
}
