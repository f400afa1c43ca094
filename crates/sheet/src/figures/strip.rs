//! The words that go with a picture taken off a screen, which is passed on without the screen: what it
//! is of above it, the caution below it.

use super::column::{Column, titled};
use crate::drawing::{Drawing, Ink, Weight};
use crate::format::numbers::typeset;
use crate::format::words::{CAUTION, plain};

/// Margin around the words.
const MARGIN: f64 = 12.0;
/// Units. A narrower picture would break every word: its strips are as wide as this.
const LEAST_WIDE: f64 = 240.0;

/// What a picture is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heading {
    /// The case's title; may be empty.
    pub title: String,
    /// Line by line: what is seen, at which tilt, how that stands.
    pub lines: Vec<String>,
}

/// The strip above a picture so wide.
pub fn head(heading: &Heading, wide: f64) -> Drawing {
    let mut column = Column::new(wide.max(LEAST_WIDE), MARGIN);
    column.y = MARGIN * 0.5;
    let title = titled(&heading.title);
    column.text(&title, 17.0, Weight::SemiBold, Ink::Text, 2);
    for line in &heading.lines {
        column.text(&typeset(&plain(line)), 13.5, Weight::Regular, Ink::Text, 3);
    }
    finished(column, wide, &title)
}

/// The strip below a picture so wide: the caution.
pub fn foot(wide: f64) -> Drawing {
    let mut column = Column::new(wide.max(LEAST_WIDE), MARGIN);
    column.y = MARGIN * 0.5;
    column.text(CAUTION, 12.0, Weight::Regular, Ink::Quiet, 12);
    finished(column, wide, "Caution")
}

fn finished(column: Column, wide: f64, title: &str) -> Drawing {
    Drawing {
        size: [wide.max(LEAST_WIDE), (column.y + MARGIN * 0.6).ceil()],
        title: title.to_owned(),
        description: String::new(),
        shapes: column.shapes,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(drawing: &Drawing) -> String {
        let texts: Vec<&str> = drawing.labels().map(|label| label.text.as_str()).collect();
        texts.join(" ")
    }

    #[test]
    fn a_picture_says_what_it_is_of_and_carries_the_whole_caution() {
        let heading = Heading {
            title: "Two canines".into(),
            lines: vec![
                "Held tilt: anterior lowered -1.0°".into(),
                "Acceptable".into(),
            ],
        };
        for wide in [10.0, 300.0, 1400.0] {
            let (head, foot) = (head(&heading, wide), foot(wide));
            assert_eq!(
                said(&head),
                "Two canines Held tilt: anterior lowered \u{2212}1.0° Acceptable"
            );
            assert_eq!(said(&foot), CAUTION);
            for drawing in [&head, &foot] {
                for label in drawing.labels() {
                    let bounds = label.bounds();
                    assert!(bounds.max[0] <= drawing.size[0], "{wide}: {}", label.text);
                    assert!(bounds.max[1] <= drawing.size[1], "{wide}: {}", label.text);
                }
            }
        }
    }
}
