//! The curve of the ridge crest in the occlusal view.
//!
//! `y = apex_y − a (cosh(x / b) − 1)`: a hanging chain, stretched to pass through two places given
//! as (half the distance between right and left, distance behind the midline crest). The classic
//! catenary description of the dental arch; a and b free because canines and molars are given.

use nalgebra::{Point2, UnitVector2, Vector2};

/// Where a point of the occlusal view lies against the arch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ArchPlace {
    /// Length along the crest from the midline, mm; positive toward +x.
    pub(super) along: f64,
    /// Distance from the crest, mm; positive toward lip and cheek.
    pub(super) out: f64,
}

/// A point of the crest, with its directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CrestPoint {
    /// The point.
    pub(super) at: Point2<f64>,
    /// Along the crest, toward +x.
    pub(super) tangent: UnitVector2<f64>,
    /// Toward lip and cheek.
    pub(super) outward: UnitVector2<f64>,
}

/// The crest curve, symmetric about x = 0.
#[derive(Debug, Clone)]
pub(super) struct Arch {
    apex_y: f64,
    a: f64,
    b: f64,
    /// The curve at even steps of length on the +x half, from the midline.
    table: Vec<Point2<f64>>,
}

/// Millimetres between entries of the length table.
/// Tuned: at 1 mm the inverse by linear steps is within 0.002 mm of the true length, far below
/// what a profile along the arch shows; coarser tables bend the profiles visibly.
const STEP_MM: f64 = 1.0;
/// Entries of the length table: 90 mm of crest on each half; the cast is trimmed well before.
const TABLE: usize = 91;

impl Arch {
    /// The arch whose midline crest is at `apex_y` and which passes through `near` and `far`
    /// (half width, depth behind the midline), `near` being the more anterior.
    ///
    /// The two must bend more than a parabola would (`far` depth over `near` depth greater than
    /// the square of the ratio of their half widths), as dental arches do.
    pub(super) fn through(apex_y: f64, near: (f64, f64), far: (f64, f64)) -> Self {
        let ratio = far.1 / near.1;
        let (mut low, mut high) = (1.0, 200.0);
        for _ in 0..100 {
            let b = f64::midpoint(low, high);
            if sag(far.0 / b) / sag(near.0 / b) > ratio {
                low = b;
            } else {
                high = b;
            }
        }
        let b = f64::midpoint(low, high);
        let mut arch = Self {
            apex_y,
            a: near.1 / sag(near.0 / b),
            b,
            table: Vec::new(),
        };
        arch.table = arch.length_table();
        arch
    }

    /// Height of the curve at an x, with its first and second derivative.
    fn curve(&self, x: f64) -> (f64, f64, f64) {
        let grown = (x / self.b).exp();
        let (sinh, cosh) = (0.5 * (grown - 1.0 / grown), 0.5 * (grown + 1.0 / grown));
        let steep = self.a / self.b;
        (
            self.apex_y - self.a * (cosh - 1.0),
            -steep * sinh,
            -steep / self.b * cosh,
        )
    }

    /// Steps the crest by even lengths (midpoint rule, 20 steps a millimetre).
    fn length_table(&self) -> Vec<Point2<f64>> {
        const SUBSTEPS: u32 = 20;
        let fine = STEP_MM / f64::from(SUBSTEPS);
        let run = |x: f64| fine / self.curve(x).1.hypot(1.0);
        let mut x = 0.0;
        let mut table = Vec::with_capacity(TABLE);
        while table.len() < TABLE {
            table.push(Point2::new(x, self.curve(x).0));
            for _ in 0..SUBSTEPS {
                x += run(x + 0.5 * run(x));
            }
        }
        table
    }

    /// The crest at a length along it (positive toward +x), clamped to the table.
    pub(super) fn at(&self, along: f64) -> CrestPoint {
        let steps = along.abs() / STEP_MM;
        let upper = self.entry_beyond(|index, _| index as f64 <= steps);
        let (x0, x1) = (self.table[upper - 1].x, self.table[upper].x);
        let t = (steps - (upper - 1) as f64).min(1.0);
        self.at_x((x0 + (x1 - x0) * t).copysign(along))
    }

    /// The crest at an x.
    pub(super) fn at_x(&self, x: f64) -> CrestPoint {
        let (y, slope, _) = self.curve(x);
        let tangent = UnitVector2::new_normalize(Vector2::new(1.0, slope));
        CrestPoint {
            at: Point2::new(x, y),
            tangent,
            outward: UnitVector2::new_unchecked(Vector2::new(-tangent.y, tangent.x)),
        }
    }

    /// Length along the crest from the midline to an x; odd in x.
    pub(super) fn length_to(&self, x: f64) -> f64 {
        let upper = self.entry_beyond(|_, entry| entry.x <= x.abs());
        let (x0, x1) = (self.table[upper - 1].x, self.table[upper].x);
        let t = ((x.abs() - x0) / (x1 - x0)).min(1.0);
        (((upper - 1) as f64 + t) * STEP_MM).copysign(x)
    }

    /// Index of the first table entry that is not `before`, at least 1 and at most the last.
    fn entry_beyond(&self, before: impl Fn(usize, &Point2<f64>) -> bool) -> usize {
        let (mut low, mut high) = (1, TABLE - 1);
        while low < high {
            let middle = usize::midpoint(low, high);
            if before(middle, &self.table[middle]) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        low
    }

    /// The place of a point against the arch: true distance to the crest curve.
    ///
    /// `out` is continuous everywhere. `along` changes sign across the midline behind the centre
    /// of curvature of the front, so nothing may depend on it there.
    pub(super) fn place(&self, x: f64, y: f64) -> ArchPlace {
        // Coarse: the nearest of every third table entry brackets the foot of the perpendicular.
        const STRIDE: usize = 3;
        // The distance is level at its foot: an error in x changes it by its square.
        const FOOT_MM: f64 = 1e-7;
        let u = x.abs();
        let mut best = (f64::INFINITY, 0);
        for (index, entry) in self.table.iter().enumerate().step_by(STRIDE) {
            let distance = (entry.x - u).powi(2) + (entry.y - y).powi(2);
            if distance < best.0 {
                best = (distance, index);
            }
        }
        let mut low = self.table[best.1.saturating_sub(STRIDE)].x;
        let mut high = self.table[(best.1 + STRIDE).min(TABLE - 1)].x;
        // Newton on the tangential offset, kept inside the bracket by bisection.
        let mut t = self.table[best.1].x;
        let mut distance = best.0.sqrt();
        for _ in 0..40 {
            let (height, slope, curvature) = self.curve(t);
            let (dx, dy) = (t - u, height - y);
            distance = dx.hypot(dy);
            let offset = dx + dy * slope;
            if offset > 0.0 {
                high = t;
            } else {
                low = t;
            }
            let newton = t - offset / (1.0 + slope * slope + dy * curvature);
            let next = if newton > low && newton < high {
                newton
            } else {
                f64::midpoint(low, high)
            };
            if (next - t).abs() < FOOT_MM {
                break;
            }
            t = next;
        }
        ArchPlace {
            along: self.length_to(t).copysign(x),
            out: if y > self.curve(u).0 {
                distance
            } else {
                -distance
            },
        }
    }
}

/// cosh(t) − 1 without cancellation.
fn sag(t: f64) -> f64 {
    2.0 * (0.5 * t).sinh().powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lower() -> Arch {
        Arch::through(20.0, (12.75, 5.5), (24.0, 28.0))
    }

    #[test]
    fn passes_through_the_given_places() {
        let arch = lower();
        assert!((arch.at_x(12.75).at.y - 14.5).abs() < 1e-9);
        assert!((arch.at_x(-24.0).at.y + 8.0).abs() < 1e-9);
        assert!((arch.at(0.0).at - Point2::new(0.0, 20.0)).norm() < 1e-12);
    }

    #[test]
    fn place_agrees_with_a_dense_search() {
        let arch = lower();
        for (x, y) in [
            (3.0, 25.0),
            (-20.0, 10.0),
            (27.0, -15.0),
            (10.0, 5.0),
            (-1.0, -10.0),
            (33.0, -2.0),
        ] {
            let nearest = (0..200_000)
                .map(|i| {
                    let t = -30.0 + f64::from(i) * 3e-4;
                    (t - x).hypot(arch.curve(t).0 - y)
                })
                .fold(f64::INFINITY, f64::min);
            let place = arch.place(x, y);
            assert!(
                (place.out.abs() - nearest).abs() < 1e-5,
                "at {x}, {y}: {place:?}, {nearest}"
            );
        }
    }

    #[test]
    fn place_undoes_at() {
        let arch = lower();
        for along in [-40.0_f64, -13.2, 0.5, 20.0, 47.3] {
            for out in [-4.0, 0.0, 6.0] {
                let crest = arch.at(along);
                let p = crest.at + crest.outward.into_inner() * out;
                let place = arch.place(p.x, p.y);
                assert!(
                    (place.along - along).abs() < 0.005,
                    "{along} {out} {place:?}"
                );
                assert!((place.out - out).abs() < 1e-6, "{along} {out} {place:?}");
            }
        }
    }
}
