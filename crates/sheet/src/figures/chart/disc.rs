//! Where a tilt lies in the picture; rings, axes and the words at the rim.

use super::areas;
use super::figure::{ChartFigure, ChartPoint};
use super::marks;
use crate::drawing::{
    Anchor, Box2, Dash, Ink, Label, Placer, Point, Shape, Stroke, Turn, Weight, trimmed_line,
};
use crate::format::words::patient;

/// The disc in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Disc {
    /// Its middle: flat.
    pub centre: Point,
    /// Its radius.
    pub radius: f64,
    /// Total tilt at its rim, degrees.
    pub reach_deg: f64,
    /// Size of the font inside; words at the rim are a little larger.
    pub font_size: f64,
    /// How the words at the sides run.
    pub sides: SideWords,
}

/// How the words at the two sides of the disc run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SideWords {
    /// Level, beside the disc: read at once, and takes room there.
    Beside,
    /// Along the rim: for narrow pictures.
    Along,
}

impl Disc {
    /// Units a degree.
    pub fn scale(&self) -> f64 {
        self.radius / self.reach_deg
    }

    /// Where a tilt lies.
    pub fn place(&self, at: ChartPoint) -> Point {
        [
            self.centre[0] + at.right_deg * self.scale(),
            self.centre[1] - at.up_deg * self.scale(),
        ]
    }

    /// The tilt at a place, also beyond the rim.
    pub fn tilt_at(&self, place: Point) -> ChartPoint {
        ChartPoint {
            right_deg: (place[0] - self.centre[0]) / self.scale(),
            up_deg: (self.centre[1] - place[1]) / self.scale(),
        }
    }

    /// The parts of a line that lie inside the rim, in the picture.
    pub fn line(&self, points: &[ChartPoint]) -> Vec<Vec<Point>> {
        let points: Vec<Point> = points.iter().map(|&at| self.place(at)).collect();
        trimmed_line(&points, self.centre, self.radius)
    }

    /// A ring in the picture, points beyond the rim drawn in to it.
    pub fn ring(&self, points: &[ChartPoint]) -> Vec<Point> {
        let drawn_in = |at: &ChartPoint| {
            let total = at.total_deg();
            let scale = if total > self.reach_deg {
                self.reach_deg / total
            } else {
                1.0
            };
            self.place(ChartPoint {
                right_deg: at.right_deg * scale,
                up_deg: at.up_deg * scale,
            })
        };
        points.iter().map(drawn_in).collect()
    }
}

/// The chart inside a disc, from back to front: rings, areas, contours, marks and their labels, and
/// the words at the rim. Labels stay inside `room` and never cover each other or a mark.
pub fn disc(figure: &ChartFigure, disc: &Disc, room: Box2) -> Vec<Shape> {
    let mut shapes = Vec::new();
    let mut placer = Placer::new(room);
    ground(&mut shapes, disc);
    areas::fillings(&mut shapes, figure, disc);
    rings(&mut shapes, disc);
    areas::lines(&mut shapes, figure, disc);
    shapes.push(Shape::Dot {
        centre: disc.centre,
        radius: disc.radius,
        fill: None,
        stroke: Some(Stroke::solid(Ink::Axis, 1.4)),
    });
    rim_words(&mut shapes, &mut placer, figure, disc);
    let marks = marks::marks(&mut shapes, &mut placer, figure, disc);
    marks::labels(&mut shapes, &mut placer, disc, &marks);
    areas::labels(&mut shapes, &mut placer, figure, disc);
    ring_labels(&mut shapes, &mut placer, disc);
    shapes
}

fn ground(shapes: &mut Vec<Shape>, disc: &Disc) {
    shapes.push(Shape::Dot {
        centre: disc.centre,
        radius: disc.radius,
        fill: Some(Ink::Ground),
        stroke: None,
    });
}

/// Degrees between rings: so many that no more than five lie inside the rim.
fn ring_step_deg(disc: &Disc) -> f64 {
    let steps = [1.0, 2.0, 5.0, 10.0, 20.0];
    let fitting = |step: &&f64| disc.reach_deg / **step <= 5.0;
    steps.iter().find(fitting).copied().unwrap_or(30.0)
}

fn ring_degrees(disc: &Disc) -> impl Iterator<Item = f64> {
    let (step, reach) = (ring_step_deg(disc), disc.reach_deg);
    (1..=5)
        .map(move |n| f64::from(n) * step)
        .take_while(move |deg| *deg < reach - 1e-9)
}

fn rings(shapes: &mut Vec<Shape>, disc: &Disc) {
    for degrees in ring_degrees(disc) {
        shapes.push(Shape::Dot {
            centre: disc.centre,
            radius: degrees * disc.scale(),
            fill: None,
            stroke: Some(Stroke::solid(Ink::Grid, 1.0)),
        });
    }
    let [x, y] = disc.centre;
    for ends in [
        [[x - disc.radius, y], [x + disc.radius, y]],
        [[x, y - disc.radius], [x, y + disc.radius]],
    ] {
        shapes.push(Shape::Line {
            points: ends.to_vec(),
            stroke: Stroke::solid(Ink::Grid, 1.0),
        });
    }
}

fn ring_labels(shapes: &mut Vec<Shape>, placer: &mut Placer, disc: &Disc) {
    for degrees in ring_degrees(disc).chain([disc.reach_deg]) {
        let text = format!(
            "{}°",
            crate::format::numbers::stepped(degrees, 0.1, 1).trim_end_matches(".0")
        );
        let size = disc.font_size * 0.92;
        let places: Vec<Point> = [-0.32_f64, 0.32, -2.82, 2.82]
            .iter()
            .map(|bearing| {
                let (sin, cos) = bearing.sin_cos();
                disc.place(ChartPoint {
                    right_deg: degrees * cos,
                    up_deg: degrees * sin,
                })
            })
            .collect();
        let extent = Label::size_of(&text, size, Weight::Regular);
        if let Some(placed) = placer.place(extent, &places, 2.0, 3.0) {
            shapes.push(Shape::Text(Label {
                text,
                at: Label::baseline_in(placed.bounds.min, size),
                anchor: Anchor::Start,
                turn: Turn::Level,
                size,
                weight: Weight::Regular,
                ink: Ink::Quiet,
                plate: (degrees < disc.reach_deg).then_some(Ink::Ground),
            }));
        }
    }
}

/// The words at the four ends of the axes, each with its small mark.
fn rim_words(shapes: &mut Vec<Shape>, placer: &mut Placer, figure: &ChartFigure, disc: &Disc) {
    let right = figure.arch.side_of_plus_x();
    let size = disc.font_size * 1.08;
    let mark = size * 2.3;
    let rim = |way: Point| [0, 1].map(|i| disc.centre[i] + way[i] * (disc.radius + size * 0.7));
    for (text, y) in [("anterior lowered", -1.0), ("posterior lowered", 1.0)] {
        let way = [0.0, y];
        let [x, from] = rim(way);
        arch_mark(shapes, placer, [x, from + y * mark / 2.0], mark, way);
        // The baseline lies at the foot of the letters.
        let foot = if y < 0.0 { -0.45 } else { 1.15 };
        let at = [x, from + y * mark + size * foot];
        rim_word(
            shapes,
            placer,
            text.to_owned(),
            (at, Anchor::Middle, Turn::Level),
            size,
        );
    }
    for (side, x, anchor, turn) in [
        (right, 1.0, Anchor::Start, Turn::Down),
        (right.opposite(), -1.0, Anchor::End, Turn::Up),
    ] {
        let way = [x, 0.0];
        let [from, y] = rim(way);
        let whose = patient(side);
        match disc.sides {
            SideWords::Beside => {
                let above = [from + x * mark / 2.0, y - mark / 2.0 - size * 0.6];
                arch_mark(shapes, placer, above, mark, way);
                for (text, down) in [(whose, 0.75), ("lowered", 2.0)] {
                    let at = [from, y + size * down];
                    rim_word(
                        shapes,
                        placer,
                        text.to_owned(),
                        (at, anchor, Turn::Level),
                        size,
                    );
                }
            }
            SideWords::Along => {
                let text = format!("{whose} lowered");
                let half = crate::drawing::width(&text, size, Weight::SemiBold) / 2.0;
                let above = [from + x * size * 0.5, y - half - mark * 0.75];
                arch_mark(shapes, placer, above, mark * 0.9, way);
                // The letters' feet are toward the disc.
                let at = [from + x * size * 0.1, y];
                rim_word(shapes, placer, text, (at, Anchor::Middle, turn), size);
            }
        }
    }
}

fn rim_word(
    shapes: &mut Vec<Shape>,
    placer: &mut Placer,
    text: String,
    (at, anchor, turn): (Point, Anchor, Turn),
    size: f64,
) {
    let label = Label {
        text,
        at,
        anchor,
        turn,
        size,
        weight: Weight::SemiBold,
        ink: Ink::Text,
        plate: None,
    };
    placer.keep_off(label.bounds().grown(2.0));
    shapes.push(Shape::Text(label));
}

/// A small dental arch seen from the occlusal side, anterior at the top, with a bar at the edge that
/// is lowered.
fn arch_mark(shapes: &mut Vec<Shape>, placer: &mut Placer, centre: Point, size: f64, way: Point) {
    placer.keep_off(Box2::about(centre, [size * 1.2; 2]));
    let half = size * 0.34;
    let arch: Vec<Point> = (0..=12)
        .map(|step| {
            let angle = std::f64::consts::PI * (1.12 - 1.24 * f64::from(step) / 12.0);
            let (sin, cos) = angle.sin_cos();
            [
                centre[0] + half * cos,
                centre[1] + half * (0.35 - 1.1 * sin),
            ]
        })
        .collect();
    shapes.push(Shape::Line {
        points: arch,
        stroke: Stroke::solid(Ink::Axis, size * 0.12),
    });
    let [x, y] = [0, 1].map(|i| centre[i] + way[i] * size * 0.52);
    let along = [way[1] * size * 0.4, way[0] * size * 0.4];
    shapes.push(Shape::Line {
        points: vec![[x - along[0], y - along[1]], [x + along[0], y + along[1]]],
        stroke: Stroke {
            ink: Ink::Text,
            width: size * 0.13,
            dash: Dash::Solid,
        },
    });
}
