//! A picture as plain shapes. What a shape *is* (its [`Ink`]) is said here; which colour that has is
//! the writer's business, so that a sheet and a dark screen show the same picture.
//!
//! * `shape`: shapes, inks, strokes, labels. `font`: the embedded font and how wide a text is.
//! * `place`: finds room for labels. `trim`: lines and areas cut at a circle, hatching.
//! * `palette`: the colours on paper. `svg`, `png`: writers.
mod font;
mod palette;
mod place;
mod png;
mod shape;
mod svg;
mod trim;

pub use font::{INTER_REGULAR, INTER_SEMIBOLD, width, wrap};
pub use place::{Placed, Placer};
pub use png::{PictureError, to_png};
pub use shape::{Anchor, Box2, Dash, Drawing, Ink, Label, Point, Shape, Stroke, Turn, Weight};
pub use svg::to_svg;
pub use trim::{hatch, trimmed_line};
