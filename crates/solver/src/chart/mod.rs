//! The tilt chart: every tilt, what the ridge pays there, and which tilts are acceptable.
//!
//! * `kernel`: interpolation between nodes. `grid`: readings at nodes.
//! * `ridge_chart`: the ridge's part of the chart, read in stages.
pub(crate) mod grid;
mod kernel;
mod ridge_chart;

pub use grid::ZoneFigures;
pub use ridge_chart::{
    CHART_AREA_SHARE, CHART_BLOCKOUT_MM3, CHART_BLOCKOUT_SHARE, CHART_DEPTH_MM, ChartStage,
    RidgeChart,
};
