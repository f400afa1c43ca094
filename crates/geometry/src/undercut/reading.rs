//! From what holds at each sample to what holds for a zone.
//!
//! Depth within a sample: the way out of a sample's centroid ends at a place on a rim, and to first
//! order its other points go to the same rim in the same direction. So the depth falls by the
//! distance moved along that direction. The areas beyond a depth, and the zone's depth, are taken
//! from these linear depths, not from the centroids alone: on a wall that leans by 45 degrees the
//! depth of a 0.25 mm sample varies by 0.2 mm.

use super::tolerance::{DEPTH_AREA_MM2, DEPTH_CAP_MM, GAUGE_STEPS_MM};

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

/// Area deeper than each gauge step.
pub(crate) fn area_beyond(deep: &[Deep]) -> [f64; 3] {
    GAUGE_STEPS_MM.map(|step| deep.iter().map(|d| d.beyond(step)).sum())
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
    // Samples that lie wholly beyond u show that the depth is at least u. Only the deepest of them
    // need sorting.
    let deepest = deep.iter().map(|d| d.depths[2]).fold(0.0, f64::max);
    let mut order: Vec<&Deep> = Vec::new();
    let mut down_to = deepest;
    while order.iter().map(|d| d.area).sum::<f64>() < DEPTH_AREA_MM2 && down_to > 0.0 {
        down_to = (down_to - 0.1).max(0.0);
        order = deep.iter().filter(|d| d.depths[2] >= down_to).collect();
    }
    order.sort_unstable_by(|a, b| b.depths[2].total_cmp(&a.depths[2]));
    let mut area = 0.0;
    let mut low = 0.0;
    for d in &order {
        area += d.area;
        low = d.depths[2];
        if area >= DEPTH_AREA_MM2 {
            break;
        }
    }
    // The order of the slice, not of the sort, so that ties cannot change the sum.
    let reaching: Vec<&Deep> = deep.iter().filter(|d| d.depths[0] > low).collect();
    let mut high = reaching.iter().map(|d| d.depths[0]).fold(low, f64::max);
    while high - low > 1e-12 {
        let middle = 0.5 * (low + high);
        let beyond: f64 = reaching.iter().map(|d| d.beyond(middle)).sum();
        if beyond >= DEPTH_AREA_MM2 {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low, false)
}

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
        let [a, b, c] = area_beyond(&strip);
        assert!((a - 0.75).abs() + (b - 0.5).abs() + (c - 0.25).abs() < 1e-12);
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
