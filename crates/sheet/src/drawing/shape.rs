//! What a picture consists of.

use super::font;

/// A place in the picture, in its own units (CSS pixels at scale 1), x to the right, y down.
pub type Point = [f64; 2];

/// What a shape stands for; the writer gives it a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ink {
    /// What the picture is drawn on.
    Paper,
    /// The disc of a chart.
    Ground,
    /// Rings and other lines of reference.
    Grid,
    /// Axes and borders of the frame.
    Axis,
    /// What is read first.
    Text,
    /// What is read second.
    Quiet,
    /// The filling of what is acceptable.
    AcceptableFill,
    /// The hatching of what is acceptable.
    AcceptableHatch,
    /// The border of what is acceptable.
    Acceptable,
    /// The draws that the walls share.
    CommonDraw,
    /// The draws that one coping allows.
    Coping,
    /// Contours of what the ridge pays.
    Depth,
    /// The recommended tilt and its allowance.
    Recommended,
    /// Alternatives.
    Pin,
    /// The tilt that is held.
    Held,
    /// What is missed.
    Missed,
}

/// How a line is broken, so that lines differ without colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Dash {
    /// Unbroken.
    #[default]
    Solid,
    /// Long strokes.
    Long,
    /// Short strokes.
    Short,
    /// Dots.
    Dots,
    /// Stroke, dot.
    DashDot,
    /// Stroke, two dots.
    DashDotDot,
    /// Long stroke, short stroke.
    LongShort,
}

impl Dash {
    /// Lengths of strokes and gaps by turns, in multiples of the line's width; `None` for an unbroken
    /// line.
    pub fn pattern(self) -> Option<&'static [f64]> {
        match self {
            Self::Solid => None,
            Self::Long => Some(&[6.0, 3.0]),
            Self::Short => Some(&[3.0, 2.5]),
            Self::Dots => Some(&[1.0, 2.2]),
            Self::DashDot => Some(&[5.0, 2.0, 1.0, 2.0]),
            Self::DashDotDot => Some(&[5.0, 2.0, 1.0, 2.0, 1.0, 2.0]),
            Self::LongShort => Some(&[5.0, 2.0, 2.0, 2.0]),
        }
    }
}

/// A line's look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// What it stands for.
    pub ink: Ink,
    /// Width in units of the picture.
    pub width: f64,
    /// How it is broken.
    pub dash: Dash,
}

impl Stroke {
    /// An unbroken line.
    pub fn solid(ink: Ink, width: f64) -> Self {
        Self {
            ink,
            width,
            dash: Dash::Solid,
        }
    }

    /// A broken line.
    pub fn dashed(ink: Ink, width: f64, dash: Dash) -> Self {
        Self { ink, width, dash }
    }
}

/// Which end of a label stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The left end.
    Start,
    /// The middle.
    Middle,
    /// The right end.
    End,
}

/// How a text runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Turn {
    /// From left to right.
    #[default]
    Level,
    /// Upward.
    Up,
    /// Downward.
    Down,
}

/// Weights of the embedded font.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Weight {
    /// For reading.
    Regular,
    /// For what is read first.
    SemiBold,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// The text.
    pub text: String,
    /// Its baseline, at the anchor.
    pub at: Point,
    /// Which end stands there.
    pub anchor: Anchor,
    /// How it runs from there.
    pub turn: Turn,
    /// Size of the font.
    pub size: f64,
    /// Its weight.
    pub weight: Weight,
    /// What it stands for.
    pub ink: Ink,
    /// What the letters stand on, so that lines do not run into them.
    pub plate: Option<Ink>,
}

/// Height of capitals and ascenders above the baseline, and depth of descenders, in multiples of
/// the size. Read off the embedded font: ascender 0.969, descender 0.241; letters of labels reach
/// 0.76 up and 0.21 down.
const ABOVE: f64 = 0.80;
const BELOW: f64 = 0.22;

/// Units by which a plate is larger than the letters. Less than half of what labels keep apart.
const PLATE: f64 = 1.5;

impl Label {
    /// The box around the letters.
    pub fn bounds(&self) -> Box2 {
        let wide = font::width(&self.text, self.size, self.weight);
        let from = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -wide / 2.0,
            Anchor::End => -wide,
        };
        let (above, below) = (ABOVE * self.size, BELOW * self.size);
        let [x, y] = self.at;
        let (min, max) = match self.turn {
            Turn::Level => ([x + from, y - above], [x + from + wide, y + below]),
            Turn::Up => ([x - above, y - from - wide], [x + below, y - from]),
            Turn::Down => ([x - below, y + from], [x + above, y + from + wide]),
        };
        Box2 { min, max }
    }

    /// The box of the plate.
    pub fn plate_bounds(&self) -> Box2 {
        self.bounds().grown(PLATE)
    }

    /// Width and height of the box around the letters of a text.
    pub fn size_of(text: &str, size: f64, weight: Weight) -> [f64; 2] {
        [font::width(text, size, weight), (ABOVE + BELOW) * size]
    }

    /// The baseline's start of a text whose box has this corner (top left).
    pub fn baseline_in(corner: Point, size: f64) -> Point {
        [corner[0], corner[1] + ABOVE * size]
    }
}

/// A box with sides along the axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Box2 {
    /// Top left.
    pub min: Point,
    /// Bottom right.
    pub max: Point,
}

impl Box2 {
    /// A box of a size about its middle.
    pub fn about(middle: Point, size: [f64; 2]) -> Self {
        Self {
            min: [middle[0] - size[0] / 2.0, middle[1] - size[1] / 2.0],
            max: [middle[0] + size[0] / 2.0, middle[1] + size[1] / 2.0],
        }
    }

    /// The box around points; `None` without points.
    pub fn around(points: &[Point]) -> Option<Self> {
        let first = *points.first()?;
        Some(points.iter().fold(
            Self {
                min: first,
                max: first,
            },
            |all, p| Self {
                min: [all.min[0].min(p[0]), all.min[1].min(p[1])],
                max: [all.max[0].max(p[0]), all.max[1].max(p[1])],
            },
        ))
    }

    /// Wider by a margin all round.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        Self {
            min: self.min.map(|v| v - by),
            max: self.max.map(|v| v + by),
        }
    }

    /// Whether the insides of two boxes meet.
    pub fn overlaps(&self, other: &Self) -> bool {
        (0..2).all(|i| self.min[i] < other.max[i] && other.min[i] < self.max[i])
    }

    /// Whether the other box lies inside.
    pub fn contains(&self, other: &Self) -> bool {
        (0..2).all(|i| self.min[i] <= other.min[i] && other.max[i] <= self.max[i])
    }

    /// The point of the box nearest to a place.
    pub fn nearest(&self, to: Point) -> Point {
        [0, 1].map(|i| to[i].clamp(self.min[i], self.max[i]))
    }
}

/// One part of a picture.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A filled area between rings, by the even-odd rule.
    Area {
        /// Its rings, not closed by a repeated point.
        rings: Vec<Vec<Point>>,
        /// What it stands for.
        ink: Ink,
    },
    /// A line through points.
    Line {
        /// The points.
        points: Vec<Point>,
        /// Its look.
        stroke: Stroke,
    },
    /// A line that ends where it begins.
    Loop {
        /// The points; the first is not repeated.
        points: Vec<Point>,
        /// Its look.
        stroke: Stroke,
    },
    /// A disc or a circle.
    Dot {
        /// The middle.
        centre: Point,
        /// The radius.
        radius: f64,
        /// What fills it.
        fill: Option<Ink>,
        /// The line around it.
        stroke: Option<Stroke>,
    },
    /// Words.
    Text(Label),
}

/// A picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width and height in units.
    pub size: [f64; 2],
    /// What it is called, for those who cannot see it.
    pub title: String,
    /// What it shows, in words.
    pub description: String,
    /// What it consists of, from back to front.
    pub shapes: Vec<Shape>,
}

impl Drawing {
    /// All texts.
    pub fn labels(&self) -> impl Iterator<Item = &Label> {
        self.shapes.iter().filter_map(|shape| match shape {
            Shape::Text(label) => Some(label),
            _ => None,
        })
    }
}
