//! The whole picture: title, verdict, chart, how to read it, caution.

use super::disc::{Disc, SideWords, disc};
use super::figure::{Answer, ChartFigure, ChartPoint};
use crate::drawing::{self, Box2, Drawing, Ink, PictureError, Shape, Weight};
use crate::figures::column::{Column, titled};
use crate::format::numbers::typeset;
use crate::format::words::{CAUTION, plain};

/// Width of the picture, in units.
const WIDE: f64 = 900.0;
/// Margin at the sides.
const MARGIN: f64 = 36.0;
/// Radius of the disc.
const RADIUS: f64 = 306.0;
/// Room for the words above and below the disc.
const RIM_WORDS: f64 = 68.0;

const READING: &str = "Every point is a tilt of the table. The farther from the middle, the more the \
    cast is tilted; the edge it lies toward is lowered. In the hatched area every limit is met.";
const READING_NONE: &str = "Every point is a tilt of the table. The farther from the middle, the \
    more the cast is tilted; the edge it lies toward is lowered. At no point is every limit met.";
const READING_DEPTHS: &str = " Lines with millimetres: undercut depth of the deepest zone.";

/// Lays out the picture.
pub fn page(figure: &ChartFigure) -> Drawing {
    let mut column = Column::new(WIDE, MARGIN);
    let title = titled(&figure.title);
    column.text(&title, 22.0, Weight::SemiBold, Ink::Text, 2);
    column.y += 4.0;
    verdict(&mut column, figure);
    let top = column.y;
    let chart = Disc {
        centre: [WIDE / 2.0, top + RIM_WORDS + RADIUS],
        radius: RADIUS,
        middle: ChartPoint::FLAT,
        reach_deg: figure.reach_deg,
        font_size: 13.5,
        sides: SideWords::Beside,
    };
    let bottom = chart.centre[1] + RADIUS + RIM_WORDS;
    let room = Box2 {
        min: [MARGIN / 2.0, top + 2.0],
        max: [WIDE - MARGIN / 2.0, bottom],
    };
    column.shapes.extend(disc(figure, &chart, room));
    column.y = bottom + 6.0;
    let reading = match figure.answer {
        Answer::NoneAcceptable { .. } => READING_NONE,
        Answer::Recommended { .. } | Answer::Open => READING,
    };
    let depths = if figure.depths.is_empty() {
        ""
    } else {
        READING_DEPTHS
    };
    column.text(
        &format!("{reading}{depths}"),
        13.0,
        Weight::Regular,
        Ink::Quiet,
        4,
    );
    column.y += 6.0;
    column.rule();
    column.text(CAUTION, 12.0, Weight::Regular, Ink::Quiet, 6);
    Drawing {
        size: [WIDE, (column.y + MARGIN * 0.6).ceil()],
        title: format!("Tilt chart: {title}"),
        description: typeset(&plain(&figure.verdict)),
        shapes: column.shapes,
    }
}

fn verdict(column: &mut Column, figure: &ChartFigure) {
    let text = typeset(&plain(&figure.verdict));
    match figure.answer {
        Answer::NoneAcceptable { .. } => {
            let (from, indent) = (column.y + 4.0, 16.0);
            let first = column.shapes.len();
            column.y += 8.0;
            column.text_at(indent, &text, 16.0, Weight::SemiBold, Ink::Missed, 4);
            column.y += 4.0;
            let bar = vec![
                [MARGIN, from],
                [MARGIN + 6.0, from],
                [MARGIN + 6.0, column.y],
                [MARGIN, column.y],
            ];
            let bar = Shape::Area {
                rings: vec![bar],
                ink: Ink::Missed,
            };
            column.shapes.insert(first, bar);
        }
        Answer::Recommended { .. } | Answer::Open => {
            column.text(&text, 16.0, Weight::Regular, Ink::Text, 4);
        }
    }
    column.y += 10.0;
}

/// The chart as SVG text.
pub fn to_svg(figure: &ChartFigure) -> String {
    drawing::to_svg(&page(figure))
}

/// The chart as PNG, at `scale` pixels a unit: 1 for a screen, 2 for print on a sheet.
///
/// # Errors
/// [`PictureError`]: see [`drawing::to_png`].
pub fn to_png(figure: &ChartFigure, scale: f32) -> Result<Vec<u8>, PictureError> {
    drawing::to_png(&page(figure), scale)
}
