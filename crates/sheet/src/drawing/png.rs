//! A picture as PNG, drawn with the embedded font only. What it looks like is that of the SVG: a test draws that by
//! an independent library and compares.

use super::font;
use super::palette::on_paper;
use super::shape::{Anchor, Box2, Drawing, Ink, Label, Point, Shape, Stroke, Turn};
use tiny_skia::{
    FillRule, LineJoin, Paint, Path, PathBuilder, Pixmap, Rect, StrokeDash, Transform,
};

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
    /// A place in it is no number.
    #[error("the picture cannot be drawn: a place in it is not a finite number")]
    NotFinite,
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
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 1 and 16000, checked above"
    )]
    let mut pixels = Pixmap::new(columns as u32, rows as u32).ok_or_else(refused)?;
    let [r, g, b] = on_paper(Ink::Paper);
    pixels.fill(tiny_skia::Color::from_rgba8(r, g, b, 255));
    let mut brush = Brush {
        pixels,
        placed: Transform::from_scale(scale, scale),
    };
    for shape in &drawing.shapes {
        brush.shape(shape)?;
    }
    let packed = brush.pixels.encode_png();
    packed.map_err(|error| PictureError::Packing(error.to_string()))
}

/// What draws.
struct Brush {
    pixels: Pixmap,
    placed: Transform,
}

impl Brush {
    fn shape(&mut self, shape: &Shape) -> Result<(), PictureError> {
        match shape {
            Shape::Area { rings, ink } => {
                let mut path = PathBuilder::new();
                for ring in rings {
                    through(&mut path, ring)?;
                    path.close();
                }
                self.fill(path.finish(), *ink);
            }
            Shape::Line { points, stroke } => {
                let mut path = PathBuilder::new();
                through(&mut path, points)?;
                self.stroke(path.finish(), stroke);
            }
            Shape::Loop { points, stroke } => {
                let mut path = PathBuilder::new();
                through(&mut path, points)?;
                path.close();
                self.stroke(path.finish(), stroke);
            }
            Shape::Dot {
                centre,
                radius,
                fill,
                stroke,
            } => {
                let [x, y] = single(*centre)?;
                let [radius, _] = single([*radius, 0.0])?;
                let path = PathBuilder::from_circle(x, y, radius);
                if let Some(ink) = fill {
                    self.fill(path.clone(), *ink);
                }
                if let Some(stroke) = stroke {
                    self.stroke(path, stroke);
                }
            }
            Shape::Text(label) => self.text(label)?,
        }
        Ok(())
    }

    fn fill(&mut self, path: Option<Path>, ink: Ink) {
        self.fill_by(path, ink, FillRule::EvenOdd, Transform::identity());
    }

    /// A path without extent is none, and leaves nothing to be seen.
    fn fill_by(&mut self, path: Option<Path>, ink: Ink, rule: FillRule, turned: Transform) {
        if let Some(path) = path {
            let placed = self.placed.pre_concat(turned);
            self.pixels
                .fill_path(&path, &paint(ink), rule, placed, None);
        }
    }

    fn stroke(&mut self, path: Option<Path>, stroke: &Stroke) {
        let Some(path) = path else {
            return;
        };
        let width = narrow(stroke.width);
        let dash = stroke.dash.pattern().and_then(|pattern| {
            let parts = pattern.iter().map(|part| narrow(part * stroke.width));
            StrokeDash::new(parts.collect(), 0.0)
        });
        let look = tiny_skia::Stroke {
            width,
            line_join: LineJoin::Round,
            dash,
            ..tiny_skia::Stroke::default()
        };
        let paint = paint(stroke.ink);
        self.pixels
            .stroke_path(&path, &paint, &look, self.placed, None);
    }

    fn text(&mut self, label: &Label) -> Result<(), PictureError> {
        let [x, y] = single(label.at)?;
        if let Some(ink) = label.plate {
            let Box2 { min, max } = label.plate_bounds();
            self.fill(rounded(single(min)?, single(max)?), ink);
        }
        let wide = font::width(&label.text, label.size, label.weight);
        let from = match label.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -0.5 * wide,
            Anchor::End => -wide,
        };
        let turned = match label.turn {
            Turn::Level => Transform::identity(),
            Turn::Up => Transform::from_rotate_at(-90.0, x, y),
            Turn::Down => Transform::from_rotate_at(90.0, x, y),
        };
        let begin = single([label.at[0] + from, label.at[1]])?;
        let letters = font::outline(&label.text, label.size, label.weight, begin);
        self.fill_by(letters, label.ink, FillRule::Winding, turned);
        Ok(())
    }
}

fn paint(ink: Ink) -> Paint<'static> {
    let [r, g, b] = on_paper(ink);
    let mut paint = Paint::default();
    paint.set_color_rgba8(r, g, b, 255);
    paint
}

fn through(path: &mut PathBuilder, points: &[Point]) -> Result<(), PictureError> {
    for (index, point) in points.iter().enumerate() {
        let [x, y] = single(*point)?;
        if index == 0 {
            path.move_to(x, y);
        } else {
            path.line_to(x, y);
        }
    }
    Ok(())
}

/// Units by which the corners of a plate are rounded.
const ROUND: f32 = 2.0;

/// A box with rounded corners.
fn rounded([left, top]: [f32; 2], [right, bottom]: [f32; 2]) -> Option<Path> {
    let inner = Rect::from_ltrb(left + ROUND, top + ROUND, right - ROUND, bottom - ROUND)?;
    let mut path = PathBuilder::new();
    path.move_to(inner.left(), top);
    path.line_to(inner.right(), top);
    path.quad_to(right, top, right, inner.top());
    path.line_to(right, inner.bottom());
    path.quad_to(right, bottom, inner.right(), bottom);
    path.line_to(inner.left(), bottom);
    path.quad_to(left, bottom, left, inner.bottom());
    path.line_to(left, inner.top());
    path.quad_to(left, top, inner.left(), top);
    path.close();
    path.finish()
}

fn single(point: Point) -> Result<[f32; 2], PictureError> {
    if point.iter().all(|part| part.is_finite()) {
        Ok(point.map(narrow))
    } else {
        Err(PictureError::NotFinite)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "units of a picture; a pixel is far wider than single precision"
)]
fn narrow(units: f64) -> f32 {
    units as f32
}
