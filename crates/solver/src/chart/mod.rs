//! The tilt chart: every tilt, what the ridge pays there, and which tilts are acceptable.
//!
//! * `ridge_chart`: the ridge's part of the chart, read in stages. `bound`: what it may be off.
//! * `cell`: the cells of the chart and their nodes. `patches`: a figure between nodes.
//! * `readings`: many readings at once. `costs`: areas and blockouts. `depths`: depths.
//! * `tilt_chart`: all of it, walls and table with it.
mod bound;
mod cell;
mod costs;
mod depths;
mod patches;
mod readings;
mod ridge_chart;
mod tilt_chart;

pub use bound::{
    CHART_AREA_SHARE, CHART_BLOCKOUT_MM3, CHART_BLOCKOUT_SHARE, CHART_DEPTH_MM, ChartBound,
    ChartStage,
};
pub use ridge_chart::{RidgeChart, ZoneFigures};
pub use tilt_chart::{TiltChart, TiltFigures};
