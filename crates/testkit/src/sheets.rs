//! Sheets: a straight flank that leans over a sulcus and a floor, drawn out along y, whose undercut
//! depth is known in closed form.
//!
//! In section (x, z) the crest is level at z = 0 and ends in a rim at the origin. Below the rim the
//! flank leans in by `flank` until it is `height` below, runs into the sulcus, an arc of `sulcus`
//! radius that touches flank and floor, and the floor goes out from there, rising by `floor`.
//!
//! Derivation. Let the draw lean by `delta` toward +x, `e = (cos delta, -sin delta)` be the direction
//! across it, and all surface but the flank and the arc next to it face the draw. What lies on the far
//! side of the rim across the draw (`e · x > 0`) is free. From a point p on the near side the way that
//! goes up until it meets the flank and on along it, to the rim, strays from the line through p by at
//! most `-e · p`, and no way to the free side strays less. So `u(p) = max(0, -e · p)`, whatever the
//! floor does farther out. On the flank, h below the rim: `-e · p = h sin(flank - delta) / cos(flank)`.
//! On the arc about C, `p = C - r n` with n the outward normal, `-e · p` is greatest at n = e; C is the
//! flank's foot plus `r n_flank`, and `n_flank · e = cos(flank - delta)`. So the deepest is
//!
//! ```text
//! height sin(flank - delta) / cos(flank) + r (1 - cos(flank - delta))
//! ```
//!
//! A scan deformed by at most e changes u by at most 2 e.

use crate::solids::{ProfilePoint, Solid, extrude, profile};

/// A sheet. Lengths in mm, angles in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// How far the flank leans in, from the upright.
    pub flank: f64,
    /// How far the flank's foot lies below the rim.
    pub height: f64,
    /// How far the floor rises outward from the level; negative: falls.
    pub floor: f64,
    /// Radius of the sulcus; 0 for a sharp one.
    pub sulcus: f64,
    /// Longest edge of a facet, in section and along y.
    pub step: f64,
    /// No vertex is moved farther than this.
    pub noise: f64,
    /// Seed of the noise.
    pub seed: u64,
}

/// How far the floor goes out, the crest in, and the whole along y.
const FLOOR_MM: f64 = 12.0;
const CREST_MM: f64 = 4.0;
/// A sheet's length along y.
pub const LENGTH_MM: f64 = 30.0;

impl Sheet {
    fn foot(&self) -> ProfilePoint {
        [-self.height * self.flank.tan(), -self.height]
    }

    /// A place of the sulcus, by the angle of the outward normal from +x.
    fn on_sulcus(&self, angle: f64) -> ProfilePoint {
        let foot = self.foot();
        let r = self.sulcus;
        [
            foot[0] + r * (self.flank.cos() - angle.cos()),
            foot[1] + r * (-self.flank.sin() - angle.sin()),
        ]
    }

    /// The angles of the sulcus's normals, from the flank's to the floor's.
    fn normals(&self) -> [f64; 2] {
        [-self.flank, std::f64::consts::FRAC_PI_2 + self.floor]
    }

    fn steps(&self) -> u32 {
        let [from, to] = self.normals();
        let mut steps = 4;
        while f64::from(steps) * self.step < self.sulcus * (to - from) {
            steps += 1;
        }
        steps
    }

    /// How far the middle of a chord of the sulcus lies off the arc.
    pub fn sagitta(&self) -> f64 {
        let [from, to] = self.normals();
        self.sulcus * (1.0 - (0.5 * (to - from) / f64::from(self.steps())).cos())
    }

    /// The sheet, as a mesh. Outside is up and toward +x.
    pub fn solid(&self) -> Solid {
        let [from, to] = self.normals();
        let start = self.on_sulcus(to);
        let end = [
            start[0] + FLOOR_MM * self.floor.cos(),
            start[1] + FLOOR_MM * self.floor.sin(),
        ];
        let mut points = profile(&[end, start], self.step);
        if self.sulcus > 0.0 {
            let steps = self.steps();
            points.extend((1..=steps).map(|i| {
                let share = f64::from(i) / f64::from(steps);
                self.on_sulcus(to + (from - to) * share)
            }));
        }
        let mut rest = profile(&[self.foot(), [0.0, 0.0], [-CREST_MM, 0.0]], self.step);
        rest.remove(0);
        points.extend(rest);
        let mut rows = 1;
        while f64::from(rows) * self.step < LENGTH_MM {
            rows += 1;
        }
        jittered(extrude(&points, LENGTH_MM, rows), self.noise, self.seed)
    }

    /// Depth of a point (x, z) of the clean sheet for a draw that leans by `lean` toward +x.
    pub fn depth(at: ProfilePoint, lean: f64) -> f64 {
        (at[1] * lean.sin() - at[0] * lean.cos()).max(0.0)
    }

    /// The greatest depth.
    pub fn deepest(&self, lean: f64) -> f64 {
        let under = self.flank - lean;
        if under <= 0.0 {
            return 0.0;
        }
        self.height * under.sin() / self.flank.cos() + self.sulcus * (1.0 - under.cos())
    }

    /// Length of the section that is deeper than this.
    fn length_deeper(&self, u: f64, lean: f64) -> f64 {
        let under = self.flank - lean;
        let at_foot = self.height * under.sin() / self.flank.cos();
        let on_flank = ((at_foot - u) / under.sin()).clamp(0.0, self.height / self.flank.cos());
        // On the arc: u = deepest - r (1 - cos of the normal's angle from e), e at the angle -lean.
        let [from, to] = self.normals();
        let spare = (self.deepest(lean) - u).max(0.0);
        let half = if self.sulcus > 0.0 {
            (1.0 - spare / self.sulcus).clamp(-1.0, 1.0).acos()
        } else {
            0.0
        };
        let on_arc = self.sulcus * ((to.min(half - lean)) - from.max(-half - lean)).max(0.0);
        let at_end = Self::depth(self.on_sulcus(to), lean);
        let on_floor = ((at_end - u) / (self.floor + lean).cos()).clamp(0.0, FLOOR_MM);
        on_flank + on_arc + on_floor
    }

    /// The depth of a zone that holds everything within a width along y: what 0.1 mm² is deeper than.
    pub fn zone_depth(&self, width: f64, lean: f64) -> f64 {
        if self.flank <= lean {
            return 0.0;
        }
        let (mut low, mut high) = (0.0, self.deepest(lean));
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if width * self.length_deeper(middle, lean) >= 0.1 {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }
}

/// Seeded noise with a bound: every vertex moves to a random place within a ball.
pub fn jittered(solid: Solid, at_most: f64, seed: u64) -> Solid {
    use nalgebra::Vector3;
    use rand::{RngExt, SeedableRng};
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
    let mut side = move || 2.0 * random.random::<f64>() - 1.0;
    let mut ball = move || {
        loop {
            let v = Vector3::new(side(), side(), side());
            if v.norm_squared() <= 1.0 {
                return v;
            }
        }
    };
    Solid {
        vertices: solid
            .vertices
            .iter()
            .map(|p| p + ball() * at_most)
            .collect(),
        triangles: solid.triangles,
    }
}
