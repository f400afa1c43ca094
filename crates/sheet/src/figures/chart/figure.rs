//! What a chart shows, as plain data.

use nalgebra::{UnitVector3, Vector2};
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::sphere::{from_chart, to_chart};
use tiltbench_geometry::tilt::Tilt;

/// A tilt as a point of the chart, in degrees of total tilt. Not the two table angles: those are
/// seen in side views, this is azimuthal equidistant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartPoint {
    /// Toward the +x side lowered.
    pub right_deg: f64,
    /// Toward the anterior lowered.
    pub up_deg: f64,
}

impl ChartPoint {
    /// Flat: the middle of the chart.
    pub const FLAT: Self = Self {
        right_deg: 0.0,
        up_deg: 0.0,
    };

    /// Where a draw lies.
    pub fn of_direction(d: &UnitVector3<f64>) -> Self {
        let at = to_chart(d);
        Self {
            right_deg: at.x.to_degrees(),
            up_deg: at.y.to_degrees(),
        }
    }

    /// Where a tilt lies.
    pub fn of_tilt(tilt: &Tilt) -> Self {
        Self::of_direction(&tilt.direction())
    }

    /// The draw that lies here.
    pub fn direction(&self) -> UnitVector3<f64> {
        from_chart(Vector2::new(
            self.right_deg.to_radians(),
            self.up_deg.to_radians(),
        ))
    }

    /// The point itself, or, if it lies beyond the rim of a chart, the one at the rim on the way to it.
    #[must_use]
    pub fn within(&self, reach_deg: f64) -> Self {
        let share = (reach_deg / self.total_deg()).min(1.0);
        Self {
            right_deg: self.right_deg * share,
            up_deg: self.up_deg * share,
        }
    }

    /// The total tilt, degrees.
    pub fn total_deg(&self) -> f64 {
        self.right_deg.hypot(self.up_deg)
    }
}

/// An area of the chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChartRegion {
    /// Its border; the first point is not repeated.
    pub outer: Vec<ChartPoint>,
    /// Borders of what is left out inside.
    pub holes: Vec<Vec<ChartPoint>>,
}

/// The draws one coping allows.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedRing {
    /// The coping's name.
    pub name: String,
    /// The border; the first point is not repeated.
    pub ring: Vec<ChartPoint>,
}

/// Where the worst zone is undercut by one depth.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthContour {
    /// The depth.
    pub depth_mm: f64,
    /// Its lines; a closed one repeats its first point at the end.
    pub lines: Vec<Vec<ChartPoint>>,
}

/// Where the depth of a zone, or the sum of two that oppose each other, is at its limit.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneLimit {
    /// The zone's name, or both.
    pub zones: Vec<String>,
    /// Its lines; a closed one repeats its first point at the end.
    pub lines: Vec<Vec<ChartPoint>>,
}

/// A tilt to compare.
#[derive(Debug, Clone, PartialEq)]
pub struct Pin {
    /// What it is called: `least blockout`, `flat`.
    pub name: String,
    /// Where it lies.
    pub at: ChartPoint,
}

/// What the survey found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Answer {
    /// A tilt is recommended.
    Recommended {
        /// Where it lies.
        at: ChartPoint,
        /// Its setting allowance: an angle on the sphere.
        allowance_deg: f64,
    },
    /// No tilt is acceptable; this one misses by least.
    NoneAcceptable {
        /// The least bad tilt, if one is known.
        least_bad: Option<ChartPoint>,
    },
    /// Not answered (yet).
    Open,
}

/// What a chart shows.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartFigure {
    /// The case's title.
    pub title: String,
    /// The jaw, which decides on the patient's side at the right of the chart.
    pub arch: Arch,
    /// Total tilt at the rim. Not less than the limit of tilt, so that every region fits.
    pub reach_deg: f64,
    /// The limit of total tilt, drawn as a circle where it lies inside the rim.
    pub tilt_max_deg: Option<f64>,
    /// Where every limit is met.
    pub acceptable: Vec<ChartRegion>,
    /// The border of the draws that all finished guiding walls share. Two points are an arc, one
    /// is a single draw.
    pub common_draw: Option<Vec<ChartPoint>>,
    /// The draws each coping alone allows.
    pub copings: Vec<NamedRing>,
    /// Contours of the undercut depth of the worst zone.
    pub depths: Vec<DepthContour>,
    /// Borders of what the seat zones allow.
    pub zone_limits: Vec<ZoneLimit>,
    /// What the survey found.
    pub answer: Answer,
    /// Tilts to compare.
    pub pins: Vec<Pin>,
    /// The tilt that is held.
    pub held: Option<ChartPoint>,
    /// The answer in one sentence or two, as words. Needed: a picture is sent without the screen.
    pub verdict: String,
}

impl ChartFigure {
    /// An empty chart of a jaw.
    pub fn empty(arch: Arch, reach_deg: f64) -> Self {
        Self {
            title: String::new(),
            arch,
            reach_deg,
            tilt_max_deg: None,
            acceptable: Vec::new(),
            common_draw: None,
            copings: Vec::new(),
            depths: Vec::new(),
            zone_limits: Vec::new(),
            answer: Answer::Open,
            pins: Vec::new(),
            held: None,
            verdict: String::new(),
        }
    }
}
