//! What one reading says of a whole cone of draws.
//!
//! Undercut depth hardly changes from one draw to the next: with `R` the greatest distance from a
//! point of any place of its best way out, for draws at an angle `delta`
//!
//! ```text
//! u(p, d') <= u(p, d) + R sin(delta)
//! ```
//!
//! Derivation: air does not depend on the draw. Prolong the best way for `d` along `d` until it stands
//! above all scan within reach; that keeps its distance from the line through `p` along `d`, and it is
//! open for `d'` too. For each place `a` of it, `dist(a, line along d')` is at most
//! `dist(a, line along d) + |a - p| sin(delta)`. The other side holds with the best way for `d'` and its
//! own `R`. The depth of a zone, the largest `u` such that 0.1 mm² is deeper, is monotone in the depths
//! of its points; so one reading bounds a zone, point by point, over a cone: nothing is assumed of how
//! depths change in between.
//!
//! Points that are less deep over the whole cone than the zone is nowhere less deep than cannot decide
//! its depth, and are left out of readings within that cone.

use super::reading::{self, Deep};
use super::tolerance::DEPTH_CAP_MM;
use nalgebra::{Point3, UnitVector3, Vector3};
use std::ops::Range;

/// Of a zone, given how deep each zone is over the cone at the most as far as that is known: depths at
/// most this need not be told apart, mm. Infinite for a zone that does not matter; 0 to know every depth. It
/// must not fall as more is known.
pub type Floor<'f> = dyn Fn(usize, &[f64]) -> f64 + Sync + 'f;

/// What is asked of the depths of zones over a cone of draws.
#[derive(Clone, Copy)]
pub struct DepthAsk<'a> {
    /// Half-angle of the cone about the draw that is read, radians.
    pub cone_rad: f64,
    /// Depths that need not be told apart.
    pub floor_mm: &'a Floor<'a>,
    /// Of each zone, mm: once it is known to be deeper than this all over the cone, or that the cone is too
    /// wide to show that it is not, no more is asked. A zone that is not listed has none.
    pub ceilings_mm: &'a [f64],
    /// A reading over a cone that holds this one, with floors no higher than these: only what it left
    /// open is read again. `None`: everything.
    pub within: Option<&'a DepthCone>,
}

impl std::fmt::Debug for DepthAsk<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("DepthAsk")
            .field("cone_rad", &self.cone_rad)
            .field("within", &self.within)
            .finish_non_exhaustive()
    }
}

/// What one reading says of the depths of all zones over a cone of draws.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthCone {
    /// The draw that was read.
    pub direction: UnitVector3<f64>,
    /// Half-angle of the cone, radians.
    pub cone_rad: f64,
    /// In the order of the zones.
    pub zones: Vec<ZoneCone>,
}

/// What one reading says of one zone over a cone of draws.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ZoneCone {
    /// Its depth at the draw that was read, mm: exact, but for a depth below what was asked for, which may
    /// be given as up to that, and over a wide cone, where it is a bound from above.
    pub depth_mm: f64,
    /// The samples that may decide the depth somewhere in the cone.
    pub samples: Vec<SampleCone>,
    /// Over a wide cone, in their place: patches of samples of which one was read.
    pub patches: Vec<PatchCone>,
    /// Ways of some of their corners.
    pub(crate) ways: Ways,
    /// No sample that was left out is deeper than this anywhere in the cone, mm.
    pub rest_mm: f64,
}

/// What is asked of a smaller cone within that of a reading.
#[derive(Debug, Clone, Copy)]
pub struct About<'a> {
    /// Its draw.
    pub direction: &'a UnitVector3<f64>,
    /// How far that is from the draw that was read, radians.
    pub away_rad: f64,
    /// Its half-angle, radians.
    pub within_rad: f64,
    /// Depths up to this need not be told apart, mm.
    pub floor_mm: f64,
    /// The samples that a cone that holds it left, by their places; `None` for all.
    pub of: Option<&'a [u32]>,
    /// Others are no deeper than this, mm.
    pub rest_mm: f64,
}

/// What a reading says of a zone over a smaller cone.
#[derive(Debug, Clone, PartialEq)]
pub struct AboutZone {
    /// The samples that may decide, by their places in the reading.
    pub samples: Vec<u32>,
    /// No other is deeper than this, mm.
    pub rest_mm: f64,
    /// At its draw the zone is no deeper, mm.
    pub depth_mm: f64,
    /// Nor less deep, mm.
    pub surely_mm: f64,
    /// Nowhere over the cone is it deeper, mm.
    pub most_mm: f64,
    /// Nor less deep, mm.
    pub least_mm: f64,
}

/// Ways out of points, by the places where they bend.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ways {
    bends: Vec<Vector3<f64>>,
    ways: Vec<Way>,
}

/// The way out of a point, or that of another point of its patch, over which it leads first.
#[derive(Debug, Clone, PartialEq)]
struct Way {
    /// Where it bends.
    bends: Range<u32>,
    of: Vector3<f64>,
    /// How far it goes over the patch.
    level_mm: f64,
}

impl Ways {
    /// Takes up the bends of a way.
    pub(crate) fn bends(&mut self, bends: &[Vector3<f64>]) -> Range<u32> {
        let start = small(self.bends.len());
        self.bends.extend(bends);
        start..small(self.bends.len())
    }

    /// Takes up the way of a point, and says by what number.
    pub(crate) fn push(&mut self, of: Vector3<f64>, bends: Range<u32>, level_mm: f64) -> u32 {
        self.ways.push(Way {
            bends,
            of,
            level_mm,
        });
        small(self.ways.len() - 1)
    }

    /// What room a way needs along another draw of its cone: no place of it is farther from the line than the
    /// places where it bends.
    fn room_mm(&self, way: u32, d: &UnitVector3<f64>) -> Option<f64> {
        let of = self.ways.get(way as usize)?.of;
        self.room_from_mm(way, &of, d)
    }

    /// The same from another place of the patch.
    pub(crate) fn room_from_mm(
        &self,
        way: u32,
        of: &Vector3<f64>,
        d: &UnitVector3<f64>,
    ) -> Option<f64> {
        let way = self.ways.get(way as usize)?;
        let far2 = |x: &Vector3<f64>| (x - of).cross(d).norm_squared();
        let bends = self.bends[way.bends.start as usize..way.bends.end as usize].iter();
        let far_mm = bends.map(far2).fold(0.0, f64::max).sqrt();
        Some(far_mm.max(way.level_mm))
    }

    /// Takes up all of others, the numbers of which are told to be so many more.
    pub(crate) fn take_up(&mut self, other: &Self) -> u32 {
        let (more, bends) = (small(self.ways.len()), small(self.bends.len()));
        self.bends.extend(&other.bends);
        self.ways.extend(other.ways.iter().map(|way| Way {
            bends: way.bends.start + bends..way.bends.end + bends,
            ..way.clone()
        }));
        more
    }
}

/// Takes up ways of others one by one; what several share stays shared if they come one after another.
pub(crate) struct TakeUp<'a> {
    pub(crate) from: &'a Ways,
    last: Option<(Range<u32>, Range<u32>)>,
}

impl<'a> TakeUp<'a> {
    pub(crate) fn new(from: &'a Ways) -> Self {
        Self { from, last: None }
    }

    /// Takes up the way of a point, if it has one.
    pub(crate) fn point(&mut self, point: &mut PointCone, into: &mut Ways) {
        let Some(way) = self.from.ways.get(point.way as usize) else {
            return;
        };
        let taken = match &self.last {
            Some((from, taken)) if *from == way.bends => taken.clone(),
            _ => {
                let bends = way.bends.start as usize..way.bends.end as usize;
                into.bends(&self.from.bends[bends])
            }
        };
        self.last = Some((way.bends.clone(), taken.clone()));
        point.way = into.push(way.of, taken, way.level_mm);
    }
}

fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(NO_WAY)
}

/// No way is kept of a point.
pub(crate) const NO_WAY: u32 = u32::MAX;

/// A small triangle of a zone over a cone of draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SampleCone {
    /// Which of the zone's samples.
    pub sample: u32,
    /// Its area, mm².
    pub area_mm2: f64,
    /// What is known of it.
    pub standing: Standing,
    /// Its corners, between which depth is linear.
    pub corners: [PointCone; 3],
}

/// Whether a sample counts, or is left out since a hole of the scan leaves it unknown.
///
/// Its depth bounds hold in any case, as if what closes the hole had been scanned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Standing {
    /// It counts for all draws of the cone.
    #[default]
    Known,
    /// It counts at the draw that was read, and may be left out at others.
    InDoubt,
    /// It is left out at the draw that was read, and may count at others.
    Unknown,
    /// It may count or be left out, at the draw that was read too.
    Either,
}

impl Standing {
    /// What is known of it at another draw of the cone.
    fn carried(self) -> Self {
        match self {
            Self::Known => Self::Known,
            Self::InDoubt | Self::Unknown | Self::Either => Self::Either,
        }
    }
}

/// A patch of samples over a cone of draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PatchCone {
    /// Which of the zone's patches.
    pub patch: u32,
    /// Its area, mm².
    pub area_mm2: f64,
    /// Whether a hole of the scan may leave some of it unknown: it may count nowhere.
    pub in_doubt: bool,
    /// No place of it is farther from where the way that is kept starts, mm.
    pub(crate) spread_mm: f64,
    /// Bounds all points of it.
    pub points: PointCone,
}

impl SampleCone {
    /// The greatest depth at a corner over draws within an angle, mm.
    pub fn most_mm(&self, within_rad: f64) -> f64 {
        let corners = self.corners.iter().map(|point| point.most_mm(within_rad));
        corners.fold(0.0, f64::max)
    }

    /// What that, and ways that are kept, say about another draw of the cone, an angle away.
    pub(crate) fn about(&self, ways: &Ways, d: &UnitVector3<f64>, away_rad: f64) -> Self {
        let about = |point: &PointCone| {
            let room_mm = ways.room_mm(point.way, d);
            point.carried(away_rad).no_deeper(room_mm)
        };
        Self {
            standing: self.standing.carried(),
            corners: self.corners.each_ref().map(about),
            ..*self
        }
    }
}

impl PatchCone {
    /// The greatest depth over draws within an angle, mm.
    pub fn most_mm(&self, within_rad: f64) -> f64 {
        self.points.most_mm(within_rad)
    }

    /// The least depth over draws within an angle, mm.
    pub fn least_mm(&self, within_rad: f64) -> f64 {
        if self.in_doubt {
            0.0
        } else {
            self.points.least_mm(within_rad)
        }
    }

    /// What that says about another draw of the cone.
    pub(crate) fn carried(&self, away_rad: f64) -> Self {
        Self {
            points: self.points.carried(away_rad),
            ..*self
        }
    }

    /// The same, with what a way that is kept says of it.
    pub(crate) fn about(&self, ways: &Ways, d: &UnitVector3<f64>) -> Self {
        let room_mm = ways.room_mm(self.points.way, d);
        Self {
            points: self
                .points
                .no_deeper(room_mm.map(|room_mm| room_mm + self.spread_mm)),
            ..*self
        }
    }

    /// The same, with what that says of places that hold it between them.
    ///
    /// Derivation: the distance of a bend from the line through a place is convex in that place, so it is
    /// greatest at a corner of what holds the patch.
    pub(crate) fn about_corners(
        &self,
        ways: &Ways,
        corners: &[Point3<f64>],
        d: &UnitVector3<f64>,
    ) -> Self {
        let way = self.points.way;
        let mut rooms = corners
            .iter()
            .map(|place| ways.room_from_mm(way, &place.coords, d));
        let room_mm = rooms.try_fold(0.0_f64, |most, room_mm| Some(most.max(room_mm?)));
        Self {
            points: self.points.no_deeper(room_mm),
            ..*self
        }
    }
}

/// A point of a zone over a cone of draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointCone {
    /// At the draw that was read it is no deeper than this, mm; at most 10.
    pub depth_mm: f64,
    /// Nor less deep than this: the same where the gauge was held to the point itself.
    pub surely_mm: f64,
    /// How fast the depth may rise, mm per unit of the sine of the angle.
    pub rise_mm: f64,
    /// How fast it may fall.
    pub fall_mm: f64,
    /// Where the point is not undercut: an angle within which no draw makes it so, radians.
    pub free_rad: f64,
    /// Which of the zone's ways is its own.
    pub(crate) way: u32,
}

impl PointCone {
    /// A point that is not undercut, of which no more is known.
    pub(crate) const STILL: Self = Self {
        depth_mm: 0.0,
        surely_mm: 0.0,
        rise_mm: 0.0,
        fall_mm: 0.0,
        free_rad: 0.0,
        way: NO_WAY,
    };

    /// A point of which nothing is known.
    pub(crate) const UNKNOWN: Self = Self {
        depth_mm: DEPTH_CAP_MM,
        ..Self::STILL
    };

    /// What that says about another draw of the cone, an angle away; its way stays that of the reading.
    ///
    /// Derivation: `sin(a + b) <= sin a + sin b`.
    fn carried(&self, away_rad: f64) -> Self {
        Self {
            depth_mm: self.most_mm(away_rad),
            surely_mm: self.least_mm(away_rad),
            free_rad: (self.free_rad - away_rad).max(0.0),
            ..*self
        }
    }

    /// With what a way says of how deep it is.
    fn no_deeper(self, room_mm: Option<f64>) -> Self {
        let room_mm = room_mm.unwrap_or(f64::INFINITY);
        Self {
            depth_mm: self.depth_mm.min(room_mm).max(self.surely_mm),
            ..self
        }
    }

    /// The greatest depth over draws within an angle, mm.
    pub fn most_mm(&self, within_rad: f64) -> f64 {
        let beyond = if self.depth_mm > 0.0 {
            within_rad
        } else {
            (within_rad - self.free_rad).max(0.0)
        };
        (self.depth_mm + self.rise_mm * sine(beyond)).min(DEPTH_CAP_MM)
    }

    /// The least depth over draws within an angle, mm.
    pub fn least_mm(&self, within_rad: f64) -> f64 {
        (self.surely_mm - self.fall_mm * sine(within_rad)).max(0.0)
    }
}

/// Sine of an angle that is not negative; past a right angle it stays at one.
fn sine(angle_rad: f64) -> f64 {
    angle_rad.min(std::f64::consts::FRAC_PI_2).sin()
}

impl ZoneCone {
    /// No depth of the zone over draws within an angle, at most that of the cone, is greater, mm.
    pub fn most_mm(&self, within_rad: f64) -> f64 {
        let counts = |standing| within_rad > 0.0 || standing != Standing::Unknown;
        let patch = |patch: &PatchCone| patch.most_mm(within_rad);
        self.depth_of(counts, |point| point.most_mm(within_rad), patch)
            .max(self.rest_mm)
    }

    /// No depth of the zone over draws within an angle, at most that of the cone, is less, mm.
    pub fn least_mm(&self, within_rad: f64) -> f64 {
        let counts = |standing| match standing {
            Standing::Known => true,
            Standing::InDoubt => within_rad <= 0.0,
            Standing::Unknown | Standing::Either => false,
        };
        let patch = |patch: &PatchCone| patch.least_mm(within_rad);
        self.depth_of(counts, |point| point.least_mm(within_rad), patch)
    }

    /// What was read of the zone, of a smaller cone within that of the reading, about a draw so far away; only
    /// samples in `of` are looked at, the others are no deeper than `rest_mm`.
    ///
    /// Derivation: a way out stays one for all draws of the cone, since it is followed until it is clear of
    /// all of them; what room it needs along another draw is the greatest distance of its bends from the line
    /// through its point along that draw.
    pub fn about(&self, ask: &About<'_>) -> AboutZone {
        let within_rad = ask.away_rad + ask.within_rad;
        let mut about = AboutZone {
            samples: Vec::new(),
            rest_mm: ask.rest_mm.max(self.rest_mm),
            depth_mm: 0.0,
            most_mm: 0.0,
            least_mm: self.least_mm(within_rad),
            surely_mm: self.least_mm(ask.away_rad),
        };
        let keep_mm = about.least_mm.max(ask.floor_mm);
        let mut deep: [Vec<Deep>; 2] = Default::default();
        let numbers: Vec<u32>;
        let these = match ask.of {
            Some(these) => these,
            None => {
                numbers = (0..).zip(&self.samples).map(|(i, _)| i).collect();
                &numbers
            }
        };
        for &number in these {
            let sample = &self.samples[number as usize];
            let at = |point: &PointCone| {
                let room_mm = self.ways.room_mm(point.way, ask.direction);
                let [here_mm, known_mm] = [ask.away_rad, within_rad].map(|rad| point.most_mm(rad));
                room_mm.map_or([here_mm, known_mm], |room_mm| {
                    let most_mm = room_mm + point.rise_mm * sine(ask.within_rad);
                    [here_mm.min(room_mm), known_mm.min(most_mm)]
                })
            };
            let corners = sample.corners.each_ref().map(at);
            let most_mm = corners.iter().map(|corner| corner[1]).fold(0.0, f64::max);
            if most_mm <= keep_mm {
                about.rest_mm = about.rest_mm.max(most_mm);
                continue;
            }
            about.samples.push(number);
            for (k, deep) in deep.iter_mut().enumerate() {
                let depths = corners.map(|corner| corner[k]);
                deep.push(Deep::new(sample.area_mm2, depths, false));
            }
        }
        for patch in &self.patches {
            let known = [ask.away_rad, within_rad].map(|rad| patch.most_mm(rad));
            let room_mm = self.ways.room_mm(patch.points.way, ask.direction);
            let depths = room_mm.map_or(known, |room_mm| {
                let here_mm = room_mm + patch.spread_mm;
                let most_mm = here_mm + patch.points.rise_mm * sine(ask.within_rad);
                [known[0].min(here_mm), known[1].min(most_mm)]
            });
            for (deep, depth_mm) in deep.iter_mut().zip(depths) {
                deep.push(Deep::new(patch.area_mm2, [depth_mm; 3], false));
            }
        }
        about.depth_mm = reading::depth(&deep[0]).0.max(about.rest_mm);
        about.most_mm = reading::depth(&deep[1]).0.max(about.rest_mm);
        about
    }

    /// As [`ZoneCone::most_mm`], of the samples alone.
    pub(crate) fn of_samples_mm(&self, within_rad: f64) -> f64 {
        let counts = |standing| within_rad > 0.0 || standing != Standing::Unknown;
        self.depth_of(counts, |point| point.most_mm(within_rad), |_| 0.0)
    }

    fn depth_of(
        &self,
        counts: impl Fn(Standing) -> bool,
        depth_mm: impl Fn(&PointCone) -> f64,
        of_patch: impl Fn(&PatchCone) -> f64,
    ) -> f64 {
        let whole = |patch: &PatchCone| Deep::new(patch.area_mm2, [of_patch(patch); 3], false);
        let deep: Vec<Deep> = self
            .samples
            .iter()
            .filter(|sample| counts(sample.standing))
            .map(|sample| {
                let depths = [0, 1, 2].map(|k| depth_mm(&sample.corners[k]));
                Deep::new(sample.area_mm2, depths, false)
            })
            .chain(self.patches.iter().map(whole))
            .filter(|deep| deep.deepest() > 0.0)
            .collect();
        reading::depth(&deep).0
    }

    /// Whether so much of the zone has no way out within 10 mm that it decides.
    pub fn is_capped(&self) -> bool {
        self.depth_mm >= DEPTH_CAP_MM
    }

    /// A zone of which nothing is known but a bound.
    pub(crate) fn rest(rest_mm: f64) -> Self {
        Self {
            depth_mm: rest_mm,
            rest_mm,
            ..Self::default()
        }
    }
}

impl DepthCone {
    /// Depths of the zones at the draw that was read, mm: see [`ZoneCone::depth_mm`].
    pub fn depths_mm(&self) -> Vec<f64> {
        self.zones.iter().map(|zone| zone.depth_mm).collect()
    }
}
