//! Seat zones of the ridge, and what a draw costs on them.
//!
//! For a draw `d` (a unit vector of the cast frame, the way the finished prosthesis leaves):
//!
//! * a point of the surface is **undercut** if it faces away from `d` (`n · d < 0` by more than
//!   [`crate::tolerance::MET_RAD`]), or if a line from it along `d` meets the scan again;
//! * the **undercut depth** of an undercut point is what an undercut gauge reads: the shortest
//!   straight way across `d`, in air, to where the line along `d` is free;
//! * the **blockout volume** is the air below what faces away, along `-d`, down to the next surface.
//!
//! Each zone is cut into samples with no edge over 0.25 mm, judged at their centroids by straight
//! lines and the facets themselves, in `f64`. Promise: areas as by the reference in
//! [`Ridge::undercut_samples`]; depths as `gauge` says, with what it may miss; the same bits on any
//! number of threads. Not promised: anything about what a scan does not show, such as a floor
//! beyond an open border.
//!
//! * `types`: zones as they are asked for, and their readings.
//! * `ridge`: the ridge of a case, and everything that can be read off it.
//! * `cut`: a cast cut into zones, and how it is looked at. `stop`: giving up.
//! * `holes`: what the holes of a scan hide.
//! * `judge`: what holds at each sample. `glance`: the same with far fewer gauge readings.
//! * `facing`: area that faces away from a draw. `groups`: samples by patch and sector. `cluster`: the cast with fewer facets.
//! * `error`: why a ridge cannot be read, and remarks on one that can.
//! * `footprint`: what a coping takes out of the seat. `margin_gap`: how well its margin lies on the scan.
//! * `outline`, `clip`, `samples`, `zone`: from a zone's bounds to its samples.
//! * `surface`, `smooth`: the mesh with its edges, its normals and its smoothed normals.
//! * `view`: the cast along one draw: what lies over a point, what a line across meets.
//! * `rim`: edges beside which the cast drops, seen along the draw.
//! * `gauge`: the shortest way out from an undercut point.
//! * `reading`: from samples to the figures of a zone.
//! * `tolerance`: every tolerance and limit of the readings.
pub(crate) mod clip;
mod cluster;
mod cut;
mod error;
mod facing;
mod footprint;
mod gauge;
mod glance;
mod groups;
mod holes;
mod judge;
mod margin_gap;
pub(crate) mod outline;
mod reading;
mod ridge;
mod rim;
mod samples;
pub(crate) mod smooth;
mod stop;
pub(crate) mod surface;
pub mod tolerance;
pub mod types;
pub(crate) mod view;
mod zone;

pub use error::{RidgeError, RidgeRemark};
pub use footprint::MarginFootprint;
pub use margin_gap::MarginGap;
pub use outline::OutlineError;
pub use ridge::Ridge;
pub use stop::Stop;
pub use types::{IN_DOUBT_SHARE, SeatZone, Told, UndercutSample, ZoneGlance, ZoneReading};
