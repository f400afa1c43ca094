//! A stone cast of a jaw as a solid: ridge, sulcus and land, palate, trimmed outline and base,
//! and the copings or prepared roots that stand on the ridge.
//!
//! The ridge is the sweep of a cross-section along the arch. In the section, `out` is the distance
//! from the crest line toward lip and cheek and `depth` the depth below the crest:
//!
//! ```text
//!                 crest
//!               .--------.
//!    lingual   (          )   labial: bulges over
//!      side    |         /    the recess below it
//!              |        (
//!   floor ____/          \__        ____ land
//!                           \______/
//!                            sulcus
//! ```
//!
//! The recess is what makes the labial or buccal undercut; its full depth is a number of the plan.

use super::arch::{Arch, ArchPlace};
use super::blend::{bump, intersection, knots, step, union};
use super::implicit::Implicit;
use super::stump::Stump;
use super::texture::Texture;
use nalgebra::{Point2, Point3, Vector2, Vector3};

/// A number that changes along the ridge: (length from the midline, value), the same on both
/// sides, in mm.
pub(super) type Along = &'static [(f64, f64)];

/// The numbers of a ridge. Lengths in mm.
#[derive(Debug, Clone)]
pub(super) struct RidgePlan {
    /// Height of the crest.
    pub(super) crest: Along,
    /// Half width toward lip and cheek, and toward tongue and palate.
    pub(super) labial: Along,
    pub(super) lingual: Along,
    /// How far the labial side recedes below the crest's bulge, and the lingual side.
    pub(super) labial_recess: Along,
    pub(super) lingual_recess: Along,
    /// How fast the lingual side widens downward, mm a mm.
    pub(super) lingual_flare: f64,
    /// Height of the bottom of the labial sulcus, and of the floor on the lingual side.
    pub(super) sulcus: Along,
    pub(super) floor: Along,
}

/// The vault between the ridges of an upper cast.
#[derive(Debug, Clone, Copy)]
pub(super) struct Palate {
    /// Height of the vault's middle at the heel and at the front (y, z), mm.
    pub(super) vault: Along,
    /// Height of the rugae, mm.
    pub(super) rugae: f64,
}

/// A bulb at each end of an upper ridge: an ellipsoid that overhangs toward cheek and heel.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tuberosity {
    /// Place of its middle: length along the crest, distance out from it, height, mm.
    pub(super) along: f64,
    pub(super) out: f64,
    pub(super) z: f64,
    /// Half lengths along the crest, out from it and upright, mm.
    pub(super) radii: Vector3<f64>,
    /// How much larger the one at +x is than the one at -x, as a share.
    pub(super) plus_x_larger: f64,
}

/// What lies between the legs of a lower cast, or the roof of an upper one.
#[derive(Debug, Clone, Copy)]
pub(super) enum Middle {
    /// The tongue space is filled flat, at the lingual floor's height.
    Filled,
    /// The tongue space is cut out: the cast is a horseshoe.
    CutOut,
    /// An upper cast.
    Palate(Palate),
}

/// Everything a cast is made from.
#[derive(Debug, Clone)]
pub(super) struct CastPlan {
    pub(super) arch: Arch,
    pub(super) ridge: RidgePlan,
    pub(super) middle: Middle,
    /// The tuberosities of an upper cast.
    pub(super) tuberosity: Option<Tuberosity>,
    /// The cast is trimmed flat behind this y, and below this z.
    pub(super) heel_y: f64,
    pub(super) bottom_z: f64,
    /// Seed of the gum's texture.
    pub(super) seed: u64,
}

/// Directions, in degrees from +x, of the flats a cast's outline is trimmed to.
const FLATS_LOWER_DEG: [f64; 7] = [12.0, 35.0, 62.0, 90.0, 118.0, 145.0, 168.0];
const FLATS_UPPER_DEG: [f64; 4] = [8.0, 58.0, 122.0, 172.0];
/// Flats that take off the heel's corners.
const HEEL_CORNERS_DEG: [f64; 2] = [-45.0, 225.0];
/// Width of crest, sulcus and land beyond the crest line, mm.
const RIM_MM: f64 = 13.5;
/// Half width of the bone between crest line and tongue space of a horseshoe, mm.
const HORSESHOE_MM: f64 = 11.0;

/// A cast as a field.
#[derive(Debug, Clone)]
pub(super) struct Cast {
    plan: CastPlan,
    stumps: Vec<Stump>,
    texture: Texture,
    /// Outward direction and offset of each flat.
    flats: Vec<(Vector2<f64>, f64)>,
    bounds: [Point3<f64>; 2],
}

/// What a column of the cast knows from x and y.
#[derive(Debug, Clone, Copy)]
pub(super) struct CastColumn {
    out: f64,
    crest: f64,
    labial: f64,
    lingual: f64,
    labial_recess: f64,
    lingual_recess: f64,
    frenum: f64,
    floor: f64,
    outline: f64,
    roughness: f64,
    /// Offset from the middle of the tuberosity on this side, along the crest and out from it,
    /// with the scale of its radii.
    bulb: Option<(Vector2<f64>, f64)>,
}

impl Cast {
    /// The cast of a plan with its copings.
    pub(super) fn new(plan: CastPlan, stumps: Vec<Stump>) -> Self {
        let upper = matches!(plan.middle, Middle::Palate(_));
        let directions: &[f64] = if upper {
            &FLATS_UPPER_DEG
        } else {
            &FLATS_LOWER_DEG
        };
        let crest: Vec<Point2<f64>> = (-140..=140)
            .map(|i| plan.arch.at(0.5 * f64::from(i)).at)
            .filter(|p| p.y >= plan.heel_y)
            .collect();
        let reach = |direction: Vector2<f64>| {
            crest
                .iter()
                .map(|p| direction.dot(&p.coords))
                .fold(f64::NEG_INFINITY, f64::max)
        };
        let flat = |degrees: f64, rim: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let direction = Vector2::new(cos, sin);
            (direction, reach(direction) + rim)
        };
        let mut flats: Vec<_> = directions.iter().map(|&d| flat(d, RIM_MM)).collect();
        flats.extend(HEEL_CORNERS_DEG.map(|d| flat(d, 0.5 * RIM_MM)));
        flats.push((Vector2::new(0.0, -1.0), -plan.heel_y));
        let side = reach(Vector2::x()) + RIM_MM + 6.0;
        let front = reach(Vector2::y()) + RIM_MM + 6.0;
        let top = plan.ridge.crest.iter().map(|k| k.1).fold(0.0, f64::max) + 12.0;
        let bounds = [
            Point3::new(-side, plan.heel_y - 2.0, plan.bottom_z - 2.0),
            Point3::new(side, front, top),
        ];
        Self {
            texture: Texture::seeded(plan.seed),
            plan,
            stumps,
            flats,
            bounds,
        }
    }

    /// Distance outside the trimmed outline, in the occlusal view.
    fn outline(&self, x: f64, y: f64, out: f64) -> f64 {
        const CORNER_MM: f64 = 1.5;
        let p = Vector2::new(x, y);
        let outer = self
            .flats
            .iter()
            .map(|(direction, offset)| direction.dot(&p) - offset)
            .fold(f64::NEG_INFINITY, |a, b| {
                intersection(a.max(-1e3), b, CORNER_MM)
            });
        match self.plan.middle {
            Middle::CutOut => intersection(outer, -out - HORSESHOE_MM, CORNER_MM),
            Middle::Filled | Middle::Palate(_) => outer,
        }
    }

    /// Height of the cast beside the ridge: sulcus and land outside, floor or vault inside.
    fn floor(&self, x: f64, y: f64, place: ArchPlace, labial: f64) -> f64 {
        const LAND_RISE_MM: f64 = 2.2;
        let ridge = &self.plan.ridge;
        let along = place.along.abs();
        let sulcus = knots(ridge.sulcus, along);
        let outside = sulcus + LAND_RISE_MM * step(place.out - labial, 3.5, 7.0);
        let inside = match self.plan.middle {
            // Along loses its meaning far inside: the floor turns flat there.
            Middle::Filled | Middle::CutOut => {
                let flat = ridge.floor.first().map_or(0.0, |k| k.1);
                let near = knots(ridge.floor, along);
                flat + (near - flat) * (1.0 - step(-place.out, 7.0, 12.0))
            }
            Middle::Palate(palate) => {
                let raphe = 0.35 * bump(x, 0.0, 2.0);
                let fold = (1.9 * (y - 0.12 * x.abs())).sin();
                let window =
                    step(x.abs(), 1.0, 3.0) * (1.0 - step(x.abs(), 8.0, 12.0)) * bump(y, 10.0, 9.0);
                knots(palate.vault, y) + raphe + palate.rugae * fold * window
            }
        };
        inside + (outside - inside) * step(place.out, -2.0, 2.0)
    }

    /// The ridge, its surroundings and the texture of the gum, without copings or trimming.
    fn gum(&self, c: &CastColumn, x: f64, y: f64, z: f64) -> f64 {
        // Depths below the crest between which the sides recede and come out again.
        const BULGE_MM: f64 = 1.5;
        const DEEPEST_MM: f64 = 8.0;
        const AGAIN_MM: f64 = 8.5;
        const FOOT_MM: f64 = 12.0;
        let depth = c.crest - z;
        let recess = step(depth, BULGE_MM, DEEPEST_MM) * (1.0 - step(depth, AGAIN_MM, FOOT_MM));
        let flare = self.plan.ridge.lingual_flare;
        let labial = c.labial - c.labial_recess * recess
            + c.frenum * step(depth, 3.0, 8.0)
            + 1.2 * step(depth, AGAIN_MM, FOOT_MM + 1.0);
        let lingual = c.lingual + flare * depth.max(0.0) - c.lingual_recess * recess;
        let sides = ((c.out - labial) * 0.9).max((-c.out - lingual) / flare.hypot(1.0));
        let ridge = intersection(sides, z - c.crest, 5.0);
        let inner = if matches!(self.plan.middle, Middle::Palate(_)) {
            6.0
        } else {
            3.0
        };
        let fillet = 3.0 + (inner - 3.0) * step(-c.out, -2.0, 2.0);
        let ridge = match (self.plan.tuberosity, c.bulb) {
            (Some(bulb), Some((offset, scale))) => {
                let p = Vector3::new(offset.x, offset.y, z - bulb.z);
                union(ridge, ellipsoid(p, bulb.radii * scale), 4.0)
            }
            _ => ridge,
        };
        let p = Point3::new(x, y, z);
        let rough = 0.10 * self.texture.at(p / 6.0)
            + 0.05 * self.texture.at(p / 2.3)
            + 0.012 * self.texture.at(p / 0.8);
        union(ridge, z - c.floor, fillet) + c.roughness * rough
    }
}

impl Implicit for Cast {
    type Column = CastColumn;

    fn column(&self, x: f64, y: f64) -> CastColumn {
        let place = self.plan.arch.place(x, y);
        let ridge = &self.plan.ridge;
        let along = place.along.abs();
        let labial = knots(ridge.labial, along);
        CastColumn {
            out: place.out,
            crest: knots(ridge.crest, along),
            labial,
            lingual: knots(ridge.lingual, along),
            labial_recess: knots(ridge.labial_recess, along),
            lingual_recess: knots(ridge.lingual_recess, along),
            frenum: 1.0 * bump(place.along, 0.0, 2.0),
            floor: self.floor(x, y, place, labial),
            outline: self.outline(x, y, place.out),
            roughness: 1.0 - step(place.out - labial, 6.0, 9.0),
            bulb: self.plan.tuberosity.map(|bulb| {
                let crest = self.plan.arch.at(bulb.along.copysign(x));
                let offset = Vector2::new(x, y) - crest.at.coords;
                let scale = 1.0 + 0.5 * bulb.plus_x_larger.copysign(bulb.plus_x_larger * x);
                (
                    Vector2::new(
                        crest.tangent.dot(&offset),
                        crest.outward.dot(&offset) - bulb.out,
                    ),
                    scale,
                )
            }),
        }
    }

    fn value(&self, column: &CastColumn, x: f64, y: f64, z: f64) -> f64 {
        const TRIM_MM: f64 = 0.8;
        const CUFF_BLEND_MM: f64 = 2.0;
        const GUM_LINE_MM: f64 = 0.35;
        let p = Point3::new(x, y, z);
        let mut gum = self.gum(column, x, y, z);
        let mut stumps = f64::INFINITY;
        for stump in &self.stumps {
            let distance = stump.distance(p);
            gum = union(gum, distance.cuff, CUFF_BLEND_MM);
            stumps = stumps.min(distance.body);
        }
        let trimmed = intersection(gum, column.outline, TRIM_MM);
        let based = intersection(trimmed, self.plan.bottom_z - z, TRIM_MM);
        if stumps.is_finite() {
            union(based, stumps, GUM_LINE_MM)
        } else {
            based
        }
    }

    fn bounds(&self) -> [Point3<f64>; 2] {
        self.bounds
    }

    fn steepness(&self) -> f64 {
        // Tuned: above the greatest growth met over the samples (tested); a smaller bound tears
        // holes, a larger one only costs time.
        2.0
    }
}

/// Distance to an ellipsoid about the origin, to first order: exact on the surface with its slope.
///
/// Derivation: with `q = |p / r|` the surface is `q = 1`, and `grad q = p / (r² q)`; the distance is
/// `(q − 1) / |grad q|`.
fn ellipsoid(p: Vector3<f64>, radii: Vector3<f64>) -> f64 {
    let q = p.component_div(&radii).norm();
    let slope = p.component_div(&radii).component_div(&radii).norm();
    // At the middle both vanish: the least radius inside is near enough there.
    if slope < 1e-9 {
        return -radii.min();
    }
    q * (q - 1.0) / slope
}
