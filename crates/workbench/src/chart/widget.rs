//! The widget.

use super::borders::{border_of, pointed_at};
use super::handle::{self, Drag};
use super::lens::Lens;
use super::paint::{self, Origin};
use super::pins;
use super::reading::{Breaks, ChartReading};
use super::scene::{ChartIntent, ChartScene, RidgeLines};
use crate::pointed::Pointed;
use crate::theme::{self, Palette, size};
use crate::viewport::Freshness;
use egui::accesskit::Role;
use egui::{Pos2, Rect, Response, RichText, Sense, Shape, Stroke, StrokeKind, Tooltip, Ui, Vec2};
use std::sync::Arc;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::drawing::{self, Box2, Ink};
use tiltbench_sheet::figures::chart::{
    ChartFigure, ChartPoint, Disc, SideWords, disc as draw_disc,
};
use tiltbench_sheet::format::numbers::{angle, typeset};
use tiltbench_sheet::format::words::{capitalised, tilt_as_it_stands};

/// Points. Room for the words around the disc: beside it, and above or below.
const BESIDE: f32 = 108.0;
const ABOVE: f32 = 62.0;
/// Points. The same where the words run along the rim, and above and below stand in one line.
const ALONG: f32 = 32.0;
const ABOVE_ALONG: f32 = 33.0;
/// Points. Narrower than this, words at the sides run along the rim.
const NARROW: f32 = 620.0;
/// Points. Least radius at which a chart can be read.
const LEAST_RADIUS: f32 = 90.0;
/// Points. How near to an outline the pointer points at it.
const NEAR: f32 = 5.0;

/// The tilt chart. Keep one per window: it remembers what it drew.
#[derive(Debug, Default)]
pub struct TiltChart {
    drawn: Option<Drawn>,
    border: Option<Border>,
    drag: Option<Drag>,
    pointed: Option<Pointed>,
    lens: Lens,
}

/// The picture below the handle, and what it was made of.
#[derive(Debug)]
struct Drawn {
    figure: Arc<ChartFigure>,
    rect: Rect,
    disc: Disc,
    pixels_per_point: f32,
    palette: &'static Palette,
    /// The held tilt as it rested when this was drawn: labels keep off it.
    rested: Tilt,
    shapes: Vec<Shape>,
    /// The label of the held tilt: left out while it moves.
    held_label: Vec<Shape>,
}

/// The border of what is lit, and what it was made of.
#[derive(Debug)]
struct Border {
    lit: Pointed,
    copings: Arc<Vec<Coping>>,
    figure: Arc<ChartFigure>,
    lines: Vec<Vec<ChartPoint>>,
}

impl TiltChart {
    /// How many lines are lit, of what is pointed at: for tests.
    pub fn lit_lines(&self) -> usize {
        self.border.as_ref().map_or(0, |border| border.lines.len())
    }

    /// Draws the chart in the room there is, and says what the hand did. `read` is asked what there
    /// is to say at the tilt under the pointer; it should answer within a few milliseconds.
    pub fn ui(
        &mut self,
        ui: &mut Ui,
        scene: &ChartScene,
        read: &mut dyn FnMut(&Tilt) -> ChartReading,
    ) -> Vec<ChartIntent> {
        let readout = 2.0 * size::ROW + size::GAP;
        let room = ui.available_size() - Vec2::new(0.0, readout);
        let least = 2.0 * (LEAST_RADIUS + ABOVE_ALONG);
        let wide = room.x.max(least);
        let above = if wide < NARROW { ABOVE_ALONG } else { ABOVE };
        let high = room
            .y
            .clamp(least, (wide + 2.0 * (above - ALONG)).max(least));
        let (rect, response) =
            ui.allocate_exact_size(Vec2::new(wide, high), Sense::click_and_drag());
        let palette = theme::palette(ui);
        let lens = self.lens.of(scene, self.drag.is_some());
        let disc = disc_in(rect, lens);
        let origin = Origin(rect.min);
        let words = held_in_words(scene);
        let name = format!("Tilt chart, held: {words}");
        response.widget_info(|| egui::WidgetInfo::labeled(Role::Slider, true, name.clone()));
        let mut intents = Vec::new();
        let pinned = pins::pressed(ui, &scene.figure, (&disc, origin), response.id, palette);
        intents.extend(pinned.map(ChartIntent::Hold));
        let reach_deg = scene.figure.reach_deg;
        let mouse = handle::mouse(
            ui,
            &response,
            (&scene.held, reach_deg),
            &mut self.drag,
            (&disc, origin),
        );
        intents.extend(mouse);
        if response.has_focus() {
            let keys = handle::keys(ui, &response, &scene.held, scene.figure.reach_deg);
            intents.extend(keys);
            self.lens.keys(ui);
        }
        self.paint(ui, rect, &disc, scene, palette);
        let held = disc.place(ChartPoint::of_tilt(&scene.held));
        if disc.holds(held) {
            handle::paint(&ui.painter_at(rect), origin.at(held), self.drag, palette);
        }
        if response.has_focus() {
            let pen = Stroke::new(2.0, palette.accent);
            ui.painter_at(rect)
                .rect_stroke(rect, size::ROUND, pen, StrokeKind::Inside);
        }
        self.hover(ui, &response, scene, (&disc, origin), read, &mut intents);
        readout_ui(ui, scene, &words, &mut self.lens);
        intents
    }

    fn paint(
        &mut self,
        ui: &Ui,
        rect: Rect,
        disc: &Disc,
        scene: &ChartScene,
        palette: &'static Palette,
    ) {
        let painter = ui.painter_at(rect);
        let origin = Origin(rect.min);
        let pixels_per_point = ui.pixels_per_point();
        let same = self.drawn.as_ref().is_some_and(|drawn| {
            Arc::ptr_eq(&drawn.figure, &scene.figure)
                && drawn.rect == rect
                && drawn.disc == *disc
                && drawn.pixels_per_point.to_bits() == pixels_per_point.to_bits()
                && std::ptr::eq(drawn.palette, palette)
                && (self.drag.is_some() || drawn.rested == scene.held)
        });
        if !same {
            let room = Box2 {
                min: [1.0, 1.0],
                max: [
                    f64::from(rect.width()) - 1.0,
                    f64::from(rect.height()) - 1.0,
                ],
            };
            let mut figure = ChartFigure::clone(&scene.figure);
            figure.held = Some(ChartPoint::of_tilt(&scene.held));
            let (held, others): (Vec<_>, Vec<_>) = draw_disc(&figure, disc, room)
                .into_iter()
                .partition(is_of_held);
            let is_label = |shape: &drawing::Shape| matches!(shape, drawing::Shape::Text(_));
            let labels: Vec<_> = held.into_iter().filter(is_label).collect();
            self.drawn = Some(Drawn {
                figure: scene.figure.clone(),
                rect,
                disc: *disc,
                pixels_per_point,
                palette,
                rested: scene.held,
                shapes: paint::shapes(&painter, &others, origin, palette),
                held_label: paint::shapes(&painter, &labels, origin, palette),
            });
        }
        if let Some(drawn) = &self.drawn {
            painter.extend(drawn.shapes.iter().cloned());
            if self.drag.is_none() {
                painter.extend(drawn.held_label.iter().cloned());
            }
        }
        painter.extend(doubt(scene, disc, origin, palette));
        self.update_border(scene);
        let lit = Stroke::new(3.0, palette.lit);
        for points in self.border.iter().flat_map(|border| &border.lines) {
            for part in disc.line(points) {
                let part = part.into_iter().map(|point| origin.at(point)).collect();
                painter.add(Shape::line(part, lit));
            }
        }
    }

    fn update_border(&mut self, scene: &ChartScene) {
        let Some(lit) = &scene.lit else {
            self.border = None;
            return;
        };
        let same = self.border.as_ref().is_some_and(|border| {
            border.lit == *lit
                && Arc::ptr_eq(&border.copings, &scene.copings)
                && Arc::ptr_eq(&border.figure, &scene.figure)
        });
        if !same {
            self.border = Some(Border {
                lit: lit.clone(),
                copings: scene.copings.clone(),
                figure: scene.figure.clone(),
                lines: border_of(lit, scene),
            });
        }
    }

    fn hover(
        &mut self,
        ui: &Ui,
        response: &Response,
        scene: &ChartScene,
        (disc, origin): (&Disc, Origin),
        read: &mut dyn FnMut(&Tilt) -> ChartReading,
        intents: &mut Vec<ChartIntent>,
    ) {
        let inside = |at: &Pos2| f64::from((*at - origin.at(disc.centre)).length()) <= disc.radius;
        // Marks lie over the chart and are read through.
        let free = response.contains_pointer() && self.drag.is_none();
        let under = ui
            .input(|input| input.pointer.hover_pos())
            .filter(|at| free && inside(at));
        let pointed = under.and_then(|at| outline_at(at, scene, (disc, origin)));
        if pointed != self.pointed {
            self.pointed.clone_from(&pointed);
            intents.push(ChartIntent::Points(pointed));
        }
        let reach_deg = scene.figure.reach_deg;
        let tilt = under.and_then(|at| handle::tilt_at(at, reach_deg, (disc, origin)));
        let Some(tilt) = tilt else {
            return;
        };
        let reading = read(&tilt);
        let pin = under.and_then(|at| pins::name_at(&scene.figure, (disc, origin), at));
        let id = response.id.with("reading");
        let tip = Tooltip::always_open(
            ui.ctx().clone(),
            ui.layer_id(),
            id,
            egui::PopupAnchor::Pointer,
        );
        tip.gap(14.0)
            .show(|ui| reading_ui(ui, scene, (pin, &tilt), &reading));
    }
}

/// Whether a shape belongs to the held tilt. Its mark is the handle's business.
fn is_of_held(shape: &drawing::Shape) -> bool {
    match shape {
        drawing::Shape::Area { ink, .. } => *ink == Ink::Held,
        drawing::Shape::Line { stroke, .. } | drawing::Shape::Loop { stroke, .. } => {
            stroke.ink == Ink::Held
        }
        drawing::Shape::Dot { fill, stroke, .. } => {
            *fill == Some(Ink::Held) || stroke.is_some_and(|stroke| stroke.ink == Ink::Held)
        }
        drawing::Shape::Text(label) => label.ink == Ink::Held,
    }
}

/// The disc in the room of the widget. Its units are points from the corner of the widget.
fn disc_in(rect: Rect, (middle, reach_deg): (ChartPoint, f64)) -> Disc {
    let (sides, beside, above) = if rect.width() < NARROW {
        (SideWords::Along, ALONG, ABOVE_ALONG)
    } else {
        (SideWords::Beside, BESIDE, ABOVE)
    };
    let radius = (rect.width() / 2.0 - beside).min(rect.height() / 2.0 - above);
    Disc {
        centre: [
            f64::from(rect.width() / 2.0),
            f64::from(rect.height() / 2.0),
        ],
        radius: f64::from(radius),
        middle,
        reach_deg,
        font_size: f64::from(size::SMALL),
        sides,
    }
}

fn held_in_words(scene: &ChartScene) -> String {
    typeset(&tilt_as_it_stands(&scene.held, scene.figure.arch))
}

/// Strokes over the whole disc: what they cover belongs to an earlier state. Dots: it is there, but
/// may still move.
fn doubt(scene: &ChartScene, disc: &Disc, origin: Origin, palette: &Palette) -> Vec<Shape> {
    let look = match (scene.freshness, scene.ridge) {
        (Freshness::Stale, _) => drawing::Stroke::dashed(Ink::Axis, 1.0, drawing::Dash::Long),
        (_, RidgeLines::Coarse | RidgeLines::Missing) => {
            drawing::Stroke::dashed(Ink::Axis, 1.4, drawing::Dash::Dots)
        }
        (Freshness::Fresh, RidgeLines::Whole) => return Vec::new(),
    };
    let rim: Vec<[f64; 2]> = (0..72_u8)
        .map(|step| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(step) / 72.0).sin_cos();
            [
                disc.centre[0] + disc.radius * cos,
                disc.centre[1] + disc.radius * sin,
            ]
        })
        .collect();
    let mut shapes = Vec::new();
    for stroke in drawing::hatch(&[rim], 34.0) {
        paint::line(&mut shapes, &stroke, look, origin, palette);
    }
    shapes
}

/// The line under the pointer, as what is pointed at: a zone at its limit, what a coping allows, the
/// circle of the greatest tilt.
fn outline_at(at: Pos2, scene: &ChartScene, (disc, origin): (&Disc, Origin)) -> Option<Pointed> {
    let near = |points: &[ChartPoint]| {
        let pieces = points.windows(2);
        let distances = pieces.map(|ends| {
            let ends = [ends[0], ends[1]].map(|end| origin.at(disc.place(end)));
            distance(at, ends)
        });
        distances.fold(f32::INFINITY, f32::min)
    };
    let near_any = |pointed: Pointed| {
        let lines = border_of(&pointed, scene);
        let off = lines.iter().map(|line| near(line));
        (off.fold(f32::INFINITY, f32::min), pointed)
    };
    let figure = &scene.figure;
    let zones = figure.zone_limits.iter().filter_map(pointed_at);
    let copings = figure.copings.iter();
    let copings = copings.map(|coping| Pointed::Coping(coping.name.clone()));
    zones
        .chain(copings)
        .chain([Pointed::TiltLimit])
        .map(near_any)
        .filter(|(off, _)| *off <= NEAR)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, pointed)| pointed)
}

fn distance(at: Pos2, [from, to]: [Pos2; 2]) -> f32 {
    let (along, off) = (to - from, at - from);
    let length = along.length_sq();
    let part = if length > 0.0 {
        (off.dot(along) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (off - along * part).length()
}

fn reading_ui(
    ui: &mut Ui,
    scene: &ChartScene,
    (pin, tilt): (Option<String>, &Tilt),
    reading: &ChartReading,
) {
    let palette = theme::palette(ui);
    let strong = |text: String| RichText::new(text).font(theme::strong(size::BODY));
    if let Some(name) = pin {
        ui.label(strong(capitalised(&name)));
    }
    let words = typeset(&tilt_as_it_stands(tilt, scene.figure.arch));
    ui.label(strong(capitalised(&words)));
    let (verdict, colour) = match reading.acceptable {
        Some(true) => ("Acceptable", palette.state_text[0]),
        Some(false) => ("Not acceptable", palette.state_text[2]),
        None => ("The ridge is not read here", palette.text_weak),
    };
    let total = angle(tilt.total_rad());
    ui.label(format!("Total tilt {total}"));
    if scene.limits.is_some() {
        ui.label(strong(verdict.to_owned()).color(colour));
    }
    for line in &reading.lines {
        ui.label(typeset(line));
    }
    if let Some(first) = &reading.first {
        let (lead, colour) = match first.breaks {
            Breaks::OnTheWay => ("Broken first on the way there: ", palette.state_text[2]),
            Breaks::Already => ("Broken at the held tilt already: ", palette.state_text[2]),
            Breaks::Nowhere => ("Nearest limit: ", palette.text_weak),
        };
        let text = typeset(&format!("{lead}{}", first.limit));
        ui.label(RichText::new(text).color(colour));
    }
}

fn readout_ui(ui: &mut Ui, scene: &ChartScene, words: &str, lens: &mut Lens) {
    let palette = theme::palette(ui);
    let held = RichText::new(format!("Held: {words}"))
        .font(theme::strong(size::BODY))
        .color(palette.held);
    ui.add(egui::Label::new(held).wrap());
    let total = format!("Total tilt {}", angle(scene.held.total_rad()));
    let (note, colour) = match (scene.freshness, scene.ridge) {
        (Freshness::Stale, _) => (
            "Striped: newer figures are on their way.",
            palette.state_text[1],
        ),
        (Freshness::Fresh, RidgeLines::Coarse) => (
            "Dotted: what the ridge pays is coarse as yet.",
            palette.state_text[1],
        ),
        (Freshness::Fresh, RidgeLines::Missing) => (
            "Dotted: what the ridge pays is not read yet.",
            palette.state_text[1],
        ),
        (Freshness::Fresh, RidgeLines::Whole) => {
            ("Drag, click, or use arrow keys.", palette.text_weak)
        }
    };
    let text = format!("{total}. {note}");
    ui.horizontal(|ui| {
        let button = lens.button_width(ui);
        let room = Vec2::new((ui.available_width() - button).max(60.0), size::ROW);
        let layout = egui::Layout::left_to_right(egui::Align::Center);
        ui.allocate_ui_with_layout(room, layout, |ui| {
            ui.set_width(room.x);
            let text = RichText::new(text)
                .font(theme::plain(size::SMALL))
                .color(colour);
            ui.add(egui::Label::new(text).wrap())
                .on_hover_text("Arrow keys move by 0.5°, with shift by 0.1°");
        });
        lens.button_ui(ui);
    });
}
