//! Regions and contours, and what they are called.

use super::disc::{Disc, circle, on_circle};
use super::figure::{ChartFigure, ChartPoint};
use super::marks::{Near, Note, note};
use crate::drawing::{Dash, Ink, Placer, Point, Shape, Stroke, Weight, hatch};
use crate::format::numbers::stepped;
use crate::format::words::plain;

/// Units between strokes of the hatching, measured along an axis.
const HATCH: f64 = 11.0;

/// Fillings: below every line.
pub(super) fn fillings(shapes: &mut Vec<Shape>, figure: &ChartFigure, disc: &Disc) {
    for region in &figure.acceptable {
        let rings: Vec<Vec<Point>> = std::iter::once(&region.outer)
            .chain(&region.holes)
            .filter(|ring| ring.len() > 2)
            .map(|ring| disc.ring(ring))
            .collect();
        let strokes = hatch(&rings, HATCH);
        shapes.push(Shape::Area {
            rings,
            ink: Ink::AcceptableFill,
        });
        shapes.extend(strokes.into_iter().map(|stroke| Shape::Line {
            points: stroke.to_vec(),
            stroke: Stroke::solid(Ink::AcceptableHatch, 1.2),
        }));
    }
}

/// The line of a coping's outline, by its place among the copings, so that neighbours differ, and
/// from every other line.
pub(super) fn coping_stroke(index: usize) -> Stroke {
    let dash = [Dash::Short, Dash::DashDot, Dash::DashDotDot][index % 3];
    Stroke::dashed(Ink::Coping, 1.6, dash)
}

/// The names of the copings that have an outline, each once, in the order of their lines.
pub(super) fn coping_names(figure: &ChartFigure) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for coping in &figure.copings {
        if !names.contains(&coping.name.as_str()) {
            names.push(&coping.name);
        }
    }
    names
}

/// The line around the draws that all walls share.
pub(super) fn common_draw_stroke() -> Stroke {
    Stroke::dashed(Ink::CommonDraw, 2.2, Dash::Long)
}

/// The circle of the greatest tilt.
pub(super) fn limit_stroke() -> Stroke {
    Stroke::dashed(Ink::Quiet, 1.4, Dash::Dots)
}

/// The border of what a zone allows.
pub(super) fn zone_limit_stroke() -> Stroke {
    Stroke::dashed(Ink::Depth, 2.2, Dash::LongShort)
}

/// A contour of depth.
pub(super) fn depth_stroke() -> Stroke {
    Stroke::solid(Ink::Depth, 1.1)
}

/// Lines, from the quiet ones to those that matter.
pub(super) fn lines(shapes: &mut Vec<Shape>, figure: &ChartFigure, disc: &Disc) {
    for contour in &figure.depths {
        for points in contour.lines.iter().flat_map(|line| disc.line(line)) {
            let stroke = depth_stroke();
            shapes.push(Shape::Line { points, stroke });
        }
    }
    for limit in &figure.zone_limits {
        for points in limit.lines.iter().flat_map(|line| disc.line(line)) {
            let stroke = zone_limit_stroke();
            shapes.push(Shape::Line { points, stroke });
        }
    }
    let names = coping_names(figure);
    for coping in &figure.copings {
        let index = names.iter().position(|name| *name == coping.name);
        let stroke = coping_stroke(index.unwrap_or_default());
        outline(shapes, disc, &coping.ring, stroke);
    }
    if let Some(tilt_max) = figure.tilt_max_deg.filter(|max| *max < figure.reach_deg) {
        circle(shapes, disc, tilt_max, limit_stroke());
    }
    if let Some(ring) = &figure.common_draw {
        if let [only] = ring[..]
            && disc.holds(disc.place(only))
        {
            shapes.push(Shape::Dot {
                centre: disc.place(only),
                radius: 5.0,
                fill: None,
                stroke: Some(Stroke::solid(Ink::CommonDraw, 2.2)),
            });
        }
        outline(shapes, disc, ring, common_draw_stroke());
    }
    for region in &figure.acceptable {
        for ring in std::iter::once(&region.outer).chain(&region.holes) {
            outline(shapes, disc, ring, Stroke::solid(Ink::Acceptable, 2.4));
        }
    }
}

fn outline(shapes: &mut Vec<Shape>, disc: &Disc, ring: &[ChartPoint], stroke: Stroke) {
    let parts = disc.line(&closed(ring));
    shapes.extend(
        parts
            .into_iter()
            .map(|points| Shape::Line { points, stroke }),
    );
}

fn closed(ring: &[ChartPoint]) -> Vec<ChartPoint> {
    ring.iter().chain(ring.first()).copied().collect()
}

/// Names of regions and lines, beside them.
pub(super) fn labels(
    shapes: &mut Vec<Shape>,
    placer: &mut Placer,
    figure: &ChartFigure,
    disc: &Disc,
) {
    let mut name = |text: String, ink: Ink, places: Vec<Point>, farthest: f64| {
        let words = Note {
            lines: &[text],
            ink,
            weight: Weight::Regular,
        };
        let near = Near {
            places: &spread(places),
            clearance: 5.0,
            farthest,
        };
        note(shapes, placer, disc, &words, &near);
    };
    if !disc.is_small() {
        names_of_regions(&mut name, figure, disc);
        for limit in &figure.zone_limits {
            let zones: Vec<String> = limit.zones.iter().map(|name| plain(name)).collect();
            let text = format!("limit of {}", zones.join(" and "));
            name(text, Ink::Depth, inner_points(disc, &limit.lines), 12.0);
        }
    }
    for contour in &figure.depths {
        let points = inner_points(disc, &contour.lines);
        if !points.is_empty() {
            let text = format!("{} mm", stepped(contour.depth_mm, 0.01, 2));
            let farthest = if disc.is_small() { 7.0 } else { 12.0 };
            name(text, Ink::Depth, points, farthest);
        }
    }
}

/// Points of the longest of some lines, off the rim: outside of it a depth would stand among the
/// words.
fn inner_points(disc: &Disc, lines: &[Vec<ChartPoint>]) -> Vec<Point> {
    let parts = lines.iter().flat_map(|line| disc.line(line));
    let mut points = parts
        .max_by(|a, b| a.len().cmp(&b.len()))
        .unwrap_or_default();
    let inner = Disc {
        radius: disc.radius * 0.86,
        ..*disc
    };
    points.retain(|point| inner.holds(*point));
    points
}

/// What regions and outlines are called.
fn names_of_regions(
    name: &mut impl FnMut(String, Ink, Vec<Point>, f64),
    figure: &ChartFigure,
    disc: &Disc,
) {
    let far = disc.radius * 1.5;
    let acceptable: Vec<Point> = figure
        .acceptable
        .iter()
        .max_by(|a, b| a.outer.len().cmp(&b.outer.len()))
        .map_or_else(Vec::new, |region| on_line(disc, &region.outer));
    if !acceptable.is_empty() {
        name("acceptable tilts".into(), Ink::Acceptable, acceptable, far);
    }
    if let Some(ring) = &figure.common_draw {
        let places = on_line(disc, ring);
        name("all walls release".into(), Ink::CommonDraw, places, far);
    }
    for coping in &figure.copings {
        let text = format!("{} allows", plain(&coping.name));
        name(text, Ink::Coping, on_line(disc, &coping.ring), far);
    }
    if let Some(tilt_max) = figure.tilt_max_deg.filter(|max| *max < figure.reach_deg) {
        let places = if disc.is_magnified() {
            disc.circle(tilt_max).into_iter().flatten().collect()
        } else {
            let places = [-0.9_f64, -2.3, 0.9, 2.3].map(|bearing| on_circle(tilt_max, bearing));
            places.map(|at| disc.place(at)).to_vec()
        };
        name("limit of tilt".into(), Ink::Quiet, places, 12.0);
    }
}

/// Points of a border inside the rim.
fn on_line(disc: &Disc, ring: &[ChartPoint]) -> Vec<Point> {
    match ring {
        [only] => Some(disc.place(*only))
            .filter(|place| disc.holds(*place))
            .into_iter()
            .collect(),
        _ => disc.line(&closed(ring)).into_iter().flatten().collect(),
    }
}

/// At most so many places are tried along a line.
const PLACES: usize = 28;

/// Evenly picked places.
fn spread(places: Vec<Point>) -> Vec<Point> {
    let step = places.len().div_ceil(PLACES).max(1);
    places.into_iter().step_by(step).collect()
}
