//! The metal budget: how thick the metal over a prepared root gets once it is milled to a draw.
//!
//! Before the wax exists there is no outer wall. It will be milled to the draw `d` with the mill
//! taper, about the margin line, where the metal is `t0` thick. In the plane across the margin
//! line at normal-azimuth `phi` (spanned by `n` and `g`), thickness measured across the draw runs
//! linearly from `t0` at the margin to `t_top` at the top of the prep wall:
//!
//! ```text
//! t_top = t0 + L sin(psi - mu) / cos(mu),   L = height / cos(taper),   psi = atan2(n . d, g . d)
//! ```
//!
//! Derivation of `mu`, the mill taper as seen in that plane: the milled surface holds the margin's
//! tangent, so its normal `N` lies in the plane across it. Milling means `N . d = sin(mill)`. Only
//! the projection of `d` on the plane, of length `P`, enters that product; hence
//! `sin(mu) = sin(mill) / P`. `mu` equals the mill taper where the draw lies in the plane.
//!
//! Derivation of `t_top`: in the plane the prep line leaves the projected draw by `psi` (inward),
//! the milled line by `mu`. After a rise `z = L cos(psi)` along the draw they have receded by
//! `z tan(psi)` and `z tan(mu)`; the metal has gained the difference.
//!
//! In the angle `w = atan2(r . d, a . d)` at which the plane sees the draw lean, `psi = w + taper`
//! and `tan(mu) = k / sqrt(1 + tan²(w) - k²)` with `k = sin(mill) / (a . d)`: over a sector,
//! thickness depends on `phi` through `w` alone.

use super::types::{Coping, MillPlan, Side, Wall, WallBasis};
use super::wall::DrawInCoping;
use nalgebra::UnitVector3;

/// Metal thickness over one prep wall for one draw, across the draw, in mm.
///
/// Where the draw lies so flat to the margin plane (`a . d <= |sin(mill)|`) that no wall of the
/// mill taper exists all round, `least_mm` is minus and `most_mm` plus infinity: both limits break.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallMetal {
    /// Least over the wall, margin included.
    pub least_mm: f64,
    /// Most over the wall, margin included.
    pub most_mm: f64,
}

impl Coping {
    /// How the coping will be milled; `None` for a finished one.
    pub fn mill_plan(&self) -> Option<&MillPlan> {
        match &self.basis {
            WallBasis::Prep(plan) => Some(plan),
            WallBasis::Finished => None,
        }
    }

    /// Metal thickness at the top of the prep wall on `side`, at one normal-azimuth, in mm across
    /// the draw. `None` where the wall does not exist, the coping is finished, or the mill taper
    /// cannot be had (see [`WallMetal`]).
    pub fn metal_top_mm(
        &self,
        side: Side,
        azimuth_rad: f64,
        draw: &UnitVector3<f64>,
    ) -> Option<f64> {
        let plan = self.mill_plan()?;
        let seen = DrawInCoping::new(self, draw);
        let slope = MetalSlope::new(self.wall(side)?, plan, seen.along)?;
        let lean = seen.toward(azimuth_rad).atan2(seen.along);
        Some(plan.margin_thickness_mm + slope.gain_mm(lean))
    }

    /// Least and most metal over the prep wall on `side`. `None` where the wall does not exist or
    /// the coping is finished. Accurate to [`METAL_ACCURACY_MM`].
    pub fn wall_metal(&self, side: Side, draw: &UnitVector3<f64>) -> Option<WallMetal> {
        let wall = self.wall(side)?;
        let plan = self.mill_plan()?;
        let seen = DrawInCoping::new(self, draw);
        let Some(slope) = MetalSlope::new(wall, plan, seen.along) else {
            return Some(WallMetal {
                least_mm: f64::NEG_INFINITY,
                most_mm: f64::INFINITY,
            });
        };
        let lean = |azimuth_rad| seen.toward(azimuth_rad).atan2(seen.along);
        let (low, high) = slope.gain_range_mm(
            lean(seen.farthest_azimuth(side, wall)),
            lean(seen.nearest_azimuth(side, wall)),
        );
        // Linear from the margin, where the gain is 0, to the top.
        Some(WallMetal {
            least_mm: plan.margin_thickness_mm + low.min(0.0),
            most_mm: plan.margin_thickness_mm + high.max(0.0),
        })
    }
}

/// Millimetres. [`Coping::wall_metal`] is within this of the true extremes over the sector.
pub const METAL_ACCURACY_MM: f64 = 1e-9;

/// What the gain of thickness from margin to top depends on, beside the lean of the draw.
#[derive(Debug, Clone, Copy)]
pub(super) struct MetalSlope {
    /// Length of the prep's wall line.
    pub(super) line_mm: f64,
    /// Taper of the prep wall against its axis.
    pub(super) taper_rad: f64,
    /// `sin(mill) / (a . d)`, within (-1, 1).
    k: f64,
}

impl MetalSlope {
    /// `None` where the draw lies too flat for the mill taper.
    pub(super) fn new(wall: &Wall, plan: &MillPlan, along: f64) -> Option<Self> {
        let sine = plan.taper_rad.sin();
        (along > sine.abs()).then(|| Self {
            line_mm: wall.height_mm / wall.taper_rad.cos(),
            taper_rad: wall.taper_rad,
            k: sine / along,
        })
    }

    fn tan_mill(&self, tan_lean: f64) -> f64 {
        self.k / (1.0 + tan_lean * tan_lean - self.k * self.k).sqrt()
    }

    /// Thickness gained from margin to top where the draw is seen to lean by `lean`.
    fn gain_mm(&self, lean: f64) -> f64 {
        let (sin, cos) = (lean + self.taper_rad).sin_cos();
        self.line_mm * (sin - cos * self.tan_mill(lean.tan()))
    }

    /// Least and most gain over leans in `[low, high]`, to [`METAL_ACCURACY_MM`].
    ///
    /// The derivative is enclosed by interval arithmetic. Where its sign is settled the extremes
    /// are at the ends (nearly always at once: a draw leaning more toward a wall leaves more
    /// metal); else the piece is halved until the enclosure proves that nothing inside differs
    /// from the ends by more than the accuracy. No sampling density has to be trusted.
    fn gain_range_mm(&self, low: f64, high: f64) -> (f64, f64) {
        let (first, last) = (self.gain_mm(low), self.gain_mm(high));
        let mut range = (first.min(last), first.max(last));
        let mut pieces = vec![(low, high)];
        while let Some((from, to)) = pieces.pop() {
            let slope = self.slope_over(Interval::new(from, to));
            let settled = slope.low >= 0.0 || slope.high <= 0.0;
            let variation = self.line_mm * slope.low.abs().max(slope.high.abs()) * (to - from);
            let middle = f64::midpoint(from, to);
            // The last test ends at neighbouring numbers: only near the pole of tan(mu).
            if settled || variation <= METAL_ACCURACY_MM || middle <= from || middle >= to {
                continue;
            }
            let gain = self.gain_mm(middle);
            range = (range.0.min(gain), range.1.max(gain));
            pieces.push((from, middle));
            pieces.push((middle, to));
        }
        range
    }

    /// Encloses the derivative of `gain / L` with respect to the lean over a piece.
    ///
    /// Derivation: `sin(mu)` is proportional to `cos(w)`, so `mu' = -tan(mu) tan(w)`, and
    /// `d/dw [sin(psi) - cos(psi) tan(mu)]
    ///  = cos(psi) + sin(psi) tan(mu) + cos(psi) tan(mu) tan(w) / cos²(mu)`.
    fn slope_over(&self, lean: Interval) -> Interval {
        let psi = lean.plus(Interval::point(self.taper_rad));
        let tan_lean = Interval::new(lean.low.tan(), lean.high.tan());
        // |tan(mu)| falls as |tan(w)| grows.
        let (near, far) = tan_lean.magnitudes();
        let tan_mill = Interval::new(self.tan_mill(near), self.tan_mill(far));
        let secant = tan_mill.square().plus(Interval::point(1.0));
        let turn = tan_mill.times(tan_lean).times(secant);
        let cos = psi.cos();
        cos.plus(psi.sin().times(tan_mill)).plus(cos.times(turn))
    }

    /// Whether thickness is proved to grow with the lean all over `[low, high]`.
    pub(super) fn grows_over(&self, low: f64, high: f64) -> bool {
        self.slope_over(Interval::new(low, high)).low > 0.0
    }
}

/// A closed interval; enough arithmetic to enclose one derivative.
#[derive(Debug, Clone, Copy)]
struct Interval {
    low: f64,
    high: f64,
}

impl Interval {
    fn new(one: f64, other: f64) -> Self {
        Self {
            low: one.min(other),
            high: one.max(other),
        }
    }

    fn point(value: f64) -> Self {
        Self::new(value, value)
    }

    fn plus(self, other: Self) -> Self {
        Self {
            low: self.low + other.low,
            high: self.high + other.high,
        }
    }

    fn times(self, other: Self) -> Self {
        let products = [
            self.low * other.low,
            self.low * other.high,
            self.high * other.low,
            self.high * other.high,
        ];
        Self {
            low: products.iter().copied().fold(f64::INFINITY, f64::min),
            high: products.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        }
    }

    /// Least and greatest magnitude.
    fn magnitudes(self) -> (f64, f64) {
        let far = self.low.abs().max(self.high.abs());
        if self.low <= 0.0 && self.high >= 0.0 {
            (0.0, far)
        } else {
            (self.low.abs().min(self.high.abs()), far)
        }
    }

    fn square(self) -> Self {
        let (near, far) = self.magnitudes();
        Self::new(near * near, far * far)
    }

    fn cos(self) -> Self {
        use std::f64::consts::{PI, TAU};
        let ends = Self::new(self.low.cos(), self.high.cos());
        let holds = |angle: f64| {
            let turns = ((self.low - angle) / TAU).ceil();
            angle + turns * TAU <= self.high
        };
        Self {
            low: if holds(PI) { -1.0 } else { ends.low },
            high: if holds(0.0) { 1.0 } else { ends.high },
        }
    }

    fn sin(self) -> Self {
        self.plus(Self::point(-std::f64::consts::FRAC_PI_2)).cos()
    }
}
