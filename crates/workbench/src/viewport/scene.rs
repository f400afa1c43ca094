//! What the view of the cast shows: plain data, made by whoever knows the case.

use super::cast::{CastModel, DepthField};
use crate::pointed::Pointed;
use nalgebra::{Point3, UnitVector3};
use std::sync::Arc;
use tiltbench_geometry::coping::{Coping, Side};
use tiltbench_geometry::frame::Arch;

/// How a wall stands to the held draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WallState {
    /// Converges toward the draw by more than a hand's error.
    Releases,
    /// Within a hand's error of parallel.
    NearParallel,
    /// Diverges: locks on the draw.
    Undercut,
}

/// Draft up to which a wall counts as close to binding, radians: twice the standard error of an angle
/// read off a wall 3 mm high with a rod and a gauge.
///
/// Derivation: error propagation of `atan(gap / height)` for 0.05 mm on the gap and 0.1 mm on the
/// height gives 0.96 degrees at a gap of 0.25 mm.
pub const NEAR_PARALLEL_RAD: f64 = 2.0 * std::f64::consts::PI / 180.0;

impl WallState {
    /// From the least draft of the wall for the draw. "Met" favours the wall, as everywhere: a
    /// parallel wall is not undercut.
    pub fn of(least_draft_rad: f64) -> Self {
        if least_draft_rad < -tiltbench_geometry::tolerance::MET_RAD {
            Self::Undercut
        } else if least_draft_rad < NEAR_PARALLEL_RAD {
            Self::NearParallel
        } else {
            Self::Releases
        }
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Releases => "releases",
            Self::NearParallel => "close to binding",
            Self::Undercut => "undercut",
        }
    }
}

/// A coping as it is shown.
#[derive(Debug, Clone, PartialEq)]
pub struct CopingInView {
    /// The coping.
    pub coping: Coping,
    /// State of each wall for the held draw, in the order of [`Side::ALL`].
    pub states: [Option<WallState>; 4],
}

impl CopingInView {
    /// A coping under a draw.
    pub fn new(coping: &Coping, draw: &UnitVector3<f64>) -> Self {
        let states = Side::ALL.map(|side| {
            let draft = coping.wall_draft(side, draw)?;
            Some(WallState::of(draft.least_rad))
        });
        Self {
            coping: coping.clone(),
            states,
        }
    }

    /// Middle of the top.
    pub fn top(&self) -> Point3<f64> {
        self.coping.margin_centre + self.coping.axis.into_inner() * self.coping.height_mm
    }
}

/// A seat zone as it is shown.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneInView {
    /// Its name.
    pub name: String,
    /// Depth beyond which it is striped.
    pub limit_mm: Option<f64>,
    /// Where the gauge reads the zone's depth for the held draw, if it is undercut.
    pub gauge: Option<GaugeReading>,
}

/// What an undercut gauge reads at a point, for one draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugeReading {
    /// The point the gauge's disc touches.
    pub position: Point3<f64>,
    /// Normal of the surface there, out of the stone.
    pub outward: UnitVector3<f64>,
    /// What it reads.
    pub depth_mm: f64,
}

/// A point on the cast that is being set, and may be dragged.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Where it is.
    pub position: Point3<f64>,
    /// A short word beside it; may be empty.
    pub label: String,
}

/// Whether what is shown belongs to the held draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Freshness {
    /// It does.
    #[default]
    Fresh,
    /// It belongs to an earlier one; a newer is being worked out.
    Stale,
}

/// All that the view shows.
#[derive(Debug, Clone)]
pub struct CastScene {
    /// Which jaw: which patient's side is where.
    pub arch: Arch,
    /// The scan, if there is one.
    pub cast: Option<Arc<CastModel>>,
    /// Undercut depths for the held draw, if they have been read.
    pub depths: Option<Arc<DepthField>>,
    /// Whether depths and survey line are of the held draw.
    pub freshness: Freshness,
    /// The survey line of the held draw.
    pub survey_line: Arc<Vec<Vec<Point3<f64>>>>,
    /// The held draw.
    pub draw: UnitVector3<f64>,
    /// The copings, in the order of the case.
    pub copings: Arc<Vec<CopingInView>>,
    /// The zones, in the order of the case.
    pub zones: Arc<Vec<ZoneInView>>,
    /// Points being set, in order; joined as `joined` says.
    pub marks: Arc<Vec<Mark>>,
    /// How the marks are joined.
    pub joined: Joined,
    /// The outline that the marks are of, if it is one that is edited.
    pub edited: Option<Edited>,
    /// The coping whose directions can be taken hold of, by its place in the case.
    pub handles: Option<usize>,
    /// What is pointed at, here or elsewhere.
    pub lit: Option<Pointed>,
}

/// An outline that is edited.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edited {
    /// The zone it is of.
    pub name: String,
    /// The point that is chosen.
    pub point: usize,
}

/// How the marks are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Joined {
    /// Not at all.
    #[default]
    Apart,
    /// From one to the next.
    Line,
    /// From one to the next, and back to the first.
    Ring,
}

impl CastScene {
    /// An empty bench.
    pub fn empty(arch: Arch) -> Self {
        Self {
            arch,
            cast: None,
            depths: None,
            freshness: Freshness::Fresh,
            survey_line: Arc::default(),
            draw: nalgebra::Vector3::z_axis(),
            copings: Arc::default(),
            zones: Arc::default(),
            marks: Arc::default(),
            joined: Joined::Apart,
            edited: None,
            handles: None,
            lit: None,
        }
    }

    /// A sphere that holds everything shown but the rods.
    pub fn bounds(&self) -> (Point3<f64>, f64) {
        if let Some(cast) = &self.cast {
            return (cast.centre, cast.radius_mm);
        }
        let mut points = Vec::new();
        for shown in self.copings.iter() {
            let coping = &shown.coping;
            let reach = 0.5
                * coping
                    .width_labiolingual_mm
                    .max(coping.width_mesiodistal_mm);
            for end in [coping.margin_centre, shown.top()] {
                let by = nalgebra::Vector3::repeat(reach);
                points.extend([end - by, end + by]);
            }
        }
        if points.is_empty() {
            (Point3::origin(), 40.0)
        } else {
            super::cast::bounding_sphere(&points)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parallel_wall_is_not_undercut() {
        assert_eq!(WallState::of(0.0), WallState::NearParallel);
        assert_eq!(WallState::of(-1e-9), WallState::NearParallel);
        assert_eq!(WallState::of(-0.001), WallState::Undercut);
        assert_eq!(WallState::of(2.1_f64.to_radians()), WallState::Releases);
    }
}
