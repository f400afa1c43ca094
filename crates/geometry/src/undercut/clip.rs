//! Cutting facets to the bounds of a zone.
//!
//! Every bound is a plane: the sides of the outline's triangles stand along z, the two heights lie
//! across it, the sides of a margin polygon run along the coping's axis. So a facet stays a set of
//! convex polygons, and cutting is exact to rounding.

use super::outline::Outline;
use super::plan::Frame;
use nalgebra::{Point3, Vector3};

/// The points x with `inward . x + level >= 0`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HalfSpace {
    inward: Vector3<f64>,
    level: f64,
}

impl HalfSpace {
    /// Scaled so that levels are distances in mm. A zero `inward` bounds nothing.
    pub(crate) fn new(inward: Vector3<f64>, level: f64) -> Self {
        let length = inward.norm();
        let scale = if length > 0.0 { 1.0 / length } else { 1.0 };
        Self {
            inward: inward * scale,
            level: level * scale,
        }
    }

    pub(crate) fn level(&self, p: &Point3<f64>) -> f64 {
        self.inward.dot(&p.coords) + self.level
    }

    fn other_side(&self) -> Self {
        Self {
            inward: -self.inward,
            level: -self.level,
        }
    }
}

/// A convex polygon in space.
pub(crate) type Polygon = Vec<Point3<f64>>;

/// The part of a convex polygon in a half-space (Sutherland and Hodgman, "Reentrant polygon
/// clipping", Comm. ACM 17, 1974, 32-42; one plane).
pub(crate) fn clip(polygon: &[Point3<f64>], half: &HalfSpace) -> Polygon {
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    for (i, p) in polygon.iter().enumerate() {
        let q = &polygon[(i + 1) % polygon.len()];
        let (lp, lq) = (half.level(p), half.level(q));
        if lp >= 0.0 {
            kept.push(*p);
        }
        if (lp > 0.0 && lq < 0.0) || (lp < 0.0 && lq > 0.0) {
            kept.push(p + (q - p) * (lp / (lp - lq)));
        }
    }
    if kept.len() < 3 { Vec::new() } else { kept }
}

/// The bounds of one zone.
#[derive(Debug)]
pub(crate) struct Bounds {
    outline: Outline,
    heights: Vec<HalfSpace>,
    z_range: [f64; 2],
    /// The prism of each triangle of the outline.
    prisms: Vec<([HalfSpace; 3], Frame)>,
    /// The half-spaces of each margin that is no seat.
    margins: Vec<Vec<HalfSpace>>,
}

/// What of a facet is inside.
#[derive(Debug)]
pub(crate) enum Inside {
    Nothing,
    Whole,
    Parts(Vec<Polygon>),
}

impl Bounds {
    pub(crate) fn new(
        outline: Outline,
        z_range: Option<[f64; 2]>,
        margins: Vec<Vec<HalfSpace>>,
    ) -> Self {
        let z_range = z_range.map_or([f64::NEG_INFINITY, f64::INFINITY], |[a, b]| {
            [a.min(b), a.max(b)]
        });
        let heights = [(1.0, -z_range[0]), (-1.0, z_range[1])]
            .into_iter()
            .filter(|(_, level)| level.is_finite())
            .map(|(up, level)| HalfSpace::new(Vector3::z() * up, level))
            .collect();
        let prisms = outline
            .tiles
            .iter()
            .map(|tile| {
                let walls = [0, 1, 2].map(|i| {
                    let (a, b) = (tile[i], tile[(i + 1) % 3]);
                    let inward = Vector3::new(a[1] - b[1], b[0] - a[0], 0.0);
                    HalfSpace::new(inward, -(inward.x * a[0] + inward.y * a[1]))
                });
                (walls, Frame::around(*tile))
            })
            .collect();
        Self {
            outline,
            heights,
            z_range,
            prisms,
            margins,
        }
    }

    /// The part of a facet inside the bounds.
    pub(crate) fn of_facet(&self, corners: &[Point3<f64>; 3]) -> Inside {
        let frame = Frame::around(corners.map(|p| [p.x, p.y]));
        let [z_low, z_high] = self.z_range;
        if !frame.meets(&self.outline.frame)
            || corners.iter().all(|p| p.z < z_low)
            || corners.iter().all(|p| p.z > z_high)
        {
            return Inside::Nothing;
        }
        let near_margins: Vec<&Vec<HalfSpace>> = self
            .margins
            .iter()
            .filter(|margin| {
                // A side that has the whole facet outside keeps this margin away.
                !margin
                    .iter()
                    .any(|half| corners.iter().all(|p| half.level(p) <= 0.0))
            })
            .collect();
        let crosses = self.outline.side_meets(&corners.map(|p| [p.x, p.y]));
        if !crosses && !self.outline.contains([corners[0].x, corners[0].y]) {
            return Inside::Nothing;
        }
        let within_heights = corners.iter().all(|p| p.z >= z_low && p.z <= z_high);
        if !crosses && within_heights && near_margins.is_empty() {
            return Inside::Whole;
        }
        let mut part = corners.to_vec();
        for half in &self.heights {
            part = clip(&part, half);
        }
        let mut parts = if crosses {
            self.prisms
                .iter()
                .filter(|(_, prism)| prism.meets(&frame))
                .map(|(walls, _)| walls.iter().fold(part.clone(), |p, half| clip(&p, half)))
                .filter(|p| !p.is_empty())
                .collect()
        } else if part.is_empty() {
            Vec::new()
        } else {
            vec![part]
        };
        for margin in near_margins {
            parts = parts
                .into_iter()
                .flat_map(|part| outside_convex(part, margin))
                .collect();
        }
        if parts.is_empty() {
            Inside::Nothing
        } else {
            Inside::Parts(parts)
        }
    }

    /// Length of the part of a segment inside the bounds.
    pub(crate) fn length_of_segment(&self, a: &Point3<f64>, b: &Point3<f64>) -> f64 {
        let mut taken: Vec<[f64; 2]> = self
            .margins
            .iter()
            .filter_map(|margin| span_in(a, b, margin))
            .collect();
        taken.sort_by(|p, q| p[0].total_cmp(&q[0]));
        let share: f64 = self
            .prisms
            .iter()
            .filter_map(|(walls, _)| {
                let spans = [span_in(a, b, walls)?, span_in(a, b, &self.heights)?];
                let (low, high) = (spans[0][0].max(spans[1][0]), spans[0][1].min(spans[1][1]));
                (low < high).then(|| {
                    let mut free = 0.0;
                    let mut from = low;
                    for &[start, end] in &taken {
                        free += (start.min(high) - from).max(0.0);
                        from = from.max(end);
                    }
                    free + (high - from).max(0.0)
                })
            })
            .sum();
        share * (b - a).norm()
    }
}

/// The shares of a segment at which it enters and leaves a convex region, if it does.
fn span_in(a: &Point3<f64>, b: &Point3<f64>, region: &[HalfSpace]) -> Option<[f64; 2]> {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for half in region {
        let (la, lb) = (half.level(a), half.level(b));
        if la < 0.0 && lb < 0.0 {
            return None;
        }
        if la < 0.0 {
            low = low.max(la / (la - lb));
        } else if lb < 0.0 {
            high = high.min(la / (la - lb));
        }
    }
    (low < high).then_some([low, high])
}

/// The part of a convex polygon outside a convex region, in convex pieces.
fn outside_convex(polygon: Polygon, region: &[HalfSpace]) -> Vec<Polygon> {
    let mut pieces = Vec::new();
    let mut rest = polygon;
    for half in region {
        let outside = clip(&rest, &half.other_side());
        if !outside.is_empty() {
            pieces.push(outside);
        }
        rest = clip(&rest, half);
        if rest.is_empty() {
            break;
        }
    }
    pieces
}
