//! The view of the cast, in three parts that do not know each other's tools:
//!
//! * camera maths: [`camera`], no toolkit;
//! * picking: [`pick`], no graphics card;
//! * painting: `paint`, an off-screen pass that runs only when something changed.
//!
//! [`scene`] is what is shown, as plain data; [`cast`] is a scan made ready, [`survey_line`] the lines
//! on it; `solids` makes copings and rods of it; [`section`] cuts it along the draw, [`profile`] draws the cut. [`view`] is the
//! widget that brings them together and returns what the hand did as [`CastIntent`]s; `hand` is
//! what the hand does to it, `handles` what it takes hold of there, `overlay` writes on it, `hidden` of
//! what is not seen, `tooth_numbers` over the rods.
pub mod camera;
pub mod cast;
mod hand;
mod handles;
mod hidden;
mod overlay;
pub mod paint;
pub mod pick;
pub mod profile;
pub mod scene;
pub mod section;
mod solids;
pub mod survey_line;
mod tooth_numbers;
pub mod view;

pub use camera::{Camera, FixedView, PictureRoom, Projection};
pub use cast::{CastModel, DepthField};
pub use handles::{Handle, PointKey};
pub use scene::{
    CastScene, CopingInView, Edited, Freshness, GaugeReading, Joined, Mark, WallState, ZoneInView,
};
pub use view::{CastIntent, CastViewport, Look, PickedPoint, Restore};
