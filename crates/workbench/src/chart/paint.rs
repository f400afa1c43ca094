//! A drawing of `tiltbench_sheet` in the colours of the theme.

use crate::theme::{self, Palette};
use earcut::Earcut;
use egui::epaint::{CircleShape, Mesh, TextShape, Vertex, WHITE_UV};
use egui::{Color32, CornerRadius, FontId, Painter, Pos2, Rect, Shape, pos2};
use tiltbench_sheet::drawing::{self, Anchor, Box2, Ink, Label, Point, Turn, Weight};

/// Where a drawing's own units lie on the screen: it is drawn one unit a point, from here.
#[derive(Debug, Clone, Copy)]
pub(super) struct Origin(pub(super) Pos2);

impl Origin {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "screens are a few thousand points wide"
    )]
    pub(super) fn at(self, [x, y]: Point) -> Pos2 {
        self.0 + egui::vec2(x as f32, y as f32)
    }
}

/// The colour of a shape.
pub(super) fn colour(ink: Ink, p: &Palette) -> Color32 {
    match ink {
        Ink::Paper => p.raised,
        Ink::Ground => p.sunken,
        Ink::Grid => p.line,
        Ink::Axis => p.line_strong,
        Ink::Text => p.text,
        Ink::Quiet | Ink::Coping => p.text_weak,
        Ink::AcceptableFill => p.acceptable,
        Ink::AcceptableHatch => p.recommended.gamma_multiply(0.4),
        Ink::Acceptable | Ink::Recommended => p.recommended,
        Ink::CommonDraw => p.common_draw,
        Ink::Depth => p.contour,
        Ink::Pin => p.pin,
        Ink::Held => p.held,
        Ink::Missed => p.undercut,
    }
}

/// The colour of letters: lines may be fainter than words.
fn text_colour(ink: Ink, p: &Palette) -> Color32 {
    match ink {
        Ink::Depth => p.text_weak,
        Ink::Missed => p.state_text[2],
        _ => colour(ink, p),
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "widths and sizes of a few points"
)]
fn stroke(stroke: drawing::Stroke, p: &Palette) -> egui::Stroke {
    egui::Stroke::new(stroke.width as f32, colour(stroke.ink, p))
}

/// Turns a drawing into shapes of the screen.
pub(super) fn shapes(
    painter: &Painter,
    drawn: &[drawing::Shape],
    origin: Origin,
    palette: &Palette,
) -> Vec<Shape> {
    let mut out = Vec::with_capacity(drawn.len());
    for shape in drawn {
        match shape {
            drawing::Shape::Area { rings, ink } => {
                out.push(Shape::mesh(area(rings, origin, colour(*ink, palette))));
            }
            drawing::Shape::Line { points, stroke } => {
                line(&mut out, points, *stroke, origin, palette);
            }
            drawing::Shape::Loop { points, stroke } => {
                let closed: Vec<Point> = points.iter().chain(points.first()).copied().collect();
                line(&mut out, &closed, *stroke, origin, palette);
            }
            drawing::Shape::Dot {
                centre,
                radius,
                fill,
                stroke: around,
            } => dot(
                &mut out,
                (origin.at(*centre), *radius),
                *fill,
                *around,
                palette,
            ),
            drawing::Shape::Text(label) => text(&mut out, painter, label, origin, palette),
        }
    }
    out
}

fn area(rings: &[Vec<Point>], origin: Origin, colour: Color32) -> Mesh {
    let points: Vec<Point> = rings.iter().flatten().copied().collect();
    let mut holes: Vec<u32> = Vec::new();
    let mut count = 0_usize;
    for ring in rings.iter().take(rings.len().saturating_sub(1)) {
        count += ring.len();
        holes.extend(u32::try_from(count));
    }
    let mut indices: Vec<u32> = Vec::new();
    Earcut::new().earcut(points.iter().copied(), &holes, &mut indices);
    let vertices = points.iter().map(|&point| Vertex {
        pos: origin.at(point),
        uv: WHITE_UV,
        color: colour,
    });
    Mesh {
        vertices: vertices.collect(),
        indices,
        ..Mesh::default()
    }
}

pub(super) fn line(
    out: &mut Vec<Shape>,
    points: &[Point],
    look: drawing::Stroke,
    origin: Origin,
    palette: &Palette,
) {
    let points: Vec<Pos2> = points.iter().map(|&point| origin.at(point)).collect();
    let pen = stroke(look, palette);
    match look.dash.pattern() {
        None => out.push(Shape::line(points, pen)),
        Some(pattern) => out.extend(dashed(&points, pen, pattern)),
    }
}

/// A broken line: strokes and gaps by turns, in multiples of its width.
#[expect(clippy::cast_possible_truncation, reason = "dashes of a few points")]
fn dashed(points: &[Pos2], pen: egui::Stroke, pattern: &[f64]) -> Vec<Shape> {
    let parts = |first: usize| -> Vec<f32> {
        let parts = pattern.iter().skip(first).step_by(2);
        parts.map(|part| *part as f32 * pen.width).collect()
    };
    Shape::dashed_line_with_offset(points, pen, &parts(0), &parts(1), 0.0)
}

#[expect(clippy::cast_possible_truncation, reason = "radii of a few points")]
fn dot(
    out: &mut Vec<Shape>,
    (centre, radius): (Pos2, f64),
    fill: Option<Ink>,
    around: Option<drawing::Stroke>,
    palette: &Palette,
) {
    let radius = radius as f32;
    if let Some(ink) = fill {
        out.push(Shape::circle_filled(centre, radius, colour(ink, palette)));
    }
    let Some(around) = around else {
        return;
    };
    let pen = stroke(around, palette);
    match around.dash.pattern() {
        None => out.push(Shape::Circle(CircleShape::stroke(centre, radius, pen))),
        Some(pattern) => {
            let points: Vec<Pos2> = (0..=96_u8)
                .map(|step| {
                    let angle = std::f32::consts::TAU * f32::from(step) / 96.0;
                    centre + radius * egui::Vec2::angled(angle)
                })
                .collect();
            out.extend(dashed(&points, pen, pattern));
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "sizes of fonts")]
fn text(out: &mut Vec<Shape>, painter: &Painter, label: &Label, origin: Origin, p: &Palette) {
    if let Some(ink) = label.plate {
        let Box2 { min, max } = label.plate_bounds();
        let rect = Rect::from_two_pos(origin.at(min), origin.at(max));
        out.push(Shape::rect_filled(
            rect,
            CornerRadius::same(2),
            colour(ink, p),
        ));
    }
    let size = label.size as f32;
    let font: FontId = match label.weight {
        Weight::Regular => theme::plain(size),
        Weight::SemiBold => theme::strong(size),
    };
    let ink = text_colour(label.ink, p);
    let galley = painter.layout_no_wrap(label.text.clone(), font, ink);
    let first = galley.rows.first();
    let baseline = first.map_or(size, |row| {
        let glyph = row.row.glyphs.first();
        row.pos.y + glyph.map_or(size, |glyph| glyph.pos.y)
    });
    let back = match label.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => galley.size().x / 2.0,
        Anchor::End => galley.size().x,
    };
    let at = origin.at(label.at);
    // The galley's corner seen from the anchor, before and after the turn.
    let (pos, angle) = match label.turn {
        Turn::Level => (pos2(at.x - back, at.y - baseline), 0.0),
        Turn::Up => (
            pos2(at.x - baseline, at.y + back),
            -std::f32::consts::FRAC_PI_2,
        ),
        Turn::Down => (
            pos2(at.x + baseline, at.y - back),
            std::f32::consts::FRAC_PI_2,
        ),
    };
    out.push(TextShape::new(pos, galley, ink).with_angle(angle).into());
}
