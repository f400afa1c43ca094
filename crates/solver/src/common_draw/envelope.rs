//! `max over d of min over i of m_i . d`, for finitely many vectors, over a cap of the sphere:
//! the global maximum, whatever its sign.
//!
//! The least of the linear functions is the lower envelope of planes. On the *face* of `m_i` it is
//! `m_i . d`; the face is a convex polygon in the gnomonic chart `(x, y) = (d.x, d.y) / d.z`, cut
//! out by the half-planes `(m_j - m_i) . d >= 0`. The maximum over the sphere therefore is the
//! greatest of the faces' own maxima, and each of those is attained
//!
//! * at `m_i` itself, or where the tilt limit comes nearest to it;
//! * on an edge of the polygon, where the great circle comes nearest to `m_i`;
//! * at a corner, or where an edge meets the tilt limit.
//!
//! All of these are tried. Nothing is assumed about concavity, so negative optima (not quasi-concave
//! on the sphere) are global too.
//!
//! Vectors may be added. A face only shrinks by that, so one whose maximum has fallen below an
//! attained value never matters again and is dropped; its vector still cuts the others.

use nalgebra::{UnitVector3, Vector2, Vector3};

/// Pure number. Two values nearer than this are a tie, and the smaller tilt is preferred. No more
/// than the rounding of the products: on a smooth top a tie of `e` would already move the draw by
/// the square root of `e`.
const TIE: f64 = 1e-15;

/// Pure number. The same for the components of a direction.
const SAME_DIRECTION: f64 = 1e-13;

/// Pure number. Vectors this near are one: the half-plane between them would be rounding noise.
const SAME_VECTOR: f64 = 1e-14;

/// Pure number. Faces are kept until they fall this far below an attained value, so that rounding
/// never drops the one that holds the maximum.
const SPARED: f64 = 1e-11;

/// Pure number. A corner beyond the rim of the cap by no more than this part of its radius lies on
/// it: separates rounding from outside, for optima exactly at the tilt limit.
const RIM: f64 = 1e-13;

/// The cap `angle(d, z) <= limit`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cap {
    pub(super) limit_rad: f64,
    pub(super) sin: f64,
    pub(super) cos: f64,
    tan: f64,
}

impl Cap {
    pub(super) fn new(limit_rad: f64) -> Self {
        let (sin, cos) = limit_rad.sin_cos();
        Self {
            limit_rad,
            sin,
            cos,
            tan: limit_rad.tan(),
        }
    }
}

/// A value and where it is attained.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peak {
    pub(super) value: f64,
    pub(super) direction: UnitVector3<f64>,
}

impl Peak {
    /// The greater value; among ties the smaller tilt, then the smaller x, then y.
    pub(super) fn better_than(&self, other: &Self) -> bool {
        let (d, e) = (&self.direction, &other.direction);
        if (self.value - other.value).abs() > TIE {
            self.value > other.value
        } else if (d.z - e.z).abs() > SAME_DIRECTION {
            d.z > e.z
        } else if (d.x - e.x).abs() > SAME_DIRECTION {
            d.x < e.x
        } else {
            d.y < e.y
        }
    }
}

/// The part of the cap where one vector is the least.
#[derive(Debug)]
struct Face {
    vector: usize,
    /// Corners in the gnomonic chart, counter-clockwise.
    corners: Vec<Vector2<f64>>,
    peak: Peak,
}

/// The lower envelope of the vectors added so far.
#[derive(Debug)]
pub(super) struct Envelope {
    cap: Cap,
    vectors: Vec<Vector3<f64>>,
    faces: Vec<Face>,
}

impl Envelope {
    pub(super) fn new(cap: Cap) -> Self {
        Self {
            cap,
            vectors: Vec::new(),
            faces: Vec::new(),
        }
    }

    /// Adds vectors, but for those that are there already; faces that cannot beat `attained` are
    /// dropped.
    pub(super) fn add(&mut self, new: &[Vector3<f64>], attained: f64) {
        let old = self.vectors.len();
        for vector in new {
            if self
                .vectors
                .iter()
                .all(|v| (v - vector).norm() > SAME_VECTOR)
            {
                self.vectors.push(*vector);
            }
        }
        let floor = attained - SPARED;
        let (cap, vectors) = (self.cap, &self.vectors);
        self.faces.retain_mut(|face| {
            let mut changed = false;
            for other in &vectors[old..] {
                changed |= clip(&mut face.corners, &(other - vectors[face.vector]));
            }
            if changed {
                match peak_of_face(&cap, &vectors[face.vector], &face.corners) {
                    Some(peak) => face.peak = peak,
                    None => return false,
                }
            }
            face.peak.value >= floor
        });
        for vector in old..self.vectors.len() {
            let mut corners = self.square();
            for (other, m) in self.vectors.iter().enumerate() {
                if other != vector && !corners.is_empty() {
                    clip(&mut corners, &(m - self.vectors[vector]));
                }
            }
            if let Some(peak) = peak_of_face(&self.cap, &self.vectors[vector], &corners)
                && peak.value >= floor
            {
                self.faces.push(Face {
                    vector,
                    corners,
                    peak,
                });
            }
        }
    }

    /// The maximum; `None` before any vector was added.
    pub(super) fn peak(&self) -> Option<Peak> {
        let mut best: Option<Peak> = None;
        for face in &self.faces {
            if best.is_none_or(|best| face.peak.better_than(&best)) {
                best = Some(face.peak);
            }
        }
        best
    }

    /// A square around the cap in the chart.
    fn square(&self) -> Vec<Vector2<f64>> {
        let half = self.cap.tan * (1.0 + 1e-9);
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(x, y)| Vector2::new(x * half, y * half))
            .to_vec()
    }
}

/// Cuts a convex polygon by `plane . (x, y, 1) >= 0`; tells whether anything went.
fn clip(corners: &mut Vec<Vector2<f64>>, plane: &Vector3<f64>) -> bool {
    let height = |p: &Vector2<f64>| plane.x * p.x + plane.y * p.y + plane.z;
    if corners.iter().all(|p| height(p) >= 0.0) {
        return false;
    }
    let mut kept = Vec::with_capacity(corners.len() + 1);
    for (i, p) in corners.iter().enumerate() {
        let q = &corners[(i + 1) % corners.len()];
        let (at_p, at_q) = (height(p), height(q));
        if at_p >= 0.0 {
            kept.push(*p);
        }
        if (at_p >= 0.0) != (at_q >= 0.0) {
            kept.push(p + (q - p) * (at_p / (at_p - at_q)));
        }
    }
    *corners = kept;
    true
}

/// The greatest `m . d` over the directions of a polygon within the cap; `None` where it is empty.
fn peak_of_face(cap: &Cap, m: &Vector3<f64>, corners: &[Vector2<f64>]) -> Option<Peak> {
    if corners.is_empty() {
        return None;
    }
    let mut best: Option<Peak> = None;
    let mut offer = |direction: UnitVector3<f64>| {
        let peak = Peak {
            value: m.dot(&direction),
            direction,
        };
        if best.is_none_or(|best| peak.better_than(&best)) {
            best = Some(peak);
        }
    };
    if m.z > 0.0 {
        let own = Vector2::new(m.x, m.y) / m.z;
        if own.norm() <= cap.tan && inside(corners, &own) {
            offer(lift(&own));
        }
    }
    if let Some(way) = Vector2::new(m.x, m.y).try_normalize(0.0) {
        let rim = way * cap.tan;
        if inside(corners, &rim) {
            offer(UnitVector3::new_unchecked(Vector3::new(
                way.x * cap.sin,
                way.y * cap.sin,
                cap.cos,
            )));
        }
    }
    for (i, p) in corners.iter().enumerate() {
        let q = &corners[(i + 1) % corners.len()];
        let off_axis = p.norm();
        if off_axis <= cap.tan {
            offer(lift(p));
        } else if off_axis <= cap.tan * (1.0 + RIM) {
            offer(on_rim(cap, p));
        }
        let along = q - p;
        let length_squared = along.norm_squared();
        if length_squared <= 0.0 {
            continue;
        }
        if let Some(nearest) = nearest_on_line(m, p, q) {
            let t = (nearest - p).dot(&along) / length_squared;
            if (0.0..=1.0).contains(&t) && nearest.norm() <= cap.tan {
                offer(lift(&nearest));
            }
        }
        // Where the edge meets the rim: |p + t along|² = tan².
        let closest = -p.dot(&along) / length_squared;
        let rim_squared = cap.tan * cap.tan;
        let reach_squared = rim_squared - (p + along * closest).norm_squared();
        if reach_squared >= -RIM * rim_squared && rim_squared > 0.0 {
            let reach = (reach_squared.max(0.0) / length_squared).sqrt();
            for t in [closest - reach, closest + reach] {
                if (0.0..=1.0).contains(&t) {
                    offer(on_rim(cap, &(p + along * t)));
                }
            }
        }
    }
    best
}

/// The direction of a point of the chart.
fn lift(p: &Vector2<f64>) -> UnitVector3<f64> {
    UnitVector3::new_normalize(Vector3::new(p.x, p.y, 1.0))
}

/// The same for a point on the rim, without its rounding: never outside the cap.
fn on_rim(cap: &Cap, p: &Vector2<f64>) -> UnitVector3<f64> {
    let way = p / p.norm();
    UnitVector3::new_unchecked(Vector3::new(way.x * cap.sin, way.y * cap.sin, cap.cos))
}

/// Whether a point lies in a convex polygon. A polygon worn down to an edge or a point holds
/// nothing but what its corners and edges offer by themselves; its bounds keep the rounding of its
/// sides from claiming more.
fn inside(corners: &[Vector2<f64>], point: &Vector2<f64>) -> bool {
    let [mut low, mut high] = [f64::INFINITY, f64::NEG_INFINITY].map(Vector2::repeat);
    for corner in corners {
        low = low.inf(corner);
        high = high.sup(corner);
    }
    let within = |value: f64, from: f64, to: f64| from < value && value < to;
    within(point.x, low.x, high.x)
        && within(point.y, low.y, high.y)
        && corners.iter().enumerate().all(|(i, p)| {
            let q = &corners[(i + 1) % corners.len()];
            (q - p).perp(&(point - p)) >= 0.0
        })
}

/// Where the great circle through two chart points comes nearest to `m`, in the chart; where `m`
/// is its pole (opposite parallel walls: the value is the same all along) where it comes nearest
/// to +z. `None` where that is beyond the horizon.
fn nearest_on_line(m: &Vector3<f64>, p: &Vector2<f64>, q: &Vector2<f64>) -> Option<Vector2<f64>> {
    let pole = Vector3::new(p.x, p.y, 1.0)
        .cross(&Vector3::new(q.x, q.y, 1.0))
        .try_normalize(0.0)?;
    let mut nearest = m - pole * m.dot(&pole);
    if nearest.norm() <= 1e-12 * m.norm() {
        nearest = Vector3::z() - pole * pole.z;
    }
    (nearest.z > 0.0).then(|| Vector2::new(nearest.x, nearest.y) / nearest.z)
}
