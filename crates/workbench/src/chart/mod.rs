//! The tilt chart, live: the picture of `tiltbench_sheet`, with the held tilt as a handle.
//!
//! * [`scene`]: what it shows, as plain data, and what it asks for.
//! * [`borders`]: the border of a limit that is pointed at.
//! * [`reading`]: what is read at the pointer, and which limit would be broken first.
//! * `paint`: a drawing in the colours of the theme. `pins`: alternatives that can be chosen.
//! * [`widget`]: the widget. `lens`: how much of the chart it shows. `handle`: the held tilt, by mouse and by keys.
pub mod borders;
mod handle;
mod lens;
mod paint;
mod pins;
pub mod reading;
pub mod scene;
pub mod widget;

pub use reading::{Breaks, ChartReading, Named, first_limit};
pub use scene::{ChartIntent, ChartScene, RidgeLines};
pub use widget::TiltChart;
