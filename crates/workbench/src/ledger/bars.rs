//! Figures against their limits, drawn.

use super::scales::{Beyond, beyond};
use super::scene::{WallCell, ZoneRow};
use super::signs;
use crate::theme::{Palette, size};
use crate::viewport::WallState;
use egui::accesskit::Role;
use egui::{Painter, Rect, Response, Sense, Shape, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2};
use tiltbench_geometry::coping::WallMetal;
use tiltbench_geometry::limits::Limits;
use tiltbench_solver::limit::LimitReading;

/// Gauge steps, mm.
/// Source: facts of the trade: undercut gauges of 0.25, 0.50 and 0.75 mm.
const GAUGES_MM: [f64; 3] = [0.25, 0.50, 0.75];

const HIGH: f32 = 15.0;
/// A bar is never narrower, points.
const LEAST: f32 = 30.0;
/// Depth of an arrowhead at the end of a scale, points.
const ARROW: f32 = 7.0;

/// What a bar says to those who do not see it, how wide it is, and the values at its ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bar<'a> {
    pub(super) name: &'a str,
    pub(super) wide: f32,
    pub(super) ends: [f64; 2],
}

/// A scale along a bar.
#[derive(Debug, Clone, Copy)]
struct Scale {
    rect: Rect,
    ends: [f64; 2],
}

impl Scale {
    #[expect(clippy::cast_possible_truncation, reason = "a part of 1")]
    fn x(&self, value: f64) -> f32 {
        let [from, to] = self.ends;
        let part = ((value - from) / (to - from)).clamp(0.0, 1.0) as f32;
        self.rect.left() + part * self.rect.width()
    }

    fn between(&self, from: f64, to: f64, inset: f32) -> Rect {
        let (left, right) = (self.x(from), self.x(to));
        Rect::from_min_max(
            pos2(left, self.rect.top() + inset),
            pos2(right.max(left + 2.0), self.rect.bottom() - inset),
        )
    }

    fn tick(&self, painter: &Painter, value: f64, stroke: Stroke) {
        painter.vline(self.x(value), self.rect.y_range(), stroke);
    }

    /// Arrowheads where a range goes on beyond the ends: what is drawn there is not where it is.
    fn arrows(&self, painter: &Painter, range: [f64; 2], palette: &Palette) {
        for end in beyond(range, self.ends) {
            let (tip, inward) = match end {
                Beyond::Low => (self.rect.left() + 1.0, ARROW),
                Beyond::High => (self.rect.right() - 1.0, -ARROW),
            };
            let middle = self.rect.center().y;
            let half = 0.5 * HIGH - 1.0;
            painter.add(Shape::convex_polygon(
                vec![
                    pos2(tip, middle),
                    pos2(tip + inward, middle - half),
                    pos2(tip + inward, middle + half),
                ],
                palette.text,
                Stroke::new(1.5, palette.raised),
            ));
        }
    }
}

fn allocate(ui: &mut Ui, bar: &Bar<'_>) -> (Scale, Response) {
    let room = Vec2::new(bar.wide.max(LEAST), HIGH);
    let (rect, response) = ui.allocate_exact_size(room, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, bar.name));
    let ends = bar.ends;
    (Scale { rect, ends }, response)
}

/// The range of a wall's drafts between its limits.
pub(super) fn drafts_ui(
    ui: &mut Ui,
    cell: &WallCell,
    bar: &Bar<'_>,
    palette: &Palette,
) -> Response {
    let (scale, response) = allocate(ui, bar);
    let rect = scale.rect;
    let painter = ui.painter_at(rect.expand(1.0));
    painter.rect_filled(rect, 2.0, palette.sunken);
    let judged = cell.guides && cell.metal.is_none();
    if judged {
        let [least, most] = cell.bounds_rad.map(f64::to_degrees);
        let allowed = scale.between(least, most, 0.0);
        painter.rect_filled(allowed, 0.0, palette.chosen);
        for bound in [least, most] {
            scale.tick(&painter, bound, Stroke::new(size::LINE, palette.text));
        }
    }
    scale.tick(&painter, 0.0, Stroke::new(size::HAIR, palette.line_strong));
    let least = cell.draft.least_rad.to_degrees();
    let most = cell.draft.most_rad.to_degrees();
    let range = scale.between(least, most, 4.0);
    let colour = signs::colour(cell.state, palette);
    painter.rect_filled(range, 1.0, colour);
    signs::pattern(&painter, range, cell.state, palette.raised);
    painter.rect_stroke(
        range,
        1.0,
        Stroke::new(size::HAIR, colour),
        StrokeKind::Outside,
    );
    let centre = scale.x(cell.draft.centre_rad.to_degrees());
    let mark = [
        pos2(centre, range.top() - 2.0),
        pos2(centre, range.bottom() + 2.0),
    ];
    painter.line_segment(mark, Stroke::new(4.0, palette.raised));
    painter.line_segment(mark, Stroke::new(2.0, palette.text));
    scale.arrows(&painter, [least, most], palette);
    border(&painter, rect, palette);
    response
}

/// The metal over a wall between its limits.
pub(super) fn metal_ui(
    ui: &mut Ui,
    metal: &WallMetal,
    limits: &Limits,
    (bar, broken): (&Bar<'_>, bool),
    palette: &Palette,
) -> Response {
    let (scale, response) = allocate(ui, bar);
    let rect = scale.rect;
    let painter = ui.painter_at(rect.expand(1.0));
    painter.rect_filled(rect, 2.0, palette.sunken);
    let allowed = scale.between(limits.metal_min_mm, limits.metal_max_mm, 0.0);
    painter.rect_filled(allowed, 0.0, palette.chosen);
    for bound in [limits.metal_min_mm, limits.metal_max_mm] {
        scale.tick(&painter, bound, Stroke::new(size::LINE, palette.text));
    }
    let state = if broken {
        WallState::Undercut
    } else {
        WallState::Releases
    };
    let range = scale.between(metal.least_mm, metal.most_mm, 4.0);
    painter.rect_filled(range, 1.0, signs::colour(state, palette));
    signs::pattern(&painter, range, state, palette.raised);
    scale.arrows(&painter, [metal.least_mm, metal.most_mm], palette);
    border(&painter, rect, palette);
    response
}

fn border(painter: &Painter, rect: Rect, palette: &Palette) {
    let pen = Stroke::new(size::HAIR, palette.line);
    painter.rect_stroke(rect, 2.0, pen, StrokeKind::Inside);
}

/// A zone's depth against its limit, with the gauge's steps.
pub(super) fn depth_ui(ui: &mut Ui, zone: &ZoneRow, bar: &Bar<'_>, palette: &Palette) -> Response {
    let limit = zone.limit_mm;
    let depth = zone.left_mm.or(zone.read.map(|read| read.depth_mm));
    against_ui(ui, bar, (depth, limit), zone.judged.as_ref(), palette)
}

/// A sum of depths against its limit.
pub(super) fn sum_ui(
    ui: &mut Ui,
    judged: &LimitReading,
    bar: &Bar<'_>,
    palette: &Palette,
) -> Response {
    let (value, bound) = (Some(judged.value), Some(judged.limit.bound));
    against_ui(ui, bar, (value, bound), Some(judged), palette)
}

fn against_ui(
    ui: &mut Ui,
    bar: &Bar<'_>,
    (value, limit): (Option<f64>, Option<f64>),
    judged: Option<&LimitReading>,
    palette: &Palette,
) -> Response {
    let (scale, response) = allocate(ui, bar);
    let rect = scale.rect;
    let painter = ui.painter_at(rect.expand(1.0));
    let end = bar.ends[1];
    painter.rect_filled(rect, 2.0, palette.sunken);
    let broken = judged.is_some_and(|reading| !reading.met);
    if let Some(value) = value.filter(|value| *value > 0.0) {
        let bar = scale.between(0.0, value, 4.0);
        let step = GAUGES_MM.iter().filter(|gauge| value > **gauge).count();
        painter.rect_filled(bar, 1.0, palette.depth[step]);
        if broken && let Some(limit) = limit {
            let beyond = scale.between(limit, value, 4.0);
            painter.rect_filled(beyond, 0.0, palette.undercut);
            signs::pattern(&painter, beyond, WallState::Undercut, palette.raised);
        }
    }
    for gauge in GAUGES_MM.iter().filter(|gauge| **gauge < end) {
        let x = scale.x(*gauge);
        let foot = rect.bottom();
        painter.vline(
            x,
            (foot - 4.0)..=foot,
            Stroke::new(size::HAIR, palette.line_strong),
        );
    }
    if let Some(limit) = limit {
        scale.tick(&painter, limit, Stroke::new(2.0, palette.text));
    }
    let range = value.unwrap_or(0.0);
    scale.arrows(&painter, [range, range], palette);
    border(&painter, rect, palette);
    response
}
