//! Where a tilt lies in the picture; rings, axes and the words at the rim.

use super::areas;
use super::figure::{ChartFigure, ChartPoint};
use super::{key, marks};
use crate::drawing::{
    Anchor, Box2, Dash, Ink, Label, Placer, Point, Shape, Stroke, Turn, Weight, trimmed_line,
};
use crate::format::words::patient;

/// The disc in the picture: the whole chart, or a part of it magnified.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Disc {
    /// Its middle.
    pub centre: Point,
    /// Its radius.
    pub radius: f64,
    /// The tilt in its middle: flat for the whole chart.
    pub middle: ChartPoint,
    /// Degrees from its middle to its rim: for the whole chart, the total tilt there.
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

/// A disc whose radius is less than so many heights of its font has no room for the names of its
/// lines among them: they stand in a key in the corners then. Tuned: at 12 names run into each other
/// around a small acceptable region; at 18 pictures that are large enough lose names they have room
/// for. The test of small charts counts overlaps.
const SMALL: f64 = 15.0;

impl Disc {
    /// Units a degree.
    pub fn scale(&self) -> f64 {
        self.radius / self.reach_deg
    }

    /// Whether it shows a part of the chart, not all of it.
    pub fn is_magnified(&self) -> bool {
        self.middle != ChartPoint::FLAT
    }

    /// Whether names of lines stand in a key, and words are short.
    pub(super) fn is_small(&self) -> bool {
        self.radius < SMALL * self.font_size
    }

    /// Whether a place of the picture lies inside the rim.
    pub fn holds(&self, [x, y]: Point) -> bool {
        (x - self.centre[0]).hypot(y - self.centre[1]) <= self.radius
    }

    /// Where a tilt lies.
    pub fn place(&self, at: ChartPoint) -> Point {
        [
            self.centre[0] + (at.right_deg - self.middle.right_deg) * self.scale(),
            self.centre[1] - (at.up_deg - self.middle.up_deg) * self.scale(),
        ]
    }

    /// The tilt at a place, also beyond the rim.
    pub fn tilt_at(&self, place: Point) -> ChartPoint {
        ChartPoint {
            right_deg: self.middle.right_deg + (place[0] - self.centre[0]) / self.scale(),
            up_deg: self.middle.up_deg + (self.centre[1] - place[1]) / self.scale(),
        }
    }

    /// The parts of a line that lie inside the rim, in the picture.
    pub fn line(&self, points: &[ChartPoint]) -> Vec<Vec<Point>> {
        let points: Vec<Point> = points.iter().map(|&at| self.place(at)).collect();
        trimmed_line(&points, self.centre, self.radius)
    }

    /// A ring in the picture, points beyond the rim drawn in to it. What the ring encloses inside the
    /// rim stays as it is, as long as its points lie close together.
    pub fn ring(&self, points: &[ChartPoint]) -> Vec<Point> {
        let drawn_in = |at: &ChartPoint| {
            let [x, y] = self.place(*at);
            let [dx, dy] = [x - self.centre[0], y - self.centre[1]];
            let share = (self.radius / dx.hypot(dy)).min(1.0);
            [self.centre[0] + dx * share, self.centre[1] + dy * share]
        };
        points.iter().map(drawn_in).collect()
    }

    /// The parts inside the rim of the circle of one total tilt.
    pub(super) fn circle(&self, total_deg: f64) -> Vec<Vec<Point>> {
        let points: Vec<ChartPoint> = (0..=180_u8)
            .map(|step| on_circle(total_deg, f64::from(step) * std::f64::consts::TAU / 180.0))
            .collect();
        self.line(&points)
    }
}

/// The tilt of a total at a bearing, counted from the right of the chart.
pub(super) fn on_circle(total_deg: f64, bearing: f64) -> ChartPoint {
    let (sin, cos) = bearing.sin_cos();
    ChartPoint {
        right_deg: total_deg * cos,
        up_deg: total_deg * sin,
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
    if disc.is_small() {
        key::key(&mut shapes, &mut placer, figure, disc, room);
    }
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

/// Degrees between rings: so many that no more than five lie inside the rim of the whole chart.
fn ring_step_deg(disc: &Disc) -> f64 {
    let steps = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0];
    let fitting = |step: &&f64| disc.reach_deg / **step <= 5.0;
    steps.iter().find(fitting).copied().unwrap_or(30.0)
}

/// Total tilts that have a ring.
fn ring_degrees(disc: &Disc) -> impl Iterator<Item = f64> {
    let step = ring_step_deg(disc);
    let farthest = disc.middle.total_deg() + disc.reach_deg;
    (1..=90)
        .map(move |n| f64::from(n) * step)
        .take_while(move |deg| *deg < farthest - 1e-9)
}

fn rings(shapes: &mut Vec<Shape>, disc: &Disc) {
    let stroke = Stroke::solid(Ink::Grid, 1.0);
    for degrees in ring_degrees(disc) {
        circle(shapes, disc, degrees, stroke);
    }
    let far = disc.middle.total_deg() + disc.reach_deg;
    let point = |right_deg, up_deg| ChartPoint { right_deg, up_deg };
    for ends in [
        [point(-far, 0.0), point(far, 0.0)],
        [point(0.0, -far), point(0.0, far)],
    ] {
        let parts = disc.line(&ends).into_iter();
        shapes.extend(parts.map(|points| Shape::Line { points, stroke }));
    }
}

/// The circle of one total tilt, as far as it lies inside the rim.
pub(super) fn circle(shapes: &mut Vec<Shape>, disc: &Disc, total_deg: f64, stroke: Stroke) {
    if disc.is_magnified() {
        let parts = disc.circle(total_deg).into_iter();
        shapes.extend(parts.map(|points| Shape::Line { points, stroke }));
    } else {
        shapes.push(Shape::Dot {
            centre: disc.centre,
            radius: total_deg * disc.scale(),
            fill: None,
            stroke: Some(stroke),
        });
    }
}

/// Where the label of a ring may stand.
fn ring_places(disc: &Disc, degrees: f64) -> Vec<Point> {
    if !disc.is_magnified() {
        return [-0.32_f64, 0.32, -2.82, 2.82]
            .iter()
            .map(|bearing| disc.place(on_circle(degrees, *bearing)))
            .collect();
    }
    let inner = Disc {
        radius: disc.radius * 0.9,
        ..*disc
    };
    (0..24)
        .map(|step| f64::from(step) * std::f64::consts::TAU / 24.0)
        .map(|bearing| disc.place(on_circle(degrees, bearing)))
        .filter(|place| inner.holds(*place))
        .collect()
}

fn ring_labels(shapes: &mut Vec<Shape>, placer: &mut Placer, disc: &Disc) {
    let rim = (!disc.is_magnified()).then_some(disc.reach_deg);
    for degrees in ring_degrees(disc).chain(rim) {
        let text = format!(
            "{}°",
            crate::format::numbers::stepped(degrees, 0.1, 1).trim_end_matches(".0")
        );
        let size = disc.font_size * 0.92;
        let places = ring_places(disc, degrees);
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
                plate: Some(Ink::Ground),
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
        if disc.sides == SideWords::Along {
            // In one line with its mark: height is what a narrow picture lacks.
            let half = crate::drawing::width(text, size, Weight::SemiBold) / 2.0;
            let middle = from + y * size * 0.75;
            let beside = [x - half - mark * 0.55, middle];
            arch_mark(shapes, placer, beside, mark * 0.62, way);
            let at = [x, middle + size * 0.36];
            let placing = (at, Anchor::Middle, Turn::Level);
            rim_word(shapes, placer, text.to_owned(), placing, size);
            continue;
        }
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
                // As small as those above and below: the corners are the key's.
                let above = [from + x * size * 0.5, y - half - mark * 0.5];
                arch_mark(shapes, placer, above, mark * 0.62, way);
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
