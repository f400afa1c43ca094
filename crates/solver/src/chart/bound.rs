//! What figures of a chart may be off, and how far a chart has come.

/// mm. What the chart asks of its depths; separates tilts that the chart shows to meet a limit from those
/// that have to be read.
/// Tuned: 0.03, a twentieth of what is read off a gauge; larger has more tilts read than need be, smaller
/// costs readings along every line where the deepest place moves (`chart`: charts keep their bound).
pub const CHART_DEPTH_MM: f64 = 0.03;
/// What the chart asks of its undercut areas, as a share of the zone's area.
/// Tuned: 0.005, as [`CHART_DEPTH_MM`].
pub const CHART_AREA_SHARE: f64 = 0.005;
/// What the chart asks of a blockout, as a share of it.
/// Tuned: 0.01, as [`CHART_DEPTH_MM`].
pub const CHART_BLOCKOUT_SHARE: f64 = 0.01;
/// mm³. Where a hundredth of the blockout is less than this, this is asked for.
/// Tuned: 0.5, as [`CHART_DEPTH_MM`].
pub const CHART_BLOCKOUT_MM3: f64 = 0.5;

/// What figures of a chart may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartBound {
    /// Depths, mm.
    pub depth_mm: f64,
    /// Undercut areas, as a share of the zone's area.
    pub area_share: f64,
    /// Blockouts, as a share of each.
    pub blockout_share: f64,
    /// Blockouts, mm³, where that share of them is less.
    pub blockout_mm3: f64,
}

impl ChartBound {
    /// What is asked of a whole chart.
    pub const ASKED: Self = Self {
        depth_mm: CHART_DEPTH_MM,
        area_share: CHART_AREA_SHARE,
        blockout_share: CHART_BLOCKOUT_SHARE,
        blockout_mm3: CHART_BLOCKOUT_MM3,
    };

    /// What a blockout may be off, mm³.
    pub fn of_blockout_mm3(&self, blockout_mm3: f64) -> f64 {
        self.blockout_mm3.max(self.blockout_share * blockout_mm3)
    }

    /// The wider of two, figure by figure.
    pub(super) fn or(&self, other: &Self) -> Self {
        Self {
            depth_mm: self.depth_mm.max(other.depth_mm),
            area_share: self.area_share.max(other.area_share),
            blockout_share: self.blockout_share.max(other.blockout_share),
            blockout_mm3: self.blockout_mm3.max(other.blockout_mm3),
        }
    }
}

/// How far a chart has come. Each stage can be used as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChartStage {
    /// 25 previews: for a first look.
    Preview,
    /// Four times as many: an estimate.
    Estimate,
    /// Refined where a reading in between showed it to be off: within the chart's bound.
    Bounded,
}

impl ChartStage {
    /// What a stage's figures may be off; of the last stage, at least: see
    /// [`bound`](super::RidgeChart::bound).
    ///
    /// Tuned: what the samples need, with a third to spare for stages before the last; smaller is not kept
    /// (`chart`: refinement changes no figure by more than a stage promises).
    pub fn bound(self) -> ChartBound {
        match self {
            Self::Preview => ChartBound {
                depth_mm: 0.8,
                area_share: 0.18,
                blockout_share: 0.5,
                blockout_mm3: 25.0,
            },
            Self::Estimate => ChartBound {
                depth_mm: 0.2,
                area_share: 0.04,
                blockout_share: 0.1,
                blockout_mm3: 3.0,
            },
            Self::Bounded => ChartBound::ASKED,
        }
    }
}
