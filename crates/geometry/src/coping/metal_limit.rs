//! How far a draw may turn before the metal over a prep wall gets too thin or too thick.
//!
//! At one normal-azimuth the draws at which the top of the wall is exactly `t` thick form a curve
//! on the sphere. With `w` the lean of the draw seen in the plane across the margin line (see
//! `metal`) and `b` its angle out of that plane,
//!
//! ```text
//! w = W(b) = mu(b) - asin(((t0 - t) / L) cos(mu(b))) - taper,     sin(mu(b)) = sin(mill) / cos(b)
//! ```
//!
//! For a fixed `mu` this is the great circle `n_beta . d = 0` of the wall of taper `taper - beta`.
//! `mu` changes along it by a second-order amount, so the nearest point is found by a fixed point
//! on `b`: with `D = w0 - W(b)`, the spherical distance from `(w0, b0)` to `(W(b), b)` is
//! stationary where
//!
//! ```text
//! tan(b) = (tan(b0) + sin(D) W'(b)) / cos(D),     W' = mu' (1 + q sin(mu) / sqrt(1 - q² cos²(mu)))
//! ```
//!
//! with `mu' = tan(mu) tan(b)` and `q = (t0 - t) / L`. The iteration contracts by about
//! `D tan(mu)`, so a handful of steps reach the last digits.
//!
//! Over the sector, turning `phi` moves the border at the nearest point in the direction in which
//! thickness changes with `phi` there. Where thickness grows with the lean (proved by an enclosure
//! of its derivative), the nearest border is therefore that of the azimuth from which the draw
//! leans farthest away (thin limit) or to which it leans most (thick limit). Where that is not
//! proved, the sector is searched.

use super::metal::MetalSlope;
use super::types::{Coping, MillPlan, Side, Wall};
use super::wall::DrawInCoping;
use nalgebra::UnitVector3;

/// A limit on the metal over a prep wall, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MetalLimit {
    /// No thinner than this.
    AtLeast(f64),
    /// No thicker than this.
    AtMost(f64),
}

impl MetalLimit {
    fn thickness_mm(self) -> f64 {
        match self {
            Self::AtLeast(mm) | Self::AtMost(mm) => mm,
        }
    }

    /// +1 where leaning toward the wall helps.
    fn sign(self) -> f64 {
        match self {
            Self::AtLeast(_) => 1.0,
            Self::AtMost(_) => -1.0,
        }
    }
}

impl Coping {
    /// Signed angle on the sphere, in radians, from the draw to the nearest draw at which the
    /// metal over the prep wall on `side` breaks `limit`; negative when it is broken already (the
    /// draw must turn at least that far).
    ///
    /// Plus infinity where the limit cannot break, minus infinity where no draw can meet it: the
    /// margin thickness itself is beyond it, or the draw lies too flat for the mill taper. `None`
    /// where the wall does not exist or the coping is finished. Accuracy: 1e-9 rad where the
    /// border is within a right angle; beyond, an estimate that no table can reach.
    pub fn metal_allowance_rad(
        &self,
        side: Side,
        draw: &UnitVector3<f64>,
        limit: MetalLimit,
    ) -> Option<f64> {
        let wall = self.wall(side)?;
        let plan = self.mill_plan()?;
        let beyond = limit.sign() * (plan.margin_thickness_mm - limit.thickness_mm());
        if beyond < -crate::tolerance::MET_MM {
            return Some(f64::NEG_INFINITY);
        }
        let seen = DrawInCoping::new(self, draw);
        let Some(slope) = MetalSlope::new(wall, plan, seen.along) else {
            return Some(f64::NEG_INFINITY);
        };
        let border = Border {
            seen,
            taper_rad: wall.taper_rad,
            sin_mill: plan.taper_rad.sin(),
            reserve: (plan.margin_thickness_mm - limit.thickness_mm()) / slope.line_mm,
            sign: limit.sign(),
        };
        Some(border.nearest_over(side, wall, plan))
    }
}

/// The border of one limit on one wall, asked from one draw.
struct Border {
    seen: DrawInCoping,
    taper_rad: f64,
    sin_mill: f64,
    /// `(t0 - t) / L`.
    reserve: f64,
    sign: f64,
}

/// The nearest border point of one azimuth.
struct Foot {
    allowance_rad: f64,
    lean: f64,
    along: f64,
}

impl Border {
    fn nearest_over(&self, side: Side, wall: &Wall, plan: &MillPlan) -> f64 {
        let (far, near) = (
            self.seen.farthest_azimuth(side, wall),
            self.seen.nearest_azimuth(side, wall),
        );
        let foot = self.foot(if self.sign > 0.0 { far } else { near });
        if !foot.allowance_rad.is_finite() {
            return foot.allowance_rad;
        }
        let leans = [far, near].map(|phi| self.seen.toward(phi).atan2(self.seen.along));
        let low = leans[0].min(leans[1]).min(foot.lean);
        let high = leans[0].max(leans[1]).max(foot.lean);
        let proved = MetalSlope::new(wall, plan, self.seen.along.min(foot.along))
            .is_some_and(|slope| slope.grows_over(low, high));
        if proved {
            foot.allowance_rad
        } else {
            self.search(side, wall)
        }
    }

    /// The nearest border over the sector by sampling and golden-section refinement. Only reached by
    /// extreme mill tapers and leans.
    ///
    /// Derivation of the steps: turning `phi` turns the border about the axis, which is as good as turning
    /// the draw the other way; that moves it by no more than the sine of its angle to the axis. So from a
    /// value above the least one known a step may be as long as takes it down to that: nothing that sampling
    /// at the least step would find is missed.
    fn search(&self, side: Side, wall: &Wall) -> f64 {
        const STEPS: f64 = 180.0;
        // Halvings by the golden ratio: the azimuth to 1e-8 of a step, the least value to the last digits.
        const ROUNDS: u32 = 38;
        let start = side.azimuth_rad() - wall.half_sector_rad;
        let end = start + 2.0 * wall.half_sector_rad;
        let step = (end - start) / STEPS;
        let rate = self.seen.across.abs();
        let value = |phi: f64| self.foot(phi).allowance_rad;
        let mut best = (value(start), start);
        for phi in [f64::midpoint(start, end), end] {
            let found = value(phi);
            if found < best.0 {
                best = (found, phi);
            }
        }
        let mut phi = start;
        while phi < end {
            let found = value(phi);
            if found < best.0 {
                best = (found, phi);
            }
            phi += step.max((found - best.0) / rate);
        }
        let (mut low, mut high) = ((best.1 - step).max(start), (best.1 + step).min(end));
        let inverse_golden = 0.5 * (5.0_f64.sqrt() - 1.0);
        let split = |low: f64, high: f64| {
            let span = inverse_golden * (high - low);
            [high - span, low + span]
        };
        let mut at = split(low, high);
        let mut values = at.map(value);
        for _ in 0..ROUNDS {
            if values[0] < values[1] {
                high = at[1];
                at = [split(low, high)[0], at[0]];
                values = [value(at[0]), values[0]];
            } else {
                low = at[0];
                at = [at[1], split(low, high)[1]];
                values = [values[1], value(at[1])];
            }
        }
        best.0.min(values[0]).min(values[1])
    }

    /// The nearest point of the border of azimuth `phi`.
    fn foot(&self, phi: f64) -> Foot {
        // The draw in this azimuth's plane: lean w0 within it, angle b0 out of it.
        let out = (phi - self.seen.azimuth_rad).sin() * -self.seen.across;
        let inside = self.seen.toward(phi);
        let (w0, b0) = (
            inside.atan2(self.seen.along),
            out.atan2(inside.hypot(self.seen.along)),
        );
        let (sin_b0, cos_b0) = b0.sin_cos();
        let fixed = |allowance_rad: f64| Foot {
            allowance_rad,
            lean: w0,
            along: self.seen.along,
        };
        match self.border_lean(b0) {
            Lean::Always => return fixed(f64::INFINITY),
            Lean::Never => return fixed(f64::NEG_INFINITY),
            Lean::At(..) => {}
        }
        let mut b = b0;
        let mut lean = w0;
        for _ in 0..40 {
            let Lean::At(border, slope) = self.border_lean(b) else {
                break;
            };
            lean = border;
            let (sin_d, cos_d) = (w0 - border).sin_cos();
            if cos_d <= 0.05 {
                // Nearly a right angle away: no table gets there.
                break;
            }
            let next = (sin_b0 + cos_b0 * sin_d * slope).atan2(cos_b0 * cos_d);
            let moved = (next - b).abs();
            b = next;
            if moved <= 1e-14 {
                break;
            }
        }
        // Haversine: exact for short distances.
        let (up, turn) = ((0.5 * (b - b0)).sin(), (0.5 * (w0 - lean)).sin());
        let half = (up * up + b.cos() * cos_b0 * turn * turn).sqrt();
        let met = self.sign * (w0 - self.lean_or(b0, lean));
        Foot {
            allowance_rad: (2.0 * half.min(1.0).asin()).copysign(met),
            lean,
            along: b.cos() * lean.cos(),
        }
    }

    /// `W(b)`, or `otherwise` where there is no border.
    fn lean_or(&self, b: f64, otherwise: f64) -> f64 {
        match self.border_lean(b) {
            Lean::At(lean, _) => lean,
            Lean::Always | Lean::Never => otherwise,
        }
    }

    /// `W(b)` and `W'(b)`.
    fn border_lean(&self, b: f64) -> Lean {
        let sin_mill = self.sin_mill / b.cos();
        if sin_mill.abs() >= 1.0 {
            return Lean::Never;
        }
        let mill = sin_mill.asin();
        let cos_mill = mill.cos();
        let argument = self.reserve * cos_mill;
        if argument.abs() >= 1.0 {
            return if self.sign * argument > 0.0 {
                Lean::Always
            } else {
                Lean::Never
            };
        }
        let mill_slope = sin_mill / cos_mill * b.tan();
        let rate = 1.0 + self.reserve * sin_mill / (1.0 - argument * argument).sqrt();
        Lean::At(mill - argument.asin() - self.taper_rad, mill_slope * rate)
    }
}

/// Where the border of one azimuth lies.
enum Lean {
    /// The limit is met whatever the draw.
    Always,
    /// The limit is never met.
    Never,
    /// At this lean, which changes at this rate with the angle out of the plane.
    At(f64, f64),
}
