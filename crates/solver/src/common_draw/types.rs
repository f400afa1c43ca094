//! What is answered about the common draw.

use nalgebra::{UnitVector3, Vector3};
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::tilt::Tilt;

/// A wall, by the place of its coping in the list and its side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WallRef {
    /// Index of the coping in the list that was asked about.
    pub coping: usize,
    /// Side of the coping.
    pub side: Side,
}

/// The common draw of the guiding walls of finished copings.
#[derive(Debug, Clone, PartialEq)]
pub struct CommonDraw {
    /// Whether some draw within the tilt limit gives every guiding wall its required draft, within
    /// [`tiltbench_geometry::tolerance::MET_RAD`] in favour of yes.
    pub exists: bool,
    /// The greatest least draft any draw within the tilt limit has, required drafts aside.
    /// Radians, attained at `direction`.
    pub best_least_draft_rad: f64,
    /// The draw that attains it. Where several do, the one with the smallest total tilt.
    pub direction: UnitVector3<f64>,
    /// Whether that draw lies on the tilt limit.
    pub at_tilt_limit: bool,
    /// No draw within the tilt limit has a least draft above `best_least_draft_rad + bound_rad`.
    pub bound_rad: f64,
    /// What proves it.
    pub certificate: Certificate,
    /// All draws within the tilt limit that give every guiding wall its required draft; `None`
    /// where there are none.
    pub region: Option<Region>,
    /// The walls whose least draft at `direction` is the best least draft (within
    /// [`tiltbench_geometry::tolerance::MET_RAD`]), in the order of copings, then sides.
    pub limiting: Vec<WallRef>,
}

/// One normal of a certificate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CertificateTerm {
    /// The wall it belongs to.
    pub wall: WallRef,
    /// Its normal-azimuth within the wall's sector.
    pub azimuth_rad: f64,
    /// The outward normal there.
    pub normal: UnitVector3<f64>,
    /// Its weight, above 0; the weights sum to 1.
    pub weight: f64,
}

/// What a certificate proves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CertificateKind {
    /// The best draft is 0 or more, and none is better: see [`Certificate::upper_bound`].
    Optimal,
    /// No draw at all releases every wall, however far the cast is tilted: the weighted normals
    /// sum to nothing, so no direction makes all of them positive. (That none makes all of them 0
    /// or more either is decided, not proved by the weights, where they lie in one plane.) Where
    /// every wall could still be left *into* the ridge, they sum to `-up_weight z` instead: no
    /// direction with z above 0 makes all of them 0 or more.
    NoDrawAnywhere,
    /// Draws that release every wall exist, but none within the tilt limit. The weights belong to
    /// the best draw within the limit, as for [`CertificateKind::Optimal`].
    OnlyBeyondTiltLimit {
        /// Such a draw.
        direction: UnitVector3<f64>,
        /// Its least draft.
        least_draft_rad: f64,
    },
}

/// At most four wall normals and their weights.
///
/// With `x` the weighted sum of the normals, every draw `d` has least draft at most
/// `asin(x . d)`, since the least of several numbers is at most any weighted mean of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Certificate {
    /// What is proved.
    pub kind: CertificateKind,
    /// The normals and their weights.
    pub terms: Vec<CertificateTerm>,
    /// Multiplier `mu >= 0` of the tilt limit: 0 unless the best draw lies on it.
    pub tilt_limit_weight: f64,
    /// Weight, 0 or more, of +z in a [`CertificateKind::NoDrawAnywhere`]: a draw leaves the cast.
    /// Mostly 0.
    pub up_weight: f64,
    /// Length of `x + up_weight z` for [`CertificateKind::NoDrawAnywhere`], below 1e-9; else of
    /// `x + mu c - sin(best) d`, where `c` is the unit tangent at the best draw `d` toward +z.
    /// Usually below 1e-12; up to 1e-7 where the least draft hardly changes along an arc of draws,
    /// so that the best one is known less well than its draft.
    pub residual: f64,
}

impl Certificate {
    /// `x`: the weighted sum of the normals.
    pub fn weighted_normal(&self) -> Vector3<f64> {
        self.terms
            .iter()
            .map(|term| term.normal.as_ref() * term.weight)
            .sum()
    }

    /// The least draft, in radians, that no draw within `tilt_max_rad` of +z exceeds, by these
    /// weights alone.
    ///
    /// Derivation: `x . d` over the cap is greatest at the cap's nearest direction to `x`: `|x|`
    /// where `x` points into the cap, else `|x| cos(angle(x, z) - tilt_max)`. For best drafts of 0
    /// or more this is the best draft itself, up to the residual; below 0 it may be looser where
    /// the best draw lies inside the limit, and the bound of [`CommonDraw::bound_rad`] comes from
    /// the global search.
    pub fn upper_bound(&self, tilt_max_rad: f64) -> f64 {
        let x = self.weighted_normal();
        let from_z = x.x.hypot(x.y).atan2(x.z);
        (x.norm() * (from_z - tilt_max_rad).max(0.0).cos())
            .clamp(-1.0, 1.0)
            .asin()
    }
}

/// What makes a stretch of the border of a region.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RegionLimit {
    /// The required draft of a wall.
    Wall(WallRef),
    /// The greatest total tilt.
    TiltMax,
}

/// A point of the border of a region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegionPoint {
    /// The draw.
    pub direction: UnitVector3<f64>,
    /// Whether the border turns a corner here (else it runs on smoothly).
    pub corner: bool,
    /// What makes the border from here to the next point.
    pub limit: RegionLimit,
}

impl RegionPoint {
    /// The tilt of this draw; `None` beyond the reach of a table.
    pub fn tilt(&self) -> Option<Tilt> {
        Tilt::from_direction(&self.direction).ok()
    }
}

/// All common draws: a convex part of the sphere, given by its border.
///
/// The ring runs counter-clockwise in the chart (lambda, alpha); the first point is not repeated.
/// Corners are exact; between them there are as many points of the true border as keep the chart's
/// chords within 0.01 degree of it. A region that is a single draw has one point, one that is an
/// arc has its two ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// The border.
    pub points: Vec<RegionPoint>,
}
