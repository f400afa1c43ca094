//! What the chart shows, as plain data, and what the hand asks of it.

use crate::pointed::Pointed;
use crate::viewport::Freshness;
use std::sync::Arc;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::figures::chart::ChartFigure;

/// How far what the ridge pays is on the chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RidgeLines {
    /// All of it, or there is no ridge that decides.
    #[default]
    Whole,
    /// Roughly: lines may still move, the acceptable region with them.
    Coarse,
    /// Not read.
    Missing,
}

/// All that the chart shows.
///
/// What is behind an `Arc` is taken for unchanged while the `Arc` is the same: make a new one only
/// when something changed.
#[derive(Debug, Clone)]
pub struct ChartScene {
    /// Regions, contours, the answer, pins. Its `held` is not looked at.
    pub figure: Arc<ChartFigure>,
    /// Whether regions, contours and answer belong to the case as it stands.
    pub freshness: Freshness,
    /// How far what the ridge pays is on the chart.
    pub ridge: RidgeLines,
    /// The copings, for the border of a wall that is pointed at.
    pub copings: Arc<Vec<Coping>>,
    /// Limits of the whole case; `None` for an empty bench.
    pub limits: Option<Limits>,
    /// The tilt that is held.
    pub held: Tilt,
    /// What is pointed at, in any view.
    pub lit: Option<Pointed>,
}

impl ChartScene {
    /// An empty chart of a jaw.
    pub fn empty(arch: Arch, reach_deg: f64) -> Self {
        Self {
            figure: Arc::new(ChartFigure::empty(arch, reach_deg)),
            freshness: Freshness::Fresh,
            ridge: RidgeLines::Whole,
            copings: Arc::default(),
            limits: None,
            held: Tilt::FLAT,
            lit: None,
        }
    }
}

/// What the hand did.
#[derive(Debug, Clone, PartialEq)]
pub enum ChartIntent {
    /// The held tilt is being dragged; it previews until [`ChartIntent::Release`] or
    /// [`ChartIntent::Abandon`].
    Preview(Tilt),
    /// The handle was let go: what was previewed last holds.
    Release,
    /// The drag was called off: back to what was held before it.
    Abandon,
    /// Hold this tilt, as one step: a click, a key, a pin.
    Hold(Tilt),
    /// The pointer rests on something else now, or on nothing.
    Points(Option<Pointed>),
}
