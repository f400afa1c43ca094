//! What the ridge pays for every tilt of the chart.
//!
//! Promise: at any tilt within the reach, depths within [`CHART_DEPTH_MM`] or [`CHART_DEPTH_SHARE`] of
//! them, undercut areas within [`CHART_AREA_SHARE`] of the zone's area, blockout within
//! [`CHART_BLOCKOUT_SHARE`] or [`CHART_BLOCKOUT_MM3`] of the accurate reading, on casts whose facets are no
//! wider than [`CHART_FACET_MM`]; nine figures in ten are within half of that. Coarser casts change by
//! whole facets from one draw to the next, and no chart of so few readings follows them. Stages before the
//! last have wider bounds ([`ChartStage::bound`]). What is reported of a tilt is read, not taken from a
//! chart.
//!
//! Why this way. A reading of every facet along 2,000 draws costs minutes; a depth raster gives
//! areas quickly, but no gauge depth. What a ridge pays changes smoothly with the draw, except where
//! the deepest place moves; so the chart is read at few draws and interpolated, by sectors of the
//! ridge (see `grid`). And most of what a reading costs is facets, of which a scan has far more
//! than its shape needs; so the many readings are taken off a cast with fewer facets, and what that
//! is off by, which changes more slowly still, is read off the scan itself at fewer draws. Readings
//! 2.5 degrees apart are taken only where one in the middle of a wider cell shows them to be worth
//! it, and there of the sectors that may be the deepest.
//!
//! Measured once and rejected, on 25 and 26 November 2026, on the sample casts and two cores (no test
//! holds these figures): reading the scan itself at every node (a third of the error, two to four
//! times the time at 100,000 facets); nodes 5 degrees apart without
//! correction (depths off by 0.1 mm); depth rasters (areas off by 1.3 % at 0.1 mm, and 5 ms a draw
//! without any depth);
//! interpolating the depth of a whole zone (four times the error of sectors at the same nodes);
//! reading nothing beyond the rim (three times the error there); correcting sector by sector (no
//! closer, and dearer, since what the small mesh does to a shallow sector is noise); adding the
//! area that faces away from the draw, which normals tell exactly, to an interpolated rest (twice
//! the error: the two trade places where a facet turns away, only their sum is smooth); joining
//! vertices over 0.7 mm (a third faster, but facets that turn over make pockets 10 mm deep);
//! keeping facets in the cells with bounds of their place (as fast as without).

use super::grid::{RidgeGrid, ZoneFigures};
use super::lattice::{Part, Spacing};
use crate::control::{Cancelled, Control};
use crate::problem::RidgeReader;
use crate::sphere::to_chart;
use tiltbench_geometry::UnitVector3;

/// mm. Bound of the chart's error in a depth; separates tilts that the chart shows to meet a limit from
/// those that have to be read.
/// Tuned: 0.06, what the worst of 100 draws on each of five sample casts needs; 95 of 100 are within
/// 0.025. Smaller is not kept (`chart`: charts keep their bound), larger has more read than need be.
pub const CHART_DEPTH_MM: f64 = 0.06;
/// Bound of the chart's error in a depth of some millimetres, as a share of it: such depths bend more from
/// one draw to the next.
/// Tuned: 0.035, as [`CHART_DEPTH_MM`]; it counts from 1.7 mm.
pub const CHART_DEPTH_SHARE: f64 = 0.035;
/// Bound of the chart's error in an undercut area, as a share of the zone's area.
/// Tuned: 0.012, as [`CHART_DEPTH_MM`]; 95 of 100 are within 0.005.
pub const CHART_AREA_SHARE: f64 = 0.012;
/// Bound of the chart's error in a blockout, as a share of it.
/// Tuned: 0.01, as [`CHART_DEPTH_MM`].
pub const CHART_BLOCKOUT_SHARE: f64 = 0.01;
/// mm³. Where a hundredth of the blockout is less than this, this is the bound of its error.
/// Tuned: 0.5, as [`CHART_DEPTH_MM`].
pub const CHART_BLOCKOUT_MM3: f64 = 0.5;
/// mm. How wide the facets of a cast may be, on average, for the bounds to hold: the side of the squares
/// that two of them make.
/// Tuned: 0.5, as coarse as the casts of the tests; larger is not kept to.
pub const CHART_FACET_MM: f64 = 0.5;

/// What figures of a chart may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartBound {
    /// Depths, mm.
    pub depth_mm: f64,
    /// Depths, as a share of each, where that is more.
    pub depth_share: f64,
    /// Undercut areas, as a share of the zone's area.
    pub area_share: f64,
    /// Blockouts, as a share of each.
    pub blockout_share: f64,
    /// Blockouts, mm³, where that share of them is less.
    pub blockout_mm3: f64,
}

impl ChartBound {
    /// What a depth may be off, mm.
    pub fn of_depth_mm(&self, depth_mm: f64) -> f64 {
        self.depth_mm.max(self.depth_share * depth_mm)
    }

    /// What a blockout may be off, mm³.
    pub fn of_blockout_mm3(&self, blockout_mm3: f64) -> f64 {
        self.blockout_mm3.max(self.blockout_share * blockout_mm3)
    }
}

/// How far a chart has come. Each stage can be used as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChartStage {
    /// Readings 10 degrees apart: for a first look.
    Coarse,
    /// Readings 5 degrees apart.
    Fair,
    /// The error of the cheap reading taken out.
    Corrected,
    /// Readings 2.5 degrees apart: within the chart's bound.
    Fine,
}

impl ChartStage {
    /// What a stage's figures may be off, on casts as fine as [`CHART_FACET_MM`]. No later stage changes a
    /// figure by more.
    ///
    /// Tuned: what the samples need, with a third to spare for stages before the last; smaller is not kept
    /// (`chart`: refinement changes no figure by more than a stage promises).
    pub fn bound(self) -> ChartBound {
        match self {
            Self::Coarse => ChartBound {
                depth_mm: 0.8,
                depth_share: 0.0,
                area_share: 0.18,
                blockout_share: 0.5,
                blockout_mm3: 25.0,
            },
            Self::Fair => ChartBound {
                depth_mm: 0.2,
                depth_share: 0.0,
                area_share: 0.04,
                blockout_share: 0.1,
                blockout_mm3: 3.0,
            },
            Self::Corrected => ChartBound {
                depth_mm: 0.2,
                depth_share: 0.0,
                area_share: 0.04,
                blockout_share: 0.05,
                blockout_mm3: 3.0,
            },
            Self::Fine => ChartBound {
                depth_mm: CHART_DEPTH_MM,
                depth_share: CHART_DEPTH_SHARE,
                area_share: CHART_AREA_SHARE,
                blockout_share: CHART_BLOCKOUT_SHARE,
                blockout_mm3: CHART_BLOCKOUT_MM3,
            },
        }
    }
}

/// What the ridge pays over the chart.
#[derive(Debug, Clone)]
pub struct RidgeChart {
    grid: RidgeGrid,
    reach_rad: f64,
    stage: ChartStage,
}

impl RidgeChart {
    /// Reads the chart up to a total tilt of `reach_rad`, telling `on_stage` of each stage as soon
    /// as it is there.
    ///
    /// # Errors
    /// [`Cancelled`] when the control says so; it is asked several times during each reading.
    pub fn read(
        ridge: &dyn RidgeReader,
        reach_rad: f64,
        control: &dyn Control,
        on_stage: &mut dyn FnMut(&Self),
    ) -> Result<Self, Cancelled> {
        let mut chart = Self {
            grid: RidgeGrid::default(),
            reach_rad,
            stage: ChartStage::Coarse,
        };
        let everywhere = Part {
            reach_rad,
            interest: &|_| 0.0,
        };
        for stage in [
            ChartStage::Coarse,
            ChartStage::Fair,
            ChartStage::Corrected,
            ChartStage::Fine,
        ] {
            let grid = &mut chart.grid;
            match stage {
                ChartStage::Coarse => grid.glance_over(ridge, Spacing::Coarse, everywhere, control),
                ChartStage::Fair => grid.glance_over(ridge, Spacing::Fair, everywhere, control),
                ChartStage::Corrected => grid.correct_over(ridge, everywhere, control),
                ChartStage::Fine => grid.refine_over(ridge, everywhere, control),
            }?;
            chart.stage = stage;
            on_stage(&chart);
        }
        Ok(chart)
    }

    /// The figures of every zone for a draw; `None` beyond the chart's reach.
    pub fn at(&self, d: &UnitVector3<f64>) -> Option<Vec<ZoneFigures>> {
        let point = to_chart(d);
        (point.norm() <= self.reach_rad * (1.0 + 1e-9))
            .then(|| self.grid.at(point))
            .flatten()
    }

    /// Greatest total tilt, radians.
    pub fn reach_rad(&self) -> f64 {
        self.reach_rad
    }

    /// How far it has come.
    pub fn stage(&self) -> ChartStage {
        self.stage
    }
}
