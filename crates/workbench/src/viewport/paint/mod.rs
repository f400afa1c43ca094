//! Painting the cast: an off-screen pass when something changed, and a copy into the window.
//!
//! * `frame`: what the shaders need to know about one picture.
//! * `pipelines`: the shaders with their inputs.
//! * `target`: the textures a picture is drawn into.
//! * `stone`: the cast on the graphics card.
//! * `store`: what lies on the graphics card, per view of a cast.
//! * `callback`: the bridge to the toolkit's own painting.
mod callback;
mod frame;
mod pipelines;
mod stone;
mod store;
mod target;

pub(crate) use callback::PaintCast;
pub use callback::install;
pub use frame::CutPlane;
pub(crate) use frame::Frame;
