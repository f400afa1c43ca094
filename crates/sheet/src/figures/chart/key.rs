//! What the lines mean, in the corners of a picture too small for names among them.

use super::areas::{
    common_draw_stroke, coping_stroke, depth_stroke, limit_stroke, zone_limit_stroke,
};
use super::disc::Disc;
use super::figure::{ChartFigure, NamedRing};
use crate::drawing::{Anchor, Box2, Ink, Label, Placer, Point, Shape, Stroke, Turn, Weight};
use crate::format::words::plain;

/// Length of the piece of line before its name, in heights of the font.
const SAMPLE: f64 = 1.5;

/// Distance between lines of text, in heights of the font.
const LINE: f64 = 1.25;

/// At most so many copings have an entry each; more share one.
const COPINGS: usize = 2;

/// A line of the key.
struct Entry {
    stroke: Stroke,
    fill: Option<Ink>,
    words: String,
}

fn entry(stroke: Stroke, words: impl Into<String>) -> Entry {
    Entry {
        stroke,
        fill: None,
        words: words.into(),
    }
}

/// What there is to explain, for the corners from the upper left one clockwise.
fn entries(figure: &ChartFigure) -> [Vec<Entry>; 4] {
    let mut corners: [Vec<Entry>; 4] = Default::default();
    if !figure.acceptable.is_empty() {
        corners[0].push(Entry {
            stroke: Stroke::solid(Ink::Acceptable, 2.4),
            fill: Some(Ink::AcceptableFill),
            words: "acceptable".into(),
        });
    }
    if figure.common_draw.is_some() {
        corners[0].push(entry(common_draw_stroke(), "walls release"));
    }
    let mut names: Vec<&str> = figure.copings.iter().map(|c| c.name.as_str()).collect();
    names.dedup();
    if names.len() > COPINGS {
        corners[1].push(entry(coping_stroke(0), "each coping"));
    } else {
        for name in names {
            let of = |coping: &&NamedRing| coping.name == name;
            let index = figure
                .copings
                .iter()
                .position(|coping| of(&coping))
                .unwrap_or_default();
            let words = format!("{} allows", plain(name));
            corners[1].push(entry(coping_stroke(index), words));
        }
    }
    if !figure.depths.is_empty() {
        corners[2].push(entry(depth_stroke(), "undercut, mm"));
    }
    if !figure.zone_limits.is_empty() {
        corners[2].push(entry(zone_limit_stroke(), "zone at limit"));
    }
    if figure
        .tilt_max_deg
        .is_some_and(|max| max < figure.reach_deg)
    {
        corners[3].push(entry(limit_stroke(), "limit of tilt"));
    }
    corners
}

/// Draws the key. An entry that would run into the disc or into words is left out.
pub(super) fn key(
    shapes: &mut Vec<Shape>,
    placer: &mut Placer,
    figure: &ChartFigure,
    disc: &Disc,
    room: Box2,
) {
    let size = disc.font_size;
    let line = LINE * size;
    for (corner, entries) in entries(figure).into_iter().enumerate() {
        let (right, below) = (corner == 1 || corner == 2, corner >= 2);
        let count = entries.len() as f64;
        for (nth, entry) in entries.into_iter().enumerate() {
            let wide = SAMPLE * size + 5.0 + Label::size_of(&entry.words, size, Weight::Regular)[0];
            let left = if right {
                room.max[0] - wide
            } else {
                room.min[0]
            };
            let top = if below {
                room.max[1] - line * (count - nth as f64)
            } else {
                room.min[1] + line * nth as f64
            };
            let bounds = Box2 {
                min: [left, top],
                max: [left + wide, top + size],
            };
            let nearest = bounds.nearest(disc.centre);
            if disc.holds(nearest) || !placer.is_free(&bounds) {
                continue;
            }
            placer.keep_off(bounds.grown(2.0));
            draw(shapes, &entry, bounds, size);
        }
    }
}

fn draw(shapes: &mut Vec<Shape>, entry: &Entry, bounds: Box2, size: f64) {
    let [x, y] = [bounds.min[0], f64::midpoint(bounds.min[1], bounds.max[1])];
    let end = x + SAMPLE * size;
    if let Some(ink) = entry.fill {
        let [top, foot] = [y - 0.4 * size, y + 0.4 * size];
        let ring = vec![[x, top], [end, top], [end, foot], [x, foot]];
        shapes.push(Shape::Area {
            rings: vec![ring.clone()],
            ink,
        });
        shapes.push(Shape::Loop {
            points: ring,
            stroke: Stroke {
                width: 1.6,
                ..entry.stroke
            },
        });
    } else {
        shapes.push(Shape::Line {
            points: vec![[x, y], [end, y]],
            stroke: entry.stroke,
        });
    }
    let at: Point = Label::baseline_in([end + 5.0, bounds.min[1]], size);
    shapes.push(Shape::Text(Label {
        text: entry.words.clone(),
        at,
        anchor: Anchor::Start,
        turn: Turn::Level,
        size,
        weight: Weight::Regular,
        ink: Ink::Quiet,
        plate: None,
    }));
}
