//! The tilt chart: every tilt, what the ridge pays there, and which tilts are acceptable.
//!
//! * `grid`: readings at nodes. `lattice`: which nodes. `rows`: what is kept at them and interpolated, by
//!   `kernel`.
//! * `ridge_chart`: the ridge's part of the chart, read in stages. `tilt_chart`: all of it.
pub(crate) mod grid;
mod kernel;
pub(crate) mod lattice;
mod ridge_chart;
mod rows;
mod tilt_chart;

pub use grid::ZoneFigures;
pub use ridge_chart::{
    CHART_AREA_SHARE, CHART_BLOCKOUT_MM3, CHART_BLOCKOUT_SHARE, CHART_DEPTH_MM, CHART_DEPTH_SHARE,
    CHART_FACET_MM, ChartBound, ChartStage, RidgeChart,
};
pub use tilt_chart::{TiltChart, TiltFigures};
