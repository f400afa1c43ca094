//! The ledger on paper: every wall and every zone at one tilt, against their limits.

use super::column::{Column, titled};
use crate::drawing::{
    self, Anchor, Drawing, Ink, Label, PictureError, Shape, Stroke, Turn, Weight,
};
use crate::format::numbers::typeset;
use crate::format::words::{CAUTION, plain};

/// Width of the picture, in units; a wider table makes it wider.
const WIDE: f64 = 900.0;
/// Margin at the sides.
const MARGIN: f64 = 36.0;
/// Size of what stands in tables.
const SIZE: f64 = 13.0;
/// Height of a row.
const ROW: f64 = 21.0;
/// Least room between columns.
const BETWEEN: f64 = 18.0;

/// A row of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What stands in it, column by column.
    pub cells: Vec<String>,
    /// Whether a limit is missed in it; its last cell says so in words.
    pub is_missed: bool,
}

/// Where the cells of a column stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Words: at the left.
    Left,
    /// Numbers: at the right.
    Right,
}

/// A table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// What it is of.
    pub heading: String,
    /// What stands over each column.
    pub columns: Vec<(&'static str, Side)>,
    /// The rows.
    pub rows: Vec<Row>,
}

/// The whole ledger.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LedgerFigure {
    /// The case's title; may be empty.
    pub title: String,
    /// Which tilt, and how it stands.
    pub lines: Vec<String>,
    /// Walls and zones.
    pub tables: Vec<Table>,
    /// What else there is to be said.
    pub remarks: Vec<String>,
    /// When it was made, and with what.
    pub made: String,
}

/// Lays out the picture.
pub fn page(figure: &LedgerFigure) -> Drawing {
    let tables: Vec<Laid<'_>> = figure.tables.iter().map(Laid::new).collect();
    let needed = tables.iter().map(|table| table.wide + 2.0 * MARGIN);
    let wide = needed.fold(WIDE, f64::max).ceil();
    let mut column = Column::new(wide, MARGIN);
    let title = titled(&figure.title);
    column.text(&title, 22.0, Weight::SemiBold, Ink::Text, 2);
    for line in &figure.lines {
        column.text(&typeset(&plain(line)), 15.0, Weight::Regular, Ink::Text, 3);
    }
    for table in &tables {
        column.y += 14.0;
        table.draw(&mut column, wide - 2.0 * MARGIN);
    }
    if !figure.remarks.is_empty() {
        column.y += 10.0;
        column.text("Remarks", 15.0, Weight::SemiBold, Ink::Text, 1);
        for remark in &figure.remarks {
            column.text(
                &typeset(&plain(remark)),
                SIZE,
                Weight::Regular,
                Ink::Text,
                6,
            );
            column.y += 2.0;
        }
    }
    column.y += 8.0;
    column.rule();
    column.text(CAUTION, 12.0, Weight::Regular, Ink::Quiet, 6);
    column.text(&plain(&figure.made), 12.0, Weight::Regular, Ink::Quiet, 2);
    Drawing {
        size: [wide, (column.y + MARGIN * 0.6).ceil()],
        title: format!("Walls and denture-bearing area: {title}"),
        description: typeset(&plain(&figure.lines.join(" "))),
        shapes: column.shapes,
    }
}

/// The ledger as PNG, at `scale` pixels a unit: 1 for a screen, 2 for print on a sheet.
///
/// # Errors
/// [`PictureError`]: see [`drawing::to_png`].
pub fn to_png(figure: &LedgerFigure, scale: f32) -> Result<Vec<u8>, PictureError> {
    drawing::to_png(&page(figure), scale)
}

/// A table with the width of each of its columns.
struct Laid<'a> {
    table: &'a Table,
    cells: Vec<Vec<String>>,
    widths: Vec<f64>,
    wide: f64,
}

impl<'a> Laid<'a> {
    fn new(table: &'a Table) -> Self {
        let cells: Vec<Vec<String>> = table
            .rows
            .iter()
            .map(|row| row.cells.iter().map(|cell| typeset(&plain(cell))).collect())
            .collect();
        let width = |text: &str, weight| Label::size_of(text, SIZE, weight)[0];
        let widths: Vec<f64> = table
            .columns
            .iter()
            .enumerate()
            .map(|(k, (head, _))| {
                let of_rows = cells.iter().filter_map(|row| row.get(k));
                let of_rows = of_rows.map(|cell| width(cell, Weight::SemiBold));
                of_rows.fold(width(head, Weight::Regular), f64::max)
            })
            .collect();
        let between = BETWEEN * widths.len().saturating_sub(1) as f64;
        Self {
            table,
            cells,
            wide: widths.iter().sum::<f64>() + between,
            widths,
        }
    }

    /// Draws it as wide as there is room.
    fn draw(&self, column: &mut Column, across: f64) {
        let heading = plain(&self.table.heading);
        column.text(&heading, 15.0, Weight::SemiBold, Ink::Text, 1);
        let gaps = self.widths.len().saturating_sub(1).max(1) as f64;
        // Room that is left goes between columns, but columns that belong together stay in sight of one another.
        let between = BETWEEN + ((across - self.wide) / gaps).clamp(0.0, BETWEEN);
        let heads: Vec<&str> = self.table.columns.iter().map(|(head, _)| *head).collect();
        self.row(column, between, &heads, (Weight::Regular, Ink::Quiet));
        column.y += 4.0;
        column.rule();
        column.y -= 4.0;
        for (row, cells) in self.table.rows.iter().zip(&self.cells) {
            let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
            let look = if row.is_missed {
                (Weight::SemiBold, Ink::Missed)
            } else {
                (Weight::Regular, Ink::Text)
            };
            self.row(column, between, &cells, look);
            column.shapes.push(Shape::Line {
                points: vec![[MARGIN, column.y], [MARGIN + across, column.y]],
                stroke: Stroke::solid(Ink::Grid, 0.5),
            });
        }
    }

    fn row(&self, column: &mut Column, between: f64, cells: &[&str], (weight, ink): (Weight, Ink)) {
        column.y += ROW;
        let mut left = MARGIN;
        for ((cell, width), (_, side)) in cells.iter().zip(&self.widths).zip(&self.table.columns) {
            let (anchor, x) = match side {
                Side::Left => (Anchor::Start, left),
                Side::Right => (Anchor::End, left + width),
            };
            left += width + between;
            if cell.is_empty() {
                continue;
            }
            column.shapes.push(Shape::Text(Label {
                text: (*cell).to_owned(),
                at: [x, column.y - 5.0],
                anchor,
                turn: Turn::Level,
                size: SIZE,
                weight,
                ink,
                plate: None,
            }));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(rows: usize) -> LedgerFigure {
        let row = |k: usize| Row {
            cells: vec![
                format!("{k} a coping with a long name of its own"),
                "mesial".into(),
                "-1.0".into(),
                "least draft per wall short by 1.0°".into(),
            ],
            is_missed: k % 2 == 1,
        };
        LedgerFigure {
            title: "Two canines".into(),
            lines: vec!["Held tilt: anterior lowered -1.0°. Not acceptable.".into()],
            tables: vec![Table {
                heading: "Walls".into(),
                columns: vec![
                    ("Coping", Side::Left),
                    ("Wall", Side::Left),
                    ("Least", Side::Right),
                    ("State", Side::Left),
                ],
                rows: (0..rows).map(row).collect(),
            }],
            remarks: vec!["labial flange: the gauge finds no way out".into()],
            made: "Made on 1 December 2026 with version 0.1.0".into(),
        }
    }

    /// However many rows there are, each is on the page, none over another, none beside the paper.
    #[test]
    fn the_whole_ledger_is_on_the_page() {
        for rows in [0, 1, 160] {
            let page = page(&figure(rows));
            let bounds: Vec<_> = page.labels().map(Label::bounds).collect();
            let texts: Vec<&str> = page.labels().map(|label| label.text.as_str()).collect();
            assert_eq!(texts.iter().filter(|text| **text == "mesial").count(), rows);
            assert_eq!(
                texts.iter().filter(|text| **text == "\u{2212}1.0").count(),
                rows
            );
            for part in [
                "Two canines",
                "Remarks",
                CAUTION.split(' ').next().unwrap_or_default(),
            ] {
                assert!(texts.iter().any(|text| text.contains(part)), "{part}");
            }
            for (i, a) in bounds.iter().enumerate() {
                assert!(a.min[0] >= 0.0 && a.max[0] <= page.size[0], "{}", texts[i]);
                assert!(a.max[1] <= page.size[1], "{}", texts[i]);
                for (j, b) in bounds.iter().enumerate().skip(i + 1) {
                    let apart = (0..2).any(|k| a.max[k] <= b.min[k] || b.max[k] <= a.min[k]);
                    assert!(apart, "{} over {}", texts[i], texts[j]);
                }
            }
        }
        assert!(to_png(&figure(3), 2.0).is_ok());
    }
}
