//! The tilt chart: every tilt is a point of a disc.
//!
//! Azimuthal equidistant: the distance from the middle is the total tilt; up means that the anterior
//! is lowered, right that the side at the right of the occlusal view is. Words at the rim name the
//! patient's sides, and beside them a small arch bears a bar at the edge that is lowered: the rod
//! leans the other way.
//!
//! * `figure`: what a chart shows, as plain data. `circle`: a setting allowance as it really looks.
//! * `field`: a figure read at many tilts, and where it has a value.
//! * `disc`: where a tilt lies in the picture; rings, axes, words at the rim.
//! * `areas`: regions and contours. `marks`: the recommended tilt, pins, the held tilt, labels.
//! * `key`: what lines are called, in a picture too small for names among them.
//! * `page`: the whole picture with title, verdict and caution.
mod areas;
mod circle;
mod disc;
mod field;
mod figure;
mod key;
mod marks;
mod page;

pub use circle::allowance_circle;
pub use disc::{Disc, SideWords, disc};
pub use field::ChartField;
pub use figure::{
    Answer, ChartFigure, ChartPoint, ChartRegion, DepthContour, NamedRing, Pin, ZoneLimit,
};
pub use page::{page, to_png, to_svg};
