//! The surface of a coping as a mesh, and the greatest taper it can have.

use super::outline::Outline;
use super::types::{Coping, Side};
use crate::mesh::Mesh;
use nalgebra::{Point3, Vector3};
use std::f64::consts::FRAC_PI_2;

/// Whether the underside, in the margin plane, is closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum FrustumBase {
    /// Closed: the mesh is watertight.
    #[default]
    Closed,
    /// Open, to stand on a cast.
    Open,
}

/// How a coping's surface is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FrustumOptions {
    /// Equal steps of normal-azimuth around the coping, from 0 (mesial); 3 or more. Passages
    /// between walls that differ in taper get steps of their own on top.
    pub sides: u32,
    /// Steps from margin to top; 1 or more. The wall lines are straight, so one is exact.
    pub rings: u32,
    /// Whether the underside is closed.
    pub base: FrustumBase,
}

impl Default for FrustumOptions {
    /// 120 sides, 4 rings, closed.
    fn default() -> Self {
        Self {
            sides: 120,
            rings: 4,
            base: FrustumBase::Closed,
        }
    }
}

/// Why a coping has no surface.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FrustumError {
    /// A length is zero, negative or not a number.
    #[error("the {what} of coping {coping} is {value_mm} mm; it must be above 0")]
    NotPositive {
        /// Which coping.
        coping: String,
        /// Which length.
        what: &'static str,
        /// Its value.
        value_mm: f64,
    },
    /// A wall converges so much that the surface folds over below its top.
    #[error(
        "coping {coping}: the {} wall folds over below its top, with a taper of {taper_deg:.2} degrees over {height_mm:.2} mm; {}",
        side.key(),
        advice(*greatest_taper_deg)
    )]
    Folds {
        /// Which coping.
        coping: String,
        /// Which wall.
        side: Side,
        /// Its taper, per wall.
        taper_deg: f64,
        /// Its height along the axis.
        height_mm: f64,
        /// The greatest taper it may have ([`Coping::greatest_taper_rad`]).
        greatest_taper_deg: Option<f64>,
    },
    /// Too few sides or rings for a body.
    #[error("a surface needs 3 sides and 1 ring at least, not {sides} and {rings}")]
    TooCoarse {
        /// Sides asked for.
        sides: u32,
        /// Rings asked for.
        rings: u32,
    },
}

fn advice(greatest_taper_deg: Option<f64>) -> String {
    match greatest_taper_deg {
        // Rounded down: what is named must work.
        Some(deg) => format!(
            "the greatest possible taper here is {:.2} degrees; lower the taper or the height",
            (deg * 100.0).floor() / 100.0
        ),
        None => "no taper mends it; lower the height".to_owned(),
    }
}

impl Coping {
    /// Checks that the surface exists: positive lengths, and no fold up to the top of any wall.
    ///
    /// # Errors
    /// [`FrustumError::NotPositive`]; [`FrustumError::Folds`] for the first wall, in the order of
    /// sides, that is to blame for a fold (between two walls that is the steeper one).
    pub fn check_surface(&self) -> Result<(), FrustumError> {
        let lengths = [
            ("mesiodistal margin width", self.width_mesiodistal_mm),
            ("labiolingual margin width", self.width_labiolingual_mm),
            ("height", self.height_mm),
        ];
        let heights = self.existing_walls().map(|(_, w)| ("height", w.height_mm));
        for (what, value_mm) in lengths.into_iter().chain(heights) {
            if !(value_mm > 0.0 && value_mm.is_finite()) {
                return Err(FrustumError::NotPositive {
                    coping: self.id.clone(),
                    what,
                    value_mm,
                });
            }
        }
        let outline = Outline::new(self);
        let folded = self
            .existing_walls()
            .find(|(side, _)| outline.folds_at(*side));
        match folded {
            None => Ok(()),
            Some((side, wall)) => Err(FrustumError::Folds {
                coping: self.id.clone(),
                side,
                taper_deg: wall.taper_rad.to_degrees(),
                height_mm: wall.height_mm,
                greatest_taper_deg: self.greatest_taper_rad(side).map(f64::to_degrees),
            }),
        }
    }

    /// The greatest taper of the wall on `side`, per wall, at which the surface does not fold up to
    /// its top over this wall and in the passages to its neighbours; neighbours that are steeper
    /// count as brought down to it. `None` where the wall does not exist or no taper serves.
    /// Radians, to 1e-9, from below.
    pub fn greatest_taper_rad(&self, side: Side) -> Option<f64> {
        let wall = self.wall(side)?;
        let holds =
            |taper_rad: f64| !Outline::with_steepest(self, side, taper_rad).folds_about(side);
        // Downward in half degrees to the first that holds: nothing promises that holding is
        // monotonic, and a taper is named only if it holds itself.
        let step = 0.5_f64.to_radians();
        let mut folds = FRAC_PI_2 - 1e-3;
        let mut good = folds - step;
        // In the middle of the wall the radius of curvature is that of the margin less what the taper takes
        // off it: steeper ones need not be tried. The allowance is for rounding.
        let middle_mm = Outline::new(self).margin_radius(side.azimuth_rad());
        let steepest = (middle_mm / wall.height_mm).atan() + 1e-9;
        while good > steepest {
            folds = good;
            good -= step;
        }
        while !holds(good) {
            folds = good;
            good -= step;
            if good < -FRAC_PI_2 + step {
                return None;
            }
        }
        while folds - good > 1e-9 {
            let middle = f64::midpoint(good, folds);
            if holds(middle) {
                good = middle;
            } else {
                folds = middle;
            }
        }
        Some(good)
    }

    /// The surface of the coping in the cast frame: walls, top, and underside if asked for.
    /// Counter-clockwise seen from outside, for either handedness of mesial and labial.
    ///
    /// With equal tapers all round it is inscribed in the true surface (vertices on it); between
    /// unequal tapers the walls pass over into each other. Where walls differ in height the rim
    /// does, and the top is a fan about the mean of the rim.
    ///
    /// # Errors
    /// As [`Coping::check_surface`]; [`FrustumError::TooCoarse`].
    pub fn surface(&self, options: &FrustumOptions) -> Result<Mesh, FrustumError> {
        if options.sides < 3 || options.rings < 1 {
            return Err(FrustumError::TooCoarse {
                sides: options.sides,
                rings: options.rings,
            });
        }
        self.check_surface()?;
        let outline = Outline::new(self);
        let rings = options.rings;
        let azimuths = outline.azimuths(options.sides);
        let mut mesh = Mesh::default();
        for ring in 0..=rings {
            let part = f64::from(ring) / f64::from(rings);
            let ring = azimuths.iter().map(|phi| outline.point(self, *phi, part));
            mesh.vertices.extend(ring);
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "some hundred more than `sides`, a u32"
        )]
        let sides = azimuths.len() as u32;
        let at = |ring: u32, i: u32| ring * sides + i % sides;
        for ring in 0..rings {
            for i in 0..sides {
                let (low, next) = (at(ring, i), at(ring, i + 1));
                let (up, up_next) = (at(ring + 1, i), at(ring + 1, i + 1));
                mesh.triangles.push([low, next, up_next]);
                mesh.triangles.push([low, up_next, up]);
            }
        }
        let top = mean(&mesh.vertices[(rings * sides) as usize..]);
        let top_index = (rings + 1) * sides;
        mesh.vertices.push(top);
        for i in 0..sides {
            mesh.triangles
                .push([top_index, at(rings, i), at(rings, i + 1)]);
        }
        if options.base == FrustumBase::Closed {
            mesh.vertices.push(self.margin_centre);
            for i in 0..sides {
                mesh.triangles.push([top_index + 1, at(0, i + 1), at(0, i)]);
            }
        }
        if self.mesial.cross(&self.labial).dot(&self.axis) < 0.0 {
            for triangle in &mut mesh.triangles {
                triangle.swap(1, 2);
            }
        }
        Ok(mesh)
    }
}

fn mean(points: &[Point3<f64>]) -> Point3<f64> {
    let sum: Vector3<f64> = points.iter().map(|p| p.coords).sum();
    Point3::from(sum / points.len() as f64)
}
