//! Seat zones of the ridge, and what a draw costs on them.
//!
//! For a draw `d` (a unit vector of the cast frame, the way the finished prosthesis leaves):
//!
//! * a point of the surface is **undercut** if it faces away from `d` (`n · d < 0` by more than
//!   [`crate::tolerance::MET_RAD`]), or if a line from it along `d` meets the scan again;
//! * the **undercut depth** of an undercut point is the least sideways room in which it draws: the
//!   smallest `r` such that a way leads from it, in air, to where the line along `d` is free, and no
//!   place of the way is farther than `r` from the line through the point along `d`;
//! * the **blockout volume** is the air below what faces away, along `-d`, down to the next surface.
//!
//! Each zone is cut into samples with no edge over 0.25 mm, judged at their centroids by straight
//! lines and the facets themselves, in `f64`. Promise: areas as by the reference in
//! [`Ridge::undercut_samples`]; depths as `gauge` and `undersides` say; the same bits on any
//! number of threads. Not promised: anything about what a scan does not show, such as a floor
//! beyond an open border.
//!
//! * `types`: zones as they are asked for, and their readings.
//! * `ridge`: the ridge of a case, and everything that can be read off it.
//! * `cut`: a cast cut into zones, and how it is looked at. `stop`: giving up.
//! * `judge`: what holds at each sample. `bounds`: as far as it decides, from few gauge readings.
//! * `patches`: samples that hang together. `open`: which are undercut nowhere over a cone.
//! * `normal_cone`: how facets stand toward a cone. `pierced`: facets that others pass through.
//! * `fillings`: facets that close holes.
//! * `error`: why a ridge cannot be read, and remarks on one that can.
//! * `footprint`: what a coping takes out of the seat. `margin_gap`: how well its margin lies on the scan.
//! * `outline`, `clip`, `samples`, `zone`: from a zone's bounds to its samples.
//! * `surface`, `smooth`: the mesh with its edges, its normals and its smoothed normals.
//! * `plan`, `sight`, `tree`: the cast along a draw, and what lies over a place.
//! * `region`: the part of a cast that some points can need.
//! * `seams`: what holds where facets meet, whatever the draw.
//! * `undersides`, `spans`, `exits`: how covered air hangs together in a view, and where it ends.
//! * `gauge`: the least sideways room in which a point draws.
//! * `deepest`: which samples decide a zone's depth. `heights`: how high the scan reaches near a place.
//! * `open_cone`: by how much a draw may turn before something comes over a point.
//! * `cone`: what one reading says of all draws near it.
//! * `reading`: from samples to the figures of a zone.
//! * `tolerance`: every tolerance and limit of the readings.
mod bounds;
pub(crate) mod clip;
mod cone;
mod cut;
mod deepest;
mod error;
mod exits;
mod fillings;
mod footprint;
mod gauge;
mod heights;
mod judge;
mod margin_gap;
mod normal_cone;
mod open;
mod open_cone;
pub(crate) mod outline;
mod patches;
mod pierced;
mod plan;
mod reading;
mod region;
mod ridge;
mod samples;
mod seams;
pub(crate) mod sight;
pub(crate) mod smooth;
mod spans;
mod stop;
pub(crate) mod surface;
pub mod tolerance;
mod tree;
pub mod types;
mod undersides;
mod zone;

pub use cone::{
    About, AboutZone, DepthAsk, DepthCone, Floor, PatchCone, PointCone, SampleCone, Standing, Ways,
    ZoneCone,
};
pub use error::{RidgeError, RidgeRemark};
pub use footprint::MarginFootprint;
pub use margin_gap::MarginGap;
pub use outline::OutlineError;
pub use ridge::Ridge;
pub use stop::Stop;
pub use types::{IN_DOUBT_SHARE, SeatZone, UndercutSample, ZonePreview, ZoneReading};
