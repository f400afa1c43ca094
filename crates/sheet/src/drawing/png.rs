//! A picture as PNG: the SVG, drawn with the embedded font only.

use super::font::{INTER_REGULAR, INTER_SEMIBOLD};
use super::shape::Drawing;
use super::svg::to_svg;
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

/// Pixels a side. Wider pictures are refused: they would take gigabytes.
const MOST_PIXELS: f64 = 16_000.0;

/// Why there is no picture.
#[derive(Debug, thiserror::Error)]
pub enum PictureError {
    /// The scale is not a positive number, or makes the picture too large.
    #[error(
        "a picture of {wide} x {high} units cannot be drawn {scale} times as large: it must \
             come to between 1 and 16000 pixels a side"
    )]
    Scale {
        /// The scale asked for.
        scale: f64,
        /// Width of the picture at scale 1.
        wide: f64,
        /// Height of the picture at scale 1.
        high: f64,
    },
    /// The picture could not be drawn.
    #[error("the picture cannot be drawn: {0}")]
    Drawing(#[from] resvg::usvg::Error),
    /// The pixels could not be packed.
    #[error("the picture cannot be packed as PNG: {0}")]
    Packing(String),
}

/// Draws a picture at `scale` pixels a unit.
///
/// # Errors
/// [`PictureError`]: a scale that makes less than one pixel or more than 16000 a side; otherwise
/// only where the drawing holds numbers that are not finite.
pub fn to_png(drawing: &Drawing, scale: f32) -> Result<Vec<u8>, PictureError> {
    let [wide, high] = drawing.size;
    let [columns, rows] = drawing.size.map(|side| (side * f64::from(scale)).round());
    let drawable = |pixels: f64| (1.0..=MOST_PIXELS).contains(&pixels);
    let refused = || PictureError::Scale {
        scale: f64::from(scale),
        wide,
        high,
    };
    if !drawable(columns) || !drawable(rows) {
        return Err(refused());
    }
    let mut options = Options {
        font_family: "Inter".into(),
        ..Options::default()
    };
    let fonts = options.fontdb_mut();
    fonts.load_font_data(INTER_REGULAR.to_vec());
    fonts.load_font_data(INTER_SEMIBOLD.to_vec());
    let tree = Tree::from_str(&to_svg(drawing), &options)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 1 and 16000, checked above"
    )]
    let mut pixels = Pixmap::new(columns as u32, rows as u32).ok_or_else(refused)?;
    resvg::render(
        &tree,
        Transform::from_scale(scale, scale),
        &mut pixels.as_mut(),
    );
    pixels
        .encode_png()
        .map_err(|error| PictureError::Packing(error.to_string()))
}
