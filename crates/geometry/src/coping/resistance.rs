//! Resistance form: whether a tapered body stops a casting from rolling off about a far margin.
//!
//! The casting rolls about the margin on one side of the base `B`; the far wall blocks it above the
//! foot of the perpendicular dropped on that wall from the rolling centre, at height
//! `(B / 2) sin(2 T)`. On the boundary circle (the base as diameter) that foot lies.
//!
//! Valid for level margins and two walls of equal taper. Uneven margins or unequal walls break the
//! symmetry, and then neither figure says anything.
//!
//! Source: M. H. Parker, F. M. Ivanhoe, J. J. Blalock, K. B. Frazier, F. B. Plummer, "A technique
//! to determine a desired preparation axial inclination" and M. H. Parker et al., "Quantitative
//! determination of taper adequate to provide resistance form", J Prosthet Dent 59 (1988) 281-288;
//! M. H. Parker et al., J Prosthodont 2 (1993) 61-66: limiting taper `T = asin(H / B) / 2`. From
//! memory of those papers; it reproduces the published verdict that 3 mm on a base of 10 mm is
//! adequate up to a total convergence of 17.4 degrees.

/// Greatest total occlusal convergence with resistance form, in radians: `asin(H / B)`. `None`
/// where the height is at least the base, so that no taper loses it, or a length is not positive.
pub fn limiting_convergence_rad(height_mm: f64, base_mm: f64) -> Option<f64> {
    let ratio = height_mm / base_mm;
    (height_mm > 0.0 && base_mm > 0.0 && ratio < 1.0).then(|| ratio.asin())
}

/// Height on the wall, in mm above the margin, above which the wall blocks rolling:
/// `(B / 2) sin(2 T)` with `T` the taper per wall.
///
/// Derivation: with the rolling centre at one end of the base and the wall leaning in by `T` from
/// the other, the perpendicular meets the wall `B sin(T)` along it, so `B sin(T) cos(T)` high.
pub fn boundary_height_mm(base_mm: f64, taper_rad: f64) -> f64 {
    0.5 * base_mm * (2.0 * taper_rad).sin()
}

/// The part of the wall's height, in 0..=1, that blocks rolling.
pub fn resisting_part(height_mm: f64, base_mm: f64, taper_rad: f64) -> f64 {
    (1.0 - boundary_height_mm(base_mm, taper_rad) / height_mm).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: as the module; heights and bases of published dies and teeth.
    #[test]
    fn the_limiting_convergence_is_the_arc_sine_of_height_over_base() {
        for (height, base, limit_deg) in [
            (2.5, 10.0, 14.478),
            (3.0, 10.0, 17.458),
            (3.5, 10.0, 20.487),
            (4.0, 10.0, 23.578),
            (4.0, 8.0, 30.000),
            (2.0, 7.0, 16.602),
            (4.0, 7.0, 34.850),
        ] {
            let found = limiting_convergence_rad(height, base).unwrap().to_degrees();
            assert!((found - limit_deg).abs() < 5e-4, "{height}/{base}: {found}");
        }
        assert_eq!(limiting_convergence_rad(8.0, 7.0), None);
        assert_eq!(limiting_convergence_rad(0.0, 7.0), None);
        assert_eq!(limiting_convergence_rad(f64::NAN, 7.0), None);
    }

    /// Source: Woolsey and Matich 1978 (3 mm on 10 mm: adequate at 10 degrees, not at 20), Weed and
    /// Baez 1984 (3.5 mm: not at 22), Proussaefs et al. 2004 (2.5 mm: not at 20); from memory.
    #[test]
    fn published_verdicts_are_reproduced() {
        for (height, convergence_deg, resists) in [
            (3.0, 10.0, true),
            (3.0, 20.0, false),
            (3.5, 22.0, false),
            (2.5, 20.0, false),
        ] {
            let limit = limiting_convergence_rad(height, 10.0).unwrap().to_degrees();
            assert_eq!(convergence_deg <= limit, resists, "{height} mm");
        }
    }

    #[test]
    fn the_boundary_circle_leaves_half_a_wall_at_the_limit() {
        let height = boundary_height_mm(8.0, 10_f64.to_radians());
        assert!((height - 1.368_08).abs() < 5e-6, "{height}");
        let part = resisting_part(4.0, 8.0, 10_f64.to_radians());
        assert!((part - 0.657_98).abs() < 5e-6, "{part}");
        let half = resisting_part(3.0, 10.0, 8.7288_f64.to_radians());
        assert!((half - 0.5).abs() < 1e-5, "{half}");
        // The foot of the perpendicular lies on the circle over the base.
        let taper = 10_f64.to_radians();
        let (x, y) = (8.0 - height * taper.tan(), height);
        assert!(((x - 4.0).hypot(y) - 4.0).abs() < 1e-12);
        assert!(resisting_part(0.5, 8.0, 0.3) <= 0.0);
    }
}
