//! The recommended tilt with its allowance, alternatives, the held tilt; and their labels.

use super::circle::allowance_circle;
use super::disc::Disc;
use super::figure::{Answer, ChartFigure, ChartPoint};
use crate::drawing::{Anchor, Box2, Dash, Ink, Label, Placer, Point, Shape, Stroke, Turn, Weight};
use crate::format::numbers::stepped;
use crate::format::words::plain;

/// Degrees. Tilts nearer than this are one mark with several names: a table is set no finer.
const SAME_MARK_DEG: f64 = 0.1;

/// Degrees. Below this total tilt no edge is lowered to speak of.
const NO_EDGE_DEG: f64 = 0.5;

/// Below this size, in units, a region is kept clear of labels: they would cover it.
const SMALL: f64 = 150.0;

/// A mark and what it is called.
#[derive(Debug)]
pub(super) struct Mark {
    place: Point,
    radius: f64,
    /// One below the other.
    lines: Vec<String>,
    ink: Ink,
    weight: Weight,
}

/// Draws all marks and keeps labels off them.
pub(super) fn marks(
    shapes: &mut Vec<Shape>,
    placer: &mut Placer,
    figure: &ChartFigure,
    disc: &Disc,
) -> Vec<Mark> {
    let mut marks = Vec::new();
    answer(shapes, placer, &mut marks, figure, disc);
    pins(shapes, &mut marks, figure, disc);
    if let Some(at) = figure.held.filter(|at| disc.holds(disc.place(*at))) {
        let place = disc.place(at);
        held(shapes, place);
        marks.push(Mark {
            place,
            radius: 11.0,
            lines: vec!["held".into()],
            ink: Ink::Held,
            weight: Weight::SemiBold,
        });
    }
    for region in &figure.acceptable {
        let small = Box2::around(&disc.ring(&region.outer))
            .filter(|around| (0..2).all(|i| around.max[i] - around.min[i] < SMALL));
        if let Some(around) = small {
            placer.keep_off(around);
        }
    }
    for mark in &marks {
        placer.keep_off(Box2::about(mark.place, [mark.radius * 2.0; 2]));
    }
    marks
}

fn answer(
    shapes: &mut Vec<Shape>,
    placer: &mut Placer,
    marks: &mut Vec<Mark>,
    figure: &ChartFigure,
    disc: &Disc,
) {
    match figure.answer {
        Answer::Recommended { at, allowance_deg } => {
            let ring = allowance_circle(&at.direction(), allowance_deg, 120);
            let stroke = Stroke::solid(Ink::Recommended, 2.6);
            if ring.iter().all(|at| disc.holds(disc.place(*at))) {
                let points = disc.ring(&ring);
                shapes.push(Shape::Loop { points, stroke });
            } else {
                let closed: Vec<ChartPoint> = ring.iter().chain(ring.first()).copied().collect();
                let parts = disc.line(&closed).into_iter();
                shapes.extend(parts.map(|points| Shape::Line { points, stroke }));
            }
            let place = disc.place(at);
            if !disc.holds(place) {
                return;
            }
            shapes.push(Shape::Dot {
                centre: place,
                radius: 6.5,
                fill: Some(Ink::Recommended),
                stroke: Some(Stroke::solid(Ink::Paper, 2.0)),
            });
            edge(shapes, placer, disc, at);
            let allowance = stepped(allowance_deg, 0.1, 1);
            let mut lines = vec!["recommended".to_owned()];
            if !disc.is_small() {
                lines.push(format!("setting allowance {allowance}°"));
            }
            marks.push(Mark {
                place,
                radius: 9.0,
                lines,
                ink: Ink::Recommended,
                weight: Weight::SemiBold,
            });
        }
        Answer::NoneAcceptable {
            least_bad: Some(at),
        } => {
            let place = disc.place(at);
            if !disc.holds(place) {
                return;
            }
            cross(shapes, place);
            let words = if disc.is_small() {
                "least bad"
            } else {
                "least bad, not acceptable"
            };
            marks.push(Mark {
                place,
                radius: 10.0,
                lines: vec![words.into()],
                ink: Ink::Missed,
                weight: Weight::SemiBold,
            });
        }
        Answer::NoneAcceptable { least_bad: None } | Answer::Open => {}
    }
}

fn pins(shapes: &mut Vec<Shape>, marks: &mut Vec<Mark>, figure: &ChartFigure, disc: &Disc) {
    let answer = match figure.answer {
        Answer::Recommended { at, .. } => Some(at),
        Answer::NoneAcceptable { least_bad } => least_bad,
        Answer::Open => None,
    };
    let apart = |a: &ChartPoint, b: &ChartPoint| {
        (a.right_deg - b.right_deg).hypot(a.up_deg - b.up_deg) >= SAME_MARK_DEG
    };
    let mut groups: Vec<(ChartPoint, Vec<String>)> = Vec::new();
    for pin in &figure.pins {
        let name = plain(&pin.name);
        // Where the answer stands already, the name joins it.
        if let (Some(at), Some(mark)) = (answer, marks.first_mut())
            && !apart(&at, &pin.at)
        {
            match mark.lines.first_mut().filter(|_| disc.is_small()) {
                Some(line) => *line = format!("{line}, {name}"),
                None => mark.lines.push(name),
            }
            continue;
        }
        match groups.iter_mut().find(|(at, _)| !apart(at, &pin.at)) {
            Some((_, names)) => names.push(name),
            None => groups.push((pin.at, vec![name])),
        }
    }
    for (at, names) in groups {
        let place = disc.place(at);
        if !disc.holds(place) {
            continue;
        }
        let [x, y] = place;
        let diamond = vec![[x, y - 7.0], [x + 7.0, y], [x, y + 7.0], [x - 7.0, y]];
        shapes.push(Shape::Area {
            rings: vec![diamond.clone()],
            ink: Ink::Paper,
        });
        shapes.push(Shape::Loop {
            points: diamond,
            stroke: Stroke::solid(Ink::Pin, 2.2),
        });
        marks.push(Mark {
            place,
            radius: 8.0,
            lines: vec![names.join(", ")],
            ink: Ink::Pin,
            weight: Weight::Regular,
        });
    }
}

/// The held tilt: a ring with four ticks, to be told from a dot and a diamond by its form.
fn held(shapes: &mut Vec<Shape>, [x, y]: Point) {
    shapes.push(Shape::Dot {
        centre: [x, y],
        radius: 7.0,
        fill: None,
        stroke: Some(Stroke::solid(Ink::Paper, 5.0)),
    });
    shapes.push(Shape::Dot {
        centre: [x, y],
        radius: 7.0,
        fill: None,
        stroke: Some(Stroke::solid(Ink::Held, 2.4)),
    });
    for way in [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]] {
        let at = |far: f64| [x + way[0] * far, y + way[1] * far];
        shapes.push(Shape::Line {
            points: vec![at(7.0), at(12.0)],
            stroke: Stroke::solid(Ink::Held, 2.4),
        });
    }
}

fn cross(shapes: &mut Vec<Shape>, [x, y]: Point) {
    for (ink, width) in [(Ink::Paper, 6.5), (Ink::Missed, 3.2)] {
        for flip in [1.0, -1.0] {
            shapes.push(Shape::Line {
                points: vec![[x - 7.0, y - 7.0 * flip], [x + 7.0, y + 7.0 * flip]],
                stroke: Stroke::solid(ink, width),
            });
        }
    }
}

/// A wedge at the rim, where the edge of the cast lies that is lowered.
fn edge(shapes: &mut Vec<Shape>, placer: &mut Placer, disc: &Disc, at: ChartPoint) {
    let total = at.total_deg();
    if total < NO_EDGE_DEG || disc.is_magnified() {
        return;
    }
    let way = [at.right_deg / total, -at.up_deg / total];
    let tip = [0, 1].map(|i| disc.centre[i] + way[i] * (disc.radius + 2.0));
    let base = [0, 1].map(|i| disc.centre[i] + way[i] * (disc.radius - 14.0));
    let across = [-way[1] * 8.0, way[0] * 8.0];
    let wedge = vec![
        tip,
        [base[0] + across[0], base[1] + across[1]],
        [base[0] - across[0], base[1] - across[1]],
    ];
    if let Some(around) = Box2::around(&wedge) {
        placer.keep_off(around);
    }
    let ink = Ink::Recommended;
    shapes.push(Shape::Line {
        points: vec![disc.place(at), base],
        stroke: Stroke::dashed(ink, 1.2, Dash::Dots),
    });
    shapes.push(Shape::Area {
        rings: vec![wedge],
        ink,
    });
    if disc.is_small() {
        return;
    }
    let words = Note {
        lines: &["lower this edge".into()],
        ink,
        weight: Weight::Regular,
    };
    let near = Near {
        places: &[base],
        clearance: 6.0,
        farthest: disc.radius,
    };
    note(shapes, placer, disc, &words, &near);
}

/// Names of the marks, beside them.
pub(super) fn labels(shapes: &mut Vec<Shape>, placer: &mut Placer, disc: &Disc, marks: &[Mark]) {
    for mark in marks {
        let words = Note {
            lines: &mark.lines,
            ink: mark.ink,
            weight: mark.weight,
        };
        let near = Near {
            places: &[mark.place],
            clearance: mark.radius + 2.0,
            farthest: if disc.is_small() {
                // A name that finds no room near its mark is said when the mark is pointed at.
                4.0 * disc.font_size
            } else {
                disc.radius * 1.6
            },
        };
        note(shapes, placer, disc, &words, &near);
    }
}

/// Words that want to stand near something.
#[derive(Debug, Clone, Copy)]
pub(super) struct Note<'a> {
    /// One below the other; the first has the weight, the others are regular.
    pub(super) lines: &'a [String],
    pub(super) ink: Ink,
    pub(super) weight: Weight,
}

/// What a note may stand near.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near<'a> {
    /// Any of these.
    pub(super) places: &'a [Point],
    /// Radius of the mark there.
    pub(super) clearance: f64,
    /// How far off it may stand.
    pub(super) farthest: f64,
}

/// Distance between baselines, in multiples of the font's size.
const LINE: f64 = 1.22;

/// Puts words where there is room, with a leader if need be. Where there is none, they are left out.
pub(super) fn note(
    shapes: &mut Vec<Shape>,
    placer: &mut Placer,
    disc: &Disc,
    note: &Note<'_>,
    near: &Near<'_>,
) {
    let size = disc.font_size;
    let weight = |index| {
        if index == 0 {
            note.weight
        } else {
            Weight::Regular
        }
    };
    let mut extent = [0.0_f64; 2];
    for (index, text) in note.lines.iter().enumerate() {
        let line = Label::size_of(text, size, weight(index));
        extent = [extent[0].max(line[0]), LINE * size * index as f64 + line[1]];
    }
    let Some(placed) = placer.place(extent, near.places, near.clearance, near.farthest) else {
        return;
    };
    if let Some(leader) = placed.leader {
        shapes.push(Shape::Line {
            points: leader.to_vec(),
            stroke: Stroke::solid(note.ink, 0.9),
        });
    }
    let [x, y] = placed.bounds.min;
    let nearest = placed.bounds.nearest(disc.centre);
    let from_middle = (nearest[0] - disc.centre[0]).hypot(nearest[1] - disc.centre[1]);
    let plate = (from_middle < disc.radius).then_some(Ink::Ground);
    for (index, text) in note.lines.iter().enumerate() {
        shapes.push(Shape::Text(Label {
            text: text.clone(),
            at: Label::baseline_in([x, y + LINE * size * index as f64], size),
            anchor: Anchor::Start,
            turn: Turn::Level,
            size,
            weight: weight(index),
            ink: note.ink,
            plate,
        }));
    }
}
