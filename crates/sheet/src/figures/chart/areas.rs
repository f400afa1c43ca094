//! Regions and contours, and what they are called.

use super::disc::Disc;
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

/// The dash of a coping's outline, by its place in the list, so that neighbours differ.
pub(super) fn coping_dash(index: usize) -> Dash {
    [Dash::Short, Dash::Dots, Dash::Long][index % 3]
}

/// Lines, from the quiet ones to those that matter.
pub(super) fn lines(shapes: &mut Vec<Shape>, figure: &ChartFigure, disc: &Disc) {
    for contour in &figure.depths {
        for points in contour.lines.iter().flat_map(|line| disc.line(line)) {
            let stroke = Stroke::solid(Ink::Depth, 1.1);
            shapes.push(Shape::Line { points, stroke });
        }
    }
    for (index, coping) in figure.copings.iter().enumerate() {
        let stroke = Stroke::dashed(Ink::Coping, 1.6, coping_dash(index));
        outline(shapes, disc, &coping.ring, stroke);
    }
    if let Some(tilt_max) = figure.tilt_max_deg.filter(|max| *max < figure.reach_deg) {
        shapes.push(Shape::Dot {
            centre: disc.centre,
            radius: tilt_max * disc.scale(),
            fill: None,
            stroke: Some(Stroke::dashed(Ink::Quiet, 1.4, Dash::Dots)),
        });
    }
    if let Some(ring) = &figure.common_draw {
        if let [only] = ring[..] {
            shapes.push(Shape::Dot {
                centre: disc.place(only),
                radius: 5.0,
                fill: None,
                stroke: Some(Stroke::solid(Ink::CommonDraw, 2.2)),
            });
        }
        let stroke = Stroke::dashed(Ink::CommonDraw, 2.2, Dash::Long);
        outline(shapes, disc, ring, stroke);
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
        let places = [-0.9_f64, -2.3, 0.9, 2.3].map(|bearing| {
            let (sin, cos) = bearing.sin_cos();
            disc.place(ChartPoint {
                right_deg: tilt_max * cos,
                up_deg: tilt_max * sin,
            })
        });
        name("limit of tilt".into(), Ink::Quiet, places.to_vec(), 12.0);
    }
    for contour in &figure.depths {
        let longest = contour
            .lines
            .iter()
            .flat_map(|line| disc.line(line))
            .max_by(|a, b| a.len().cmp(&b.len()));
        if let Some(mut points) = longest {
            // Off the rim: outside of it a depth would stand among the words.
            let inner = disc.radius * 0.86;
            let from_middle = |p: &Point| (p[0] - disc.centre[0]).hypot(p[1] - disc.centre[1]);
            points.retain(|point| from_middle(point) < inner);
            let text = format!("{} mm", stepped(contour.depth_mm, 0.01, 2));
            name(text, Ink::Depth, points, 12.0);
        }
    }
}

/// Points of a border inside the rim.
fn on_line(disc: &Disc, ring: &[ChartPoint]) -> Vec<Point> {
    match ring {
        [only] => vec![disc.place(*only)],
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
