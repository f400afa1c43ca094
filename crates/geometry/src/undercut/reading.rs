//! From what holds at each sample to what holds for a zone.
//!
//! The depth of a zone is taken from depths that are linear over each sample between its three
//! corners, not from the centroids alone: on a wall that leans by 45 degrees the depth of a 0.25 mm
//! sample varies by 0.2 mm. Areas are judged by centroids.

use super::tolerance::{DEPTH_AREA_MM2, DEPTH_CAP_MM};

/// Area of an undercut sample and the depths at its corners, deepest first.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Deep {
    pub(crate) area: f64,
    pub(crate) depths: [f64; 3],
    pub(crate) capped: bool,
}

impl Deep {
    pub(crate) fn new(area: f64, mut depths: [f64; 3], capped: bool) -> Self {
        depths = depths.map(|u| u.clamp(0.0, DEPTH_CAP_MM));
        depths.sort_unstable_by(|a, b| b.total_cmp(a));
        Self {
            area,
            depths,
            capped,
        }
    }

    /// The greatest depth at a corner.
    pub(crate) fn deepest(&self) -> f64 {
        self.depths[0]
    }

    /// Area deeper than `u`.
    ///
    /// Derivation: a linear depth cuts a triangle along a straight line. Above the middle corner it
    /// leaves a triangle similar in two edges, so its share is the product of two edge shares; below
    /// it the same holds for what is left out.
    fn beyond(&self, u: f64) -> f64 {
        let [a, b, c] = self.depths;
        if u >= a {
            0.0
        } else if u < c {
            self.area
        } else if u >= b {
            self.area * ((a - u) / (a - b)) * ((a - u) / (a - c))
        } else {
            self.area * (1.0 - ((u - c) / (a - c)) * ((u - c) / (b - c)))
        }
    }
}

/// Whether the cap decides: at least [`DEPTH_AREA_MM2`] has no way out.
pub(crate) fn is_capped(deep: &[Deep]) -> bool {
    let area: f64 = deep.iter().filter(|d| d.capped).map(|d| d.area).sum();
    area >= DEPTH_AREA_MM2
}

/// The largest u such that at least [`DEPTH_AREA_MM2`] is deeper than u, and whether it is capped;
/// 0 if less than that is undercut at all.
pub(crate) fn depth(deep: &[Deep]) -> (f64, bool) {
    let total: f64 = deep.iter().map(|d| d.area).sum();
    if total < DEPTH_AREA_MM2 {
        return (0.0, false);
    }
    if is_capped(deep) {
        return (DEPTH_CAP_MM, true);
    }
    // Samples that lie wholly beyond u show that the depth is at least u.
    let mut order: Vec<&Deep> = deep.iter().collect();
    order.sort_unstable_by(|a, b| b.depths[2].total_cmp(&a.depths[2]));
    let mut area = 0.0;
    let mut sure = 0.0;
    for d in &order {
        area += d.area;
        sure = d.depths[2];
        if area >= DEPTH_AREA_MM2 {
            break;
        }
    }
    let reaching: Vec<&Deep> = deep.iter().filter(|d| d.depths[0] > sure).collect();
    let deepest = reaching.iter().map(|d| d.depths[0]).fold(sure, f64::max);
    // Halved always at the same depths, whatever samples there are, so that samples which cannot
    // decide change no bit by being left out.
    let (mut low, mut high) = (0.0, DEPTH_CAP_MM);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        let is_beyond = middle < sure
            || middle < deepest
                && reaching.iter().map(|d| d.beyond(middle)).sum::<f64>() >= DEPTH_AREA_MM2;
        if is_beyond {
            low = middle;
        } else {
            high = middle;
        }
    }
    (if low > 0.0 { high } else { 0.0 }, false)
}

/// To the last bit of any depth above a thousandth of a millimetre.
const HALVINGS: u32 = 64;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn linear_depth_cuts_a_triangle_as_computed_by_hand() {
        let deep = Deep::new(2.0, [0.0, 1.0, 1.0], false);
        // A trapezoid: all but the similar triangle of half the size.
        assert!((deep.beyond(0.5) - 1.5).abs() < 1e-15);
        let deep = Deep::new(2.0, [0.0, 0.0, 1.0], false);
        assert!((deep.beyond(0.5) - 0.5).abs() < 1e-15);
        assert!((deep.beyond(0.0) - 2.0).abs() < 1e-15);
        assert!(deep.beyond(1.0).abs() < 1e-15);
    }

    #[test]
    fn depth_is_the_level_that_a_tenth_of_a_square_millimetre_exceeds() {
        // 1 mm² falling linearly from 1 mm to 0 along a strip: two triangles. The area beyond u is
        // 1 - u, so 0.1 mm² is deeper than 0.9.
        let strip = [
            Deep::new(0.5, [1.0, 1.0, 0.0], false),
            Deep::new(0.5, [1.0, 0.0, 0.0], false),
        ];
        let (depth_mm, capped) = depth(&strip);
        assert!((depth_mm - 0.9).abs() < 1e-9 && !capped, "{depth_mm}");
    }

    #[test]
    fn specks_do_not_count_and_the_cap_does() {
        let speck = Deep::new(0.09, [5.0; 3], false);
        assert_eq!(depth(&[speck]), (0.0, false));
        let flat = Deep::new(0.5, [0.3; 3], false);
        assert_eq!(depth(&[speck, flat]), (0.3, false));
        let shut = Deep::new(0.11, [DEPTH_CAP_MM; 3], true);
        assert_eq!(depth(&[flat, shut]), (DEPTH_CAP_MM, true));
    }
}
