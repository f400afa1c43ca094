//! What the lines mean, in the corners of a picture too small for names among them.

use super::areas::{
    common_draw_stroke, coping_names, coping_stroke, depth_stroke, limit_stroke, zone_limit_stroke,
};
use super::disc::Disc;
use super::figure::ChartFigure;
use crate::drawing::{Anchor, Box2, Ink, Label, Placer, Point, Shape, Stroke, Turn, Weight};
use crate::format::words::plain;

/// Length of the piece of line before its name, in heights of the font: room for the longest pattern
/// once.
const SAMPLE: f64 = 2.0;
/// Units between it and the name.
const GAP: f64 = 4.0;

/// Distance between lines of text, in heights of the font: the second passes the words at the rim.
const LINE: f64 = 1.45;

/// At most so many copings have an entry each, as many as there are patterns; more share one.
const COPINGS: usize = 3;

/// A corner may have so many more lines than entries: one that finds no room in one may in the next.
const LATER: usize = 1;

/// A line of the key.
struct Entry {
    stroke: Stroke,
    fill: Option<Ink>,
    /// What it means, in full and, if there is no room for that, short.
    words: Vec<String>,
}

fn entry(stroke: Stroke, words: impl IntoIterator<Item = String>) -> Entry {
    Entry {
        stroke,
        fill: None,
        words: words.into_iter().collect(),
    }
}

/// What there is to explain, for the corners from the upper left one clockwise.
fn entries(figure: &ChartFigure) -> [Vec<Entry>; 4] {
    let mut corners: [Vec<Entry>; 4] = Default::default();
    if !figure.acceptable.is_empty() {
        corners[0].push(Entry {
            fill: Some(Ink::AcceptableFill),
            ..entry(
                Stroke::solid(Ink::Acceptable, 2.4),
                ["acceptable".to_owned()],
            )
        });
    }
    if figure.common_draw.is_some() {
        let words = ["all walls release".to_owned(), "walls release".to_owned()];
        corners[0].push(entry(common_draw_stroke(), words));
    }
    let names = coping_names(figure);
    if names.len() > COPINGS {
        corners[1].push(entry(coping_stroke(0), ["each coping".to_owned()]));
    } else {
        for (index, name) in names.into_iter().enumerate() {
            let words = format!("{} allows", plain(name));
            corners[1].push(entry(coping_stroke(index), [words]));
        }
    }
    if !figure.depths.is_empty() {
        let words = ["deepest zone, mm".to_owned(), "deepest zone".to_owned()];
        corners[2].push(entry(depth_stroke(), words));
    }
    corners[2].extend(zone_limits(figure));
    if figure
        .tilt_max_deg
        .is_some_and(|max| max < figure.reach_deg)
    {
        corners[3].push(entry(limit_stroke(), ["limit of tilt".to_owned()]));
    }
    corners
}

/// Zones at their limits share a pattern: one entry that names them all.
fn zone_limits(figure: &ChartFigure) -> Option<Entry> {
    let limits = figure.zone_limits.iter().map(|limit| {
        let zones: Vec<String> = limit.zones.iter().map(|name| plain(name)).collect();
        zones.join(" with ")
    });
    let names: Vec<String> = limits.collect();
    let short = match names.len() {
        0 => return None,
        1 => "zone at its limit",
        _ => "zones at their limits",
    };
    let words = [format!("{} at limit", names.join(", ")), short.to_owned()];
    Some(entry(zone_limit_stroke(), words))
}

/// Draws the key. What would run into the disc or into words stands in another line of its corner, is
/// shortened, or is left out.
pub(super) fn key(
    shapes: &mut Vec<Shape>,
    placer: &mut Placer,
    figure: &ChartFigure,
    disc: &Disc,
    room: Box2,
) {
    let size = disc.font_size;
    for (corner, entries) in entries(figure).into_iter().enumerate() {
        let (right, below) = (corner == 1 || corner == 2, corner >= 2);
        let count = entries.len();
        // At the foot the last entry stands lowest.
        let mut in_order: Vec<Entry> = entries;
        if below {
            in_order.reverse();
        }
        for entry in in_order {
            let place = |words: &str, line: usize| {
                let wide = SAMPLE * size + GAP + Label::size_of(words, size, Weight::Regular)[0];
                let left = if right {
                    room.max[0] - wide
                } else {
                    room.min[0]
                };
                let off = LINE * size * line as f64;
                let top = if below {
                    room.max[1] - LINE * size - off
                } else {
                    room.min[1] + off
                };
                Box2 {
                    min: [left, top],
                    max: [left + wide, top + size],
                }
            };
            let fits = |bounds: &Box2| {
                bounds.min[0] >= room.min[0]
                    && bounds.max[0] <= room.max[0]
                    && !disc.holds(bounds.nearest(disc.centre))
                    && placer.is_free(bounds)
            };
            let found = entry.words.iter().find_map(|words| {
                let lines = 0..count + LATER;
                let mut places = lines.map(|line| place(words, line));
                let bounds = places.find(fits)?;
                Some((words, bounds))
            });
            if let Some((words, bounds)) = found {
                placer.keep_off(bounds.grown(2.0));
                draw(shapes, (&entry, words.as_str()), bounds, size);
            }
        }
    }
}

fn draw(shapes: &mut Vec<Shape>, (entry, words): (&Entry, &str), bounds: Box2, size: f64) {
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
    let at: Point = Label::baseline_in([end + GAP, bounds.min[1]], size);
    shapes.push(Shape::Text(Label {
        text: words.to_owned(),
        at,
        anchor: Anchor::Start,
        turn: Turn::Level,
        size,
        weight: Weight::Regular,
        ink: Ink::Quiet,
        plate: None,
    }));
}
