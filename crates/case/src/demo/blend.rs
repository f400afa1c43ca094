//! Smooth unions, intersections and steps.
//!
//! The blends have a compact reach: where the two fields differ by `reach` or more the result is
//! exactly the sharp one. A wall of a stump is therefore untouched outside its own fillets.

/// Union of two solids given as signed distances (negative inside), with a fillet.
///
/// Derivation: the parabola in `a − b` that meets `min(a, b)` with the same slope at
/// `|a − b| = reach`; it lies `reach / 4` below the sharp minimum where `a = b`.
pub(super) fn union(a: f64, b: f64, reach: f64) -> f64 {
    let overlap = (reach - (a - b).abs()).max(0.0);
    a.min(b) - overlap * overlap / (4.0 * reach)
}

/// Intersection of two solids, with a rounded edge. See [`union`].
pub(super) fn intersection(a: f64, b: f64, reach: f64) -> f64 {
    -union(-a, -b, reach)
}

/// 0 below `from`, 1 above `to`, a cubic with level ends between. `from < to`.
pub(super) fn step(x: f64, from: f64, to: f64) -> f64 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// 1 at `centre`, 0 at `half_width` from it and beyond, with level ends.
pub(super) fn bump(x: f64, centre: f64, half_width: f64) -> f64 {
    1.0 - step((x - centre).abs(), 0.0, half_width)
}

/// A value that follows `knots` (position, value), level at each of them and beyond the ends.
///
/// Positions ascend. An empty list reads 0.
pub(super) fn knots(knots: &[(f64, f64)], x: f64) -> f64 {
    let Some(&(first, mut value)) = knots.first() else {
        return 0.0;
    };
    let mut from = first;
    for &(to, next) in &knots[1..] {
        if x < to {
            return value + (next - value) * step(x, from, to);
        }
        (from, value) = (to, next);
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_blend_reaches_no_farther_than_it_says() {
        assert!((union(1.0, 1.5, 0.5) - 1.0).abs() < 1e-15);
        assert!((intersection(1.0, 1.5, 0.5) - 1.5).abs() < 1e-15);
        assert!((union(1.0, 1.0, 0.5) - 0.875).abs() < 1e-15);
        assert!((intersection(1.0, 1.0, 0.5) - 1.125).abs() < 1e-15);
    }

    #[test]
    fn knots_pass_through_their_values_and_hold_beyond_the_ends() {
        let list = [(0.0, 1.0), (10.0, 3.0), (20.0, -1.0)];
        for (x, y) in [
            (-5.0, 1.0),
            (0.0, 1.0),
            (5.0, 2.0),
            (10.0, 3.0),
            (15.0, 1.0),
            (99.0, -1.0),
        ] {
            assert!((knots(&list, x) - y).abs() < 1e-15, "at {x}");
        }
        assert!(knots(&[], 3.0).abs() < 1e-15);
    }
}
