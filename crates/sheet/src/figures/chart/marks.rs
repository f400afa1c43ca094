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

/// Draws all marks, the answer over the others, and keeps labels off them.
pub(super) fn marks(
    shapes: &mut Vec<Shape>,
    placer: &mut Placer,
    figure: &ChartFigure,
    disc: &Disc,
) -> Vec<Mark> {
    let mut marks: Vec<Mark> = answer(figure, disc).into_iter().collect();
    allowance(shapes, placer, figure, disc);
    pins(shapes, &mut marks, figure, disc);
    let held_at = figure.held.filter(|at| disc.holds(disc.place(*at)));
    if let Some(place) = held_at.map(|at| disc.place(at)) {
        held(shapes, place);
        marks.push(Mark {
            place,
            radius: 11.0,
            lines: vec!["held".into()],
            ink: Ink::Held,
            weight: Weight::SemiBold,
        });
    }
    answer_mark(shapes, figure, disc);
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

/// Where the answer lies, if it is a tilt.
fn answered(figure: &ChartFigure) -> Option<ChartPoint> {
    match figure.answer {
        Answer::Recommended { at, .. } => Some(at),
        Answer::NoneAcceptable { least_bad } => least_bad,
        Answer::Open => None,
    }
}

fn apart(a: &ChartPoint, b: &ChartPoint) -> bool {
    (a.right_deg - b.right_deg).hypot(a.up_deg - b.up_deg) >= SAME_MARK_DEG
}

/// What the answer is called.
fn answer(figure: &ChartFigure, disc: &Disc) -> Option<Mark> {
    let place = disc.place(answered(figure)?);
    if !disc.holds(place) {
        return None;
    }
    let mark = |words: &str, radius, ink| Mark {
        place,
        radius,
        lines: vec![words.to_owned()],
        ink,
        weight: Weight::SemiBold,
    };
    match figure.answer {
        Answer::Recommended { allowance_deg, .. } => {
            let mut mark = mark("recommended", 9.0, Ink::Recommended);
            if !disc.is_small() {
                let allowance = stepped(allowance_deg, 0.1, 1);
                mark.lines.push(format!("setting allowance {allowance}°"));
            }
            Some(mark)
        }
        Answer::NoneAcceptable { .. } => {
            let words = if disc.is_small() {
                "least bad"
            } else {
                "least bad, not acceptable"
            };
            Some(mark(words, 10.0, Ink::Missed))
        }
        Answer::Open => None,
    }
}

/// The circle of the setting allowance, and the edge that is lowered.
fn allowance(shapes: &mut Vec<Shape>, placer: &mut Placer, figure: &ChartFigure, disc: &Disc) {
    let Answer::Recommended { at, allowance_deg } = figure.answer else {
        return;
    };
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
    if disc.holds(disc.place(at)) {
        edge(shapes, placer, disc, at);
    }
}

/// The answer itself: a dot, or a cross. Where it is held it stands inside of the held mark's ring.
fn answer_mark(shapes: &mut Vec<Shape>, figure: &ChartFigure, disc: &Disc) {
    let Some(at) = answered(figure) else {
        return;
    };
    let place = disc.place(at);
    if !disc.holds(place) {
        return;
    }
    let is_held = figure.held.is_some_and(|held| !apart(&held, &at));
    match figure.answer {
        Answer::Recommended { .. } => shapes.push(Shape::Dot {
            centre: place,
            radius: if is_held { 4.0 } else { 6.5 },
            fill: Some(Ink::Recommended),
            stroke: (!is_held).then_some(Stroke::solid(Ink::Paper, 2.0)),
        }),
        Answer::NoneAcceptable { .. } => cross(shapes, place),
        Answer::Open => {}
    }
}

fn pins(shapes: &mut Vec<Shape>, marks: &mut Vec<Mark>, figure: &ChartFigure, disc: &Disc) {
    let answer = answered(figure);
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
            lines: if is_crowded(place, marks.first(), disc) {
                Vec::new()
            } else {
                vec![names.join(", ")]
            },
            ink: Ink::Pin,
            weight: Weight::Regular,
        });
    }
}

/// Whether a pin lies so near to the answer, in a small picture, that its name would stand over it: it
/// is said when the pin is pointed at. `first` is the answer's mark, if there is one.
fn is_crowded([x, y]: Point, first: Option<&Mark>, disc: &Disc) -> bool {
    let answer = first.filter(|mark| matches!(mark.ink, Ink::Recommended | Ink::Missed));
    disc.is_small()
        && answer
            .is_some_and(|mark| (mark.place[0] - x).hypot(mark.place[1] - y) < 2.0 * mark.radius)
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
    for mark in marks.iter().filter(|mark| !mark.lines.is_empty()) {
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
